//! Nothing someone typed is lost when the store can't save it.

use super::form_key::is_key;
use super::page::show_as;
use crate::db::Trouble;
use askama::Template;
use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::{HeaderMap, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::sync::{Arc, Mutex, PoisonError};

/// Our own forms have fewer fields.
const MOST_FIELDS: usize = 5_000;

/// Fields that no page may show.
const SECRETS: [&str; 6] = ["password", "old", "new", "own", "own-link", "secret"];

#[derive(Template)]
#[template(path = "kept.html")]
struct Kept {
    title: &'static str,
    advice: &'static str,
    /// What the button says.
    send: &'static str,
    action: String,
    /// Files are not kept, and must be chosen again.
    has_files: bool,
    /// Is it still the same form, or a new one?
    is_same: bool,
    fields: Vec<(String, String)>,
    /// The parts of them worth reading.
    typed: Vec<String>,
}

/// What was typed in a form with files, noted by the code that reads it.
#[derive(Debug, Clone, Default)]
pub struct Typed(Arc<Mutex<Vec<(String, String)>>>);

impl Typed {
    /// Where to note it. Nobody reads it if no layer put one there.
    #[must_use]
    pub fn of(request: &Request) -> Self {
        request.extensions().get::<Self>().cloned().unwrap_or_default()
    }

    pub fn note(&self, field: &str, text: &str) {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).push((field.to_owned(), text.to_owned()));
    }

    /// All that was noted.
    #[must_use]
    pub fn all(&self) -> Vec<(String, String)> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }
}

/// A form that couldn't be saved comes back with everything that was typed, and a button to
/// send it again. Bodies are no larger than the layer around this one allows.
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
            Some(trouble) => page(*trouble, (action, true), typed.all(), response),
            None => response,
        };
    }
    let (parts, body) = request.into_parts();
    let Ok(body) = to_bytes(body, usize::MAX).await else {
        return StatusCode::PAYLOAD_TOO_LARGE.into_response();
    };
    if body.split(|&byte| byte == b'&').count() > MOST_FIELDS {
        return StatusCode::PAYLOAD_TOO_LARGE.into_response();
    }
    let response = next.run(Request::from_parts(parts, Body::from(body.clone()))).await;
    match response.extensions().get::<Trouble>() {
        Some(trouble) => {
            let fields = url::form_urlencoded::parse(&body).into_owned().collect();
            page(*trouble, (action, false), fields, response)
        }
        None => response,
    }
}

/// Is it a form without files?
pub(super) fn is_form(headers: &HeaderMap) -> bool {
    let kind = headers.get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok()).unwrap_or_default();
    kind.starts_with("application/x-www-form-urlencoded")
}

/// Does a form hold something that no page may show?
pub(super) fn holds_secret(fields: &[(String, String)]) -> bool {
    fields.iter().any(|(name, _)| SECRETS.contains(&name.as_str()))
}

fn page(
    trouble: Trouble,
    (action, has_files): (String, bool),
    fields: Vec<(String, String)>,
    plain: Response,
) -> Response {
    // A form with only a file: there is nothing to give back.
    if (has_files && is_bare(&fields)) || holds_secret(&fields) {
        return plain;
    }
    let (title, advice) = trouble.says();
    let typed = read_of(&fields);
    let page = Kept { title, advice, send: "Try again", action, has_files, is_same: true, fields, typed };
    let Ok(mut shown) = show_as(StatusCode::SERVICE_UNAVAILABLE, &page) else { return plain };
    if let Some(when) = plain.headers().get(header::RETRY_AFTER) {
        shown.headers_mut().insert(header::RETRY_AFTER, when.clone());
    }
    shown
}

/// A form that was already sent, now with different values: maybe both are wanted.
pub(super) fn other(action: String, has_files: bool, fields: &[(String, String)]) -> Response {
    let fields: Vec<_> = fields.iter().filter(|(name, _)| !is_key(name)).cloned().collect();
    let page = Kept {
        title: "You already sent this form",
        advice: "What you sent first is saved. This is different and not saved yet. Send it too if you want both.",
        send: "Send this too",
        action,
        has_files,
        is_same: false,
        typed: read_of(&fields),
        fields,
    };
    show_as(StatusCode::CONFLICT, &page).unwrap_or_else(IntoResponse::into_response)
}

pub(super) fn is_bare(fields: &[(String, String)]) -> bool {
    fields.iter().all(|(name, _)| is_key(name))
}

/// The parts of the fields worth reading.
fn read_of(fields: &[(String, String)]) -> Vec<String> {
    let is_words = |text: &&String| text.contains(' ') || text.chars().count() > 12;
    let typed = fields.iter().filter(|(name, _)| !is_key(name)).map(|(_, value)| value);
    typed.filter(is_words).cloned().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_is_nothing_that_someone_typed() {
        let field = |name: &str, value: &str| (name.to_owned(), value.to_owned());
        for key in ["form-key", "tap-key"] {
            let key = field(key, &"k".repeat(43));
            assert!(is_bare(std::slice::from_ref(&key)));
            assert_eq!(read_of(&[key, field("note", "by the gate")]), ["by the gate"]);
        }
    }
}
