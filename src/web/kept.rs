//! What somebody typed is not lost when the store can't keep it.

use super::page::show_as;
use crate::db::Trouble;
use askama::Template;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Fields that stay out of every page.
const SECRETS: [&str; 4] = ["password", "old", "new", "secret"];

#[derive(Template)]
#[template(path = "kept.html")]
struct Kept {
    title: &'static str,
    advice: &'static str,
    action: String,
    fields: Vec<(String, String)>,
    /// What can be read of them.
    typed: Vec<String>,
}

/// A form that the store couldn't keep comes back with all that was typed, and a
/// button that sends it again. Bodies are no larger than the layer round this one
/// allows.
pub async fn keep(request: Request, next: Next) -> Response {
    if request.method() != Method::POST || !is_form(request.headers()) {
        return next.run(request).await;
    }
    let action = request.uri().path().to_owned();
    let (parts, body) = request.into_parts();
    let Ok(body) = to_bytes(body, usize::MAX).await else {
        return StatusCode::PAYLOAD_TOO_LARGE.into_response();
    };
    let response = next.run(Request::from_parts(parts, Body::from(body.clone()))).await;
    match response.extensions().get::<Trouble>() {
        Some(trouble) => page(*trouble, action, &body, response),
        None => response,
    }
}

fn is_form(headers: &HeaderMap) -> bool {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    kind.starts_with("application/x-www-form-urlencoded")
}

fn page(trouble: Trouble, action: String, body: &Bytes, plain: Response) -> Response {
    let fields: Vec<(String, String)> = url::form_urlencoded::parse(body).into_owned().collect();
    if fields.iter().any(|(name, _)| SECRETS.contains(&name.as_str())) {
        return plain;
    }
    let is_words = |text: &&String| text.contains(' ') || text.chars().count() > 12;
    let typed = fields.iter().map(|(_, value)| value).filter(is_words).cloned().collect();
    let (title, advice) = trouble.says();
    let shown = show_as(StatusCode::SERVICE_UNAVAILABLE, &Kept { title, advice, action, fields, typed });
    let Ok(mut shown) = shown else { return plain };
    if let Some(when) = plain.headers().get(header::RETRY_AFTER) {
        shown.headers_mut().insert(header::RETRY_AFTER, when.clone());
    }
    shown
}
