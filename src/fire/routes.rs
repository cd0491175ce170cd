//! The pages about the fire.

use super::{compare, earlier, edit, estimates::Estimates, fire_page, heat_page, pinning, sheet};
use crate::state::App;
use axum::{Extension, Router};

/// The pages of the estimates.
pub fn router() -> Router<App> {
    Router::new()
        .merge(fire_page::router())
        .merge(pinning::router())
        .merge(heat_page::router())
        .merge(sheet::router())
        .merge(compare::router())
        .merge(edit::router())
        .merge(earlier::router())
        .layer(Extension(Estimates::default()))
}
