//! The addresses for people who aren't signed in.

use super::{entering, new_password, setting_up, signing_in};
use crate::state::App;
use axum::Router;

/// Routes for people who aren't signed in: signing in and out, and links that lead there.
pub fn router() -> Router<App> {
    signing_in::router().merge(setting_up::router()).merge(new_password::router()).merge(entering::router())
}
