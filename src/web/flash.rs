//! One sentence to show on the page after a redirect, kept in a cookie until then.

use crate::web::local_path::local_path;
use axum::extract::Request;
use axum::http::header;
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::{Cookie, SameSite};
use base64::Engine;
use base64::prelude::BASE64_URL_SAFE_NO_PAD;
use serde::{Deserialize, Serialize};

const NAME: &str = "burnday-said";

/// What was just done, and maybe the button that undoes it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Said {
    pub sentence: String,
    pub undo: Option<Undo>,
}

/// A form with one button.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Undo {
    pub action: String,
    pub fields: Vec<(String, String)>,
}

/// Redirects to another page, which shows the sentence.
#[must_use]
pub fn redirect(to: &str, sentence: &str) -> Response {
    keep(to, &Said { sentence: sentence.to_owned(), undo: None })
}

/// The same, with a button that undoes what was done.
#[must_use]
pub fn redirect_with_undo(to: &str, sentence: &str, undo: &Undo) -> Response {
    keep(to, &Said { sentence: sentence.to_owned(), undo: Some(undo.clone()) })
}

fn keep(to: &str, said: &Said) -> Response {
    let text = serde_json::to_vec(said).expect("text has a form in JSON");
    let mut cookie = Cookie::new(NAME, BASE64_URL_SAFE_NO_PAD.encode(text));
    cookie.set_http_only(true);
    cookie.set_same_site(SameSite::Lax);
    cookie.set_path("/");
    (CookieJar::new().add(cookie), Redirect::to(to)).into_response()
}

/// What to show, if anything. Its form, if it has one, posts to this site.
#[must_use]
pub fn said(jar: &CookieJar) -> Option<Said> {
    let bytes = BASE64_URL_SAFE_NO_PAD.decode(jar.get(NAME)?.value()).ok()?;
    let said: Said = serde_json::from_slice(&bytes).ok()?;
    let local = said.undo.as_ref().is_none_or(|undo| local_path(&undo.action) == undo.action);
    local.then_some(said)
}

/// Removes the cookie once a page that could show the sentence was sent.
pub async fn forget(jar: CookieJar, request: Request, next: Next) -> Response {
    let waiting = jar.get(NAME).is_some();
    let response = next.run(request).await;
    let is_page = response.headers().get(header::CONTENT_TYPE).is_some_and(|k| k.as_bytes().starts_with(b"text/html"));
    if !waiting || !is_page {
        return response;
    }
    let mut gone = Cookie::new(NAME, "");
    gone.set_path("/");
    gone.make_removal();
    (CookieJar::new().add(gone), response).into_response()
}
