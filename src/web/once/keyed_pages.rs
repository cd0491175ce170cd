//! The key of each form on a page.

use crate::web::form_key::{FIELD, TAPS};
use crate::web::link::Secret;
use axum::body::{Body, to_bytes};
use axum::extract::Request;
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use std::fmt::Write;

/// How a form is marked whose key follows from what it holds.
const IS_TAPPED: &str = "data-taps";

/// Gives each form on a page its key. It happens here so that no page can forget it.
pub async fn keys(request: Request, next: Next) -> Response {
    let response = next.run(request).await;
    let is_page = response.headers().get(header::CONTENT_TYPE).is_some_and(|k| k.as_bytes().starts_with(b"text/html"));
    if !is_page {
        return response;
    }
    let (mut parts, body) = response.into_parts();
    let Ok(body) = to_bytes(body, usize::MAX).await else {
        return StatusCode::INTERNAL_SERVER_ERROR.into_response();
    };
    let body = match std::str::from_utf8(&body) {
        Ok(html) => {
            parts.headers.remove(header::CONTENT_LENGTH);
            Body::from(with_keys(html))
        }
        Err(_) => Body::from(body),
    };
    Response::from_parts(parts, body)
}

/// In our pages no tag holds a ">" before its end, since values are escaped.
fn with_keys(html: &str) -> String {
    let mut keyed = String::with_capacity(html.len() + html.len() / 8);
    let mut rest = html;
    while let Some(start) = rest.find("<form") {
        let Some(length) = rest[start..].find('>') else { break };
        let (before, after) = rest.split_at(start + length + 1);
        keyed.push_str(before);
        let tag = &before[start..];
        if tag.contains(r#"method="post""#) && !tag.contains("data-keyed") {
            let field = if tag.contains(IS_TAPPED) { TAPS } else { FIELD };
            let key = Secret::new();
            let key = key.reveal();
            let _ = write!(keyed, r#"<input type="hidden" name="{field}" value="{key}">"#);
        }
        rest = after;
    }
    keyed.push_str(rest);
    keyed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_form_that_changes_something_gets_a_key_of_its_own() {
        let page = r#"<form method="post" action="/a" class="x"><button></button></form><form action="/b"></form>
                      <form method="post" action="/c" data-keyed></form><p>&#60;form method="post"&#62;</p>
                      <form class="x" method="post"></form><form method="post" data-taps></form>"#;
        let keyed = with_keys(page);
        let keys: Vec<&str> = keyed.split(r#"name="form-key" value=""#).skip(1).map(|rest| &rest[..43]).collect();
        assert_eq!(keys.len(), 2, "{keyed}");
        assert!(keys[0] != keys[1] && keys.iter().all(|key| Secret::read(key).is_some()));
        assert!(
            keyed.contains(r#"action="/a" class="x"><input"#)
                && keyed.contains(r#"data-taps><input type="hidden" name="tap-key""#)
        );
        let taps = keyed.split(r#"name="tap-key" value=""#).skip(1).map(|rest| &rest[..43]);
        let mut without = keyed.clone();
        for key in taps {
            without = without.replace(&format!(r#"<input type="hidden" name="tap-key" value="{key}">"#), "");
        }
        for key in keys {
            without = without.replace(&format!(r#"<input type="hidden" name="form-key" value="{key}">"#), "");
        }
        assert_eq!(without, page, "nothing else is touched");
    }
}
