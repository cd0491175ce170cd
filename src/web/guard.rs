//! Layers round every request: headers that bind the browser, and a second
//! look at posts from elsewhere.

use crate::web::page::error_page;
use axum::extract::Request;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// No inline script or style, nothing from anywhere else, no frame around us.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; \
                      connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; \
                      object-src 'none'";

/// The same for a page that shows another of ours in a frame.
pub const WITH_FRAMES: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
                               font-src 'self'; connect-src 'self'; frame-src 'self'; form-action 'self'; \
                               base-uri 'none'; frame-ancestors 'none'; object-src 'none'";

/// Sets the security headers; `https` also asks browsers to stay with it.
pub async fn headers(https: bool, request: Request, next: Next) -> Response {
    let is_static = request.uri().path().starts_with("/static/");
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    let fixed = [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), microphone=(), payment=()"),
    ];
    // A page may set its own.
    for (name, value) in fixed {
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    }
    headers.entry(header::REFERRER_POLICY).or_insert(HeaderValue::from_static("same-origin"));
    if !is_static {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
    if https {
        let year = HeaderValue::from_static("max-age=31536000");
        headers.insert(header::STRICT_TRANSPORT_SECURITY, year);
        secure_cookies(headers);
    }
    response
}

/// Cookies of an https page go by https alone.
fn secure_cookies(headers: &mut HeaderMap) {
    let cookies: Vec<HeaderValue> = headers.get_all(header::SET_COOKIE).iter().cloned().collect();
    headers.remove(header::SET_COOKIE);
    for cookie in cookies {
        let marked = cookie.to_str().ok().filter(|text| !text.contains("; Secure"));
        let marked = marked.and_then(|text| HeaderValue::from_str(&format!("{text}; Secure")).ok());
        headers.append(header::SET_COOKIE, marked.unwrap_or(cookie));
    }
}

/// Forgets the number that a client gave its request: ours goes into the log.
pub async fn own_request_id(mut request: Request, next: Next) -> Response {
    request.headers_mut().remove("x-request-id");
    next.run(request).await
}

/// Refuses a post that doesn't say where it comes from. The layer behind this
/// one refuses those that say they come from elsewhere; a browser says.
pub async fn origin_known(request: Request, next: Next) -> Response {
    let reads = matches!(*request.method(), Method::GET | Method::HEAD | Method::OPTIONS);
    let says = request.headers().contains_key("sec-fetch-site") || request.headers().contains_key(header::ORIGIN);
    if reads || says { next.run(request).await } else { refuse_elsewhere() }
}

/// The answer to a post from another site.
#[must_use]
pub fn refuse_elsewhere() -> Response {
    error_page(
        StatusCode::FORBIDDEN,
        "This did not come from one of our pages",
        "Nothing was changed. Open the page again from the countdown and press the button there. If that is what you \
         did, whoever runs this program must let the proxy pass the headers Host and Origin unchanged.",
    )
}

/// Gives answers made by a layer, which are bare text, the look of a page.
pub async fn dress(request: Request, next: Next) -> Response {
    let response = next.run(request).await;
    let status = response.status();
    let is_page = response
        .headers()
        .get(header::CONTENT_TYPE)
        .is_some_and(|kind| kind.as_bytes().starts_with(b"text/html") || kind == "application/json");
    if is_page || !(status.is_client_error() || status.is_server_error()) {
        return response;
    }
    let (title, advice) = match status {
        StatusCode::NOT_FOUND => (
            "There is nothing at this address",
            "It may have been removed, or the address may be mistyped. Go back, or start again from the countdown.",
        ),
        StatusCode::METHOD_NOT_ALLOWED => {
            ("This address takes no such request", "Nothing was changed. Go back and use the buttons of the page.")
        }
        StatusCode::PAYLOAD_TOO_LARGE => {
            ("That is too much at once", "Nothing was changed. Go back and shorten what you sent.")
        }
        StatusCode::REQUEST_TIMEOUT | StatusCode::SERVICE_UNAVAILABLE => (
            "This took too long",
            "It is not certain whether your change was kept. Open the page again and look before you repeat it.",
        ),
        status if status.is_client_error() => ("That can't be read", "Nothing was changed. Go back and try again."),
        _ => (
            "Something went wrong on our side",
            "Go back and try once more; if it fails again, tell whoever runs this program.",
        ),
    };
    let mut page = error_page(status, title, advice).into_response();
    if let Some(allow) = response.headers().get(header::ALLOW) {
        page.headers_mut().insert(header::ALLOW, allow.clone());
    }
    page
}
