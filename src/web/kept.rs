//! What somebody typed is not lost when the store can't keep it.

use super::page::show_as;
use crate::db::Trouble;
use askama::Template;
use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::sync::{Arc, Mutex, PoisonError};

/// Fields that stay out of every page.
const SECRETS: [&str; 6] = ["password", "old", "new", "own", "own-link", "secret"];

#[derive(Template)]
#[template(path = "kept.html")]
struct Kept {
    title: &'static str,
    advice: &'static str,
    action: String,
    /// Files are not kept: they have to be chosen again.
    has_files: bool,
    fields: Vec<(String, String)>,
    /// What can be read of them.
    typed: Vec<String>,
}

/// What was typed in a form with files, noted by whatever reads it.
#[derive(Debug, Clone, Default)]
pub struct Typed(Arc<Mutex<Vec<(String, String)>>>);

impl Typed {
    /// The place where to note it; nobody reads it where no layer put one.
    #[must_use]
    pub fn of(request: &Request) -> Self {
        request.extensions().get::<Self>().cloned().unwrap_or_default()
    }

    pub fn note(&self, field: &str, text: &str) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push((field.to_owned(), text.to_owned()));
    }

    fn take(&self) -> Vec<(String, String)> {
        std::mem::take(&mut *self.0.lock().unwrap_or_else(PoisonError::into_inner))
    }
}

/// A form that the store couldn't keep comes back with all that was typed, and a
/// button that sends it again. Bodies are no larger than the layer round this one
/// allows.
pub async fn keep(mut request: Request, next: Next) -> Response {
    if request.method() != Method::POST {
        return next.run(request).await;
    }
    let action = request.uri().path().to_owned();
    if !is_form(request.headers()) {
        let typed = Typed::default();
        request.extensions_mut().insert(typed.clone());
        let response = next.run(request).await;
        return match response.extensions().get::<Trouble>() {
            Some(trouble) => page(*trouble, (action, true), typed.take(), response),
            None => response,
        };
    }
    let (parts, body) = request.into_parts();
    let Ok(body) = to_bytes(body, usize::MAX).await else {
        return StatusCode::PAYLOAD_TOO_LARGE.into_response();
    };
    let response = next.run(Request::from_parts(parts, Body::from(body.clone()))).await;
    match response.extensions().get::<Trouble>() {
        Some(trouble) => {
            let fields = url::form_urlencoded::parse(&body).into_owned().collect();
            page(*trouble, (action, false), fields, response)
        }
        None => response,
    }
}

fn is_form(headers: &HeaderMap) -> bool {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    kind.starts_with("application/x-www-form-urlencoded")
}

fn page(
    trouble: Trouble,
    (action, has_files): (String, bool),
    fields: Vec<(String, String)>,
    plain: Response,
) -> Response {
    // A form with nothing but a file: there is nothing to give back.
    if (has_files && fields.is_empty()) || fields.iter().any(|(name, _)| SECRETS.contains(&name.as_str())) {
        return plain;
    }
    let is_words = |text: &&String| text.contains(' ') || text.chars().count() > 12;
    let typed = fields.iter().map(|(_, value)| value).filter(is_words).cloned().collect();
    let (title, advice) = trouble.says();
    let shown = show_as(StatusCode::SERVICE_UNAVAILABLE, &Kept { title, advice, action, has_files, fields, typed });
    let Ok(mut shown) = shown else { return plain };
    if let Some(when) = plain.headers().get(header::RETRY_AFTER) {
        shown.headers_mut().insert(header::RETRY_AFTER, when.clone());
    }
    shown
}
