//! Static files, built into the program. Their address changes with their content, so
//! browsers may keep them forever.

use crate::error::{Error, Result};
use crate::web::path::Path;
use axum::http::header;
use axum::response::{IntoResponse, Redirect, Response};
use rust_embed::RustEmbed;
use sha2::{Digest, Sha256};
use std::borrow::Cow;
use std::sync::LazyLock;

#[derive(RustEmbed)]
#[folder = "static"]
struct Files;

/// The name of the style sheet. It is everything in `css/`, in the order of the names, so that
/// a page loads one file.
const STYLE: &str = "app.css";

static STYLES: LazyLock<Vec<u8>> = LazyLock::new(|| {
    let mut parts: Vec<_> = Files::iter().filter(|name| name.starts_with("css/")).collect();
    parts.sort();
    parts.iter().flat_map(|name| Files::get(name).expect("listed").data.into_owned()).collect()
});

fn find(name: &str) -> Option<Cow<'static, [u8]>> {
    if name == STYLE { Some(Cow::Borrowed(&STYLES)) } else { Some(Files::get(name)?.data) }
}

/// A digest of all files together. It is one folder in the address, so that a style sheet
/// finds its font next to it.
static BUILD: LazyLock<String> = LazyLock::new(|| {
    let mut digest = Sha256::new();
    for name in Files::iter() {
        digest.update(name.as_bytes());
        digest.update(Files::get(&name).expect("listed").metadata.sha256_hash());
    }
    super::link::hex(&digest.finalize()[..6])
});

/// The address of a static file.
#[must_use]
pub fn url(name: &str) -> String {
    debug_assert!(find(name).is_some(), "no static file {name}");
    format!("/static/{}/{name}", *BUILD)
}

/// Responds with a file that browsers may keep forever.
///
/// # Errors
/// When this build has no file with that name.
pub async fn serve(Path((build, name)): Path<(String, String)>) -> Result<Response> {
    let file = find(&name).filter(|_| build == *BUILD).ok_or(Error::NotFound)?;
    let kind = match name.rsplit('.').next() {
        Some("css") => "text/css; charset=utf-8",
        Some("js") => "text/javascript; charset=utf-8",
        Some("woff2") => "font/woff2",
        Some("svg") => "image/svg+xml",
        Some("ico") => "image/vnd.microsoft.icon",
        _ => "text/plain; charset=utf-8",
    };
    let headers = [(header::CONTENT_TYPE, kind), (header::CACHE_CONTROL, "public, max-age=31536000, immutable")];
    Ok((headers, file).into_response())
}

/// Where browsers look for the icon of a page that doesn't name one.
pub async fn favicon() -> Redirect {
    Redirect::temporary(&url("favicon.ico"))
}
