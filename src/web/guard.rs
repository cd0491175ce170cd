//! Layers around every request: headers that limit what the browser does, and a check of
//! posts from elsewhere.

use crate::config::Config;
use crate::web::error_page::error_page;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use axum_extra::extract::cookie::Cookie;
use std::net::{IpAddr, SocketAddr};
use url::Url;

/// No inline scripts or styles, nothing from other sites, and no frame around our pages.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; \
                      connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; \
                      object-src 'none'";

/// The same for a page that shows another of our pages in a frame.
pub const WITH_FRAMES: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; \
                               font-src 'self'; connect-src 'self'; frame-src 'self'; form-action 'self'; \
                               base-uri 'none'; frame-ancestors 'none'; object-src 'none'";

/// Sets the security headers. With `https`, browsers are asked to keep using it.
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

/// Cookies of an https page travel only over https.
fn secure_cookies(headers: &mut HeaderMap) {
    let cookies: Vec<HeaderValue> = headers.get_all(header::SET_COOKIE).iter().cloned().collect();
    headers.remove(header::SET_COOKIE);
    for cookie in cookies {
        let marked =
            cookie.to_str().ok().and_then(|text| Cookie::parse(text.to_owned()).ok()).and_then(|mut cookie| {
                cookie.set_secure(true);
                HeaderValue::from_str(&cookie.to_string()).ok()
            });
        headers.append(header::SET_COOKIE, marked.unwrap_or(cookie));
    }
}

/// The address holds a secret, so no other page may learn it, whatever this page is.
pub async fn address_is_secret(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    response.headers_mut().insert(header::REFERRER_POLICY, HeaderValue::from_static("no-referrer"));
    response
}

/// Drops the number a client gave its request: our own goes in the log.
pub async fn own_request_id(mut request: Request, next: Next) -> Response {
    request.headers_mut().remove("x-request-id");
    next.run(request).await
}

/// Where pages are that may post here.
#[derive(Debug, Clone)]
pub struct Home {
    /// The scheme, the host, and the port.
    origin: String,
    /// Was it given in the settings?
    is_said: bool,
}

impl Home {
    /// From the base address in the settings.
    #[must_use]
    pub fn of(config: &Config) -> Self {
        let base = config.base_url();
        // A browser leaves out the usual port.
        let origin = Url::parse(&base).map_or(base, |url| url.origin().ascii_serialization());
        Self { origin, is_said: config.base_url.as_ref().is_some_and(|url| !url.is_empty()) }
    }

    fn is_from_us(&self, headers: &HeaderMap) -> bool {
        let says = headers.contains_key("sec-fetch-site");
        let Some(origin) = headers.get(header::ORIGIN) else { return says };
        let host = headers.get(header::HOST).and_then(|host| host.to_str().ok());
        let Ok(origin) = origin.to_str() else { return false };
        // A page that hides its address hides its origin too.
        if origin == "null" { says && host.is_some_and(|host| self.is_here(host)) } else { self.takes(origin, host) }
    }

    /// Is this host us?
    fn is_here(&self, host: &str) -> bool {
        let own = self.origin.split_once("://").map(|(_, own)| own);
        own == Some(host) || (!self.is_said && !is_name(host))
    }

    /// May a page from this origin post to this host? The owner of a name can point it here,
    /// so the same name in both addresses proves nothing. Nobody can do that with a number
    /// or with `localhost`.
    fn takes(&self, origin: &str, host: Option<&str>) -> bool {
        let at = origin.strip_prefix("http://").filter(|at| Some(*at) == host);
        origin == self.origin || (!self.is_said && at.is_some_and(|at| !is_name(at)))
    }
}

fn is_name(authority: &str) -> bool {
    let host = authority.split_once("localhost").filter(|(before, _)| before.is_empty()).map(|(_, port)| port);
    let is_here = host.is_some_and(|port| port.is_empty() || port.starts_with(':'));
    let is_number =
        authority.parse::<SocketAddr>().is_ok() || authority.trim_matches(['[', ']']).parse::<IpAddr>().is_ok();
    !is_here && !is_number
}

/// Refuses a post from another origin, and one that doesn't say where it comes from. The
/// layer behind this one checks those without an origin.
pub async fn origin_known(State(home): State<Home>, request: Request, next: Next) -> Response {
    let reads = matches!(*request.method(), Method::GET | Method::HEAD | Method::OPTIONS);
    let is_ours = home.is_from_us(request.headers());
    if reads || is_ours { next.run(request).await } else { refuse_elsewhere() }
}

/// The response to a post from another site.
#[must_use]
pub fn refuse_elsewhere() -> Response {
    error_page(
        StatusCode::FORBIDDEN,
        "This didn't come from one of our pages",
        "Nothing was changed. Open the page again from the countdown and use the button there. If that is what you \
         did, tell the person who runs Burnday for you: --base-url must be the address in your browser, and a proxy \
         must pass the headers Host and Origin unchanged.",
    )
}

/// Turns the plain text that a layer responds with into a page.
pub async fn add_headers(request: Request, next: Next) -> Response {
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
            "This page doesn't exist",
            "It may have been removed, or the address may have a typo. Go back, or start from the countdown.",
        ),
        StatusCode::METHOD_NOT_ALLOWED => {
            ("That doesn't work here", "Nothing was changed. Go back and use the buttons on the page.")
        }
        StatusCode::PAYLOAD_TOO_LARGE => (
            "That is too large to send",
            "Nothing was changed. Go back and send less: shorten the text or use a smaller file.",
        ),
        StatusCode::REQUEST_TIMEOUT | StatusCode::SERVICE_UNAVAILABLE => (
            "This took too long",
            "Your change may or may not be saved. Open the page again and check before you repeat it.",
        ),
        status if status.is_client_error() => ("That didn't work", "Nothing was changed. Go back and try again."),
        _ => (
            "Something went wrong on our side",
            "Go back and try again. If it fails again, tell the person who runs Burnday for you.",
        ),
    };
    let mut page = error_page(status, title, advice).into_response();
    if let Some(allow) = response.headers().get(header::ALLOW) {
        page.headers_mut().insert(header::ALLOW, allow.clone());
    }
    page
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_origin_is_ours_by_the_settings_and_not_by_the_host_that_is_asked() {
        let said = |origin: &str| Home { origin: origin.to_owned(), is_said: true };
        let https = said("https://burn.example.org");
        assert!(https.takes("https://burn.example.org", Some("burn.example.org")));
        for (origin, host) in [
            ("http://burn.example.org", "burn.example.org"),
            ("https://evil.example", "evil.example"),
            ("http://127.0.0.1:8080", "127.0.0.1:8080"),
            ("https://burn.example.org.evil.example", "burn.example.org"),
            ("null", "burn.example.org"),
        ] {
            assert!(!https.takes(origin, Some(host)), "{origin}");
        }
        assert!(!said("http://burn.example.org").takes("http://192.0.2.7", Some("192.0.2.7")));

        let unsaid = Home { origin: "http://127.0.0.1:8080".to_owned(), is_said: false };
        for at in
            ["127.0.0.1:8080", "localhost:8080", "localhost", "192.0.2.7:8080", "192.0.2.7", "[::1]:8080", "[::1]"]
        {
            assert!(unsaid.takes(&format!("http://{at}"), Some(at)), "{at}");
            assert!(!unsaid.takes(&format!("https://{at}"), Some(at)), "{at}");
        }
        for at in ["evil.example:8080", "localhost.evil.example", "localhostx", "127.0.0.1.evil.example"] {
            assert!(!unsaid.takes(&format!("http://{at}"), Some(at)), "{at}");
        }
        assert!(!unsaid.takes("http://192.0.2.7", Some("192.0.2.8")));
        assert!(https.is_here("burn.example.org") && !https.is_here("evil.example") && !https.is_here("127.0.0.1"));
        assert!(unsaid.is_here("192.0.2.7:8080") && !unsaid.is_here("evil.example"));
    }
}
