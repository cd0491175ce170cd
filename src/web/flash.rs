//! One sentence shown on the page after a redirect, kept in a cookie until
//! then.

use axum::extract::Request;
use axum::http::header;
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::{Cookie, SameSite};
use base64::Engine;
use base64::prelude::BASE64_URL_SAFE_NO_PAD;

const NAME: &str = "burnday-said";

/// Goes to another page, which shows the sentence.
#[must_use]
pub fn redirect(to: &str, sentence: &str) -> Response {
    let mut cookie = Cookie::new(NAME, BASE64_URL_SAFE_NO_PAD.encode(sentence));
    cookie.set_http_only(true);
    cookie.set_same_site(SameSite::Lax);
    cookie.set_path("/");
    (CookieJar::new().add(cookie), Redirect::to(to)).into_response()
}

/// The sentence to show, if there is one.
#[must_use]
pub fn said(jar: &CookieJar) -> Option<String> {
    let bytes = BASE64_URL_SAFE_NO_PAD.decode(jar.get(NAME)?.value()).ok()?;
    String::from_utf8(bytes).ok().filter(|sentence| sentence.len() < 1000)
}

/// A page that could show the sentence has shown it: the cookie goes.
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
