//! The page that says what went wrong.

use askama::Template;
use axum::http::StatusCode;
use axum::response::{Html, IntoResponse, Response};

#[derive(Template)]
#[template(path = "error.html")]
struct ErrorPage<'a> {
    title: &'a str,
    advice: &'a str,
}

/// A page that says what went wrong and what to do next.
#[must_use]
pub fn error_page(status: StatusCode, title: &str, advice: &str) -> Response {
    match (ErrorPage { title, advice }).render() {
        Ok(html) => (status, Html(html)).into_response(),
        Err(_) => (status, format!("{title}. {advice}")).into_response(),
    }
}
