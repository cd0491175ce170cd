//! Browsers that signed in to an account before. Other people's failed tries don't lock
//! them out, as OWASP's "Slow down online guessing attacks with device cookies" describes.

use super::session;
use crate::state::App;
use crate::web::link::{Opens, Secret};
use axum_extra::extract::CookieJar;
use rand::RngExt;
use time::Duration;

const LASTS: Duration = Duration::days(365);

/// The number of the browser that sent these cookies, if it signed in to this account
/// before.
pub(super) fn known(app: &App, jar: &CookieJar, account: i64) -> Option<i64> {
    let (number, secret) = jar.get(name(app))?.value().split_once('.')?;
    let number = number.parse().ok()?;
    let own = app.link_key.secret(Opens::Device, account, number);
    // Compared by their hashes, so that the time it takes reveals nothing.
    (Secret::read(secret)?.hash() == own.hash()).then_some(number)
}

/// Remembers the browser that just signed in to the account.
pub(super) fn note(app: &App, jar: &CookieJar, account: i64) -> CookieJar {
    let number = known(app, jar, account).unwrap_or_else(|| rand::rng().random_range(1..i64::MAX));
    let secret = app.link_key.secret(Opens::Device, account, number);
    let value = format!("{number}.{}", secret.reveal());
    CookieJar::new().add(session::cookie(app, name(app), value, LASTS))
}

fn name(app: &App) -> &'static str {
    if app.config.is_https() { "__Host-burnday-device" } else { "burnday-device" }
}
