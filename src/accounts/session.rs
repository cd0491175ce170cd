//! Sign-ins: a cookie holds a secret, and the store holds its hash. Every request asks the
//! store, so a role that is taken away is gone with the next request.

pub(super) mod store;

use super::Visit;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash;
use crate::web::link::Secret;
use axum::extract::{Request, State};
use axum::http::Method;
use axum::http::request::Parts;
use axum::middleware::Next;
use axum::response::Response;
use axum_extra::extract::CookieJar;
use axum_extra::extract::cookie::{Cookie, SameSite};
use time::Duration;

/// When someone was last seen is saved at most this often, so that reading a page doesn't
/// write.
const SEEN_EVERY: Duration = Duration::minutes(10);
/// No page waits longer than this for that write.
const NOTED_WITHIN: std::time::Duration = std::time::Duration::from_millis(300);

/// Lets only people through who are signed in, and tells the handlers behind it who it is.
///
/// # Errors
/// [`Error::SignIn`], or the store's.
pub async fn require(State(app): State<App>, request: Request, next: Next) -> Result<Response> {
    let (mut parts, body) = request.into_parts();
    let visit = visit(&parts, &app).await?;
    parts.extensions.insert(visit);
    Ok(next.run(Request::from_parts(parts, body)).await)
}

async fn visit(parts: &Parts, app: &App) -> Result<Visit> {
    let jar = CookieJar::from_headers(&parts.headers);
    let sign_in = || Error::SignIn {
        // After signing in, a page is shown again, but no form is sent again.
        next: if parts.method == Method::GET { parts.uri.to_string() } else { "/".to_owned() },
    };
    let secret = jar.get(name(app)).and_then(|cookie| Secret::read(cookie.value())).ok_or_else(sign_in)?;
    let now = app.clock.now();
    let Some((user, seen_at)) = store::signed_in(app.db.read(), &secret, now).await? else {
        put_away(app, &secret).await;
        return Err(sign_in());
    };
    if now - seen_at > SEEN_EVERY {
        let hash = secret.hash();
        let noted = app.db.write(move |tx| Box::pin(store::saw(tx, hash, now)));
        // People can still read when nothing can be written.
        match tokio::time::timeout(NOTED_WITHIN, noted).await {
            Ok(Ok(())) => {}
            Ok(Err(error)) => tracing::warn!(?error, "the time someone was last seen could not be saved"),
            Err(_) => tracing::warn!("the time someone was last seen will be saved later"),
        }
    }
    Ok(Visit { user, path: parts.uri.path().to_owned(), said: flash::said(&jar) })
}

/// A sign-in that is over stays over, even if the clock is set back.
async fn put_away(app: &App, secret: &Secret) {
    if !store::is_session(app.db.read(), secret).await.unwrap_or(false) {
        return;
    }
    let secret = secret.clone();
    let ended = app.db.write(move |tx| Box::pin(store::sign_out(tx, secret)));
    if !matches!(tokio::time::timeout(NOTED_WITHIN, ended).await, Ok(Ok(()))) {
        tracing::warn!("an expired sign-in will be removed later");
    }
}

/// Removes the sign-ins that are over.
pub async fn sweep(app: &App) -> Result<()> {
    let now = app.clock.now();
    if store::has_over(app.db.read(), now).await? {
        app.db.write(move |tx| Box::pin(store::end_over(tx, now))).await?;
    }
    Ok(())
}

/// The cookie's name. With https, it is one that browsers tie to this host.
fn name(app: &App) -> &'static str {
    if app.config.is_https() { "__Host-burnday" } else { "burnday" }
}

/// The cookie that signs someone in from now on.
pub(super) fn start(app: &App, secret: &Secret) -> CookieJar {
    CookieJar::new().add(cookie(app, name(app), secret.reveal().to_owned(), store::LONGEST))
}

/// A cookie that no script can read and no other site can send along with a form.
pub(super) fn cookie(app: &App, name: &'static str, value: String, lasts: Duration) -> Cookie<'static> {
    let mut cookie = Cookie::new(name, value);
    cookie.set_http_only(true);
    cookie.set_same_site(SameSite::Lax);
    cookie.set_path("/");
    cookie.set_secure(app.config.is_https());
    cookie.set_max_age(lasts);
    cookie
}

/// The secret that came with a request, if any.
pub(super) fn secret(app: &App, jar: &CookieJar) -> Option<Secret> {
    Secret::read(jar.get(name(app))?.value())
}

/// Removes the cookie.
pub fn end(app: &App) -> CookieJar {
    let mut cookie = Cookie::new(name(app), "");
    cookie.set_path("/");
    cookie.set_secure(app.config.is_https());
    cookie.make_removal();
    CookieJar::new().add(cookie)
}
