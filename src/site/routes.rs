//! The pages of the site.

use super::{accept, adding, basis_page, item, kept, photo, sheet, site_page, undo};
use crate::state::App;
use axum::Router;

/// The pages of the site.
pub fn router() -> Router<App> {
    Router::new()
        .merge(site_page::router())
        .merge(sheet::router())
        .merge(undo::router())
        .merge(kept::router())
        .merge(adding::router())
        .merge(item::router())
        .merge(basis_page::router())
        .merge(accept::router())
        .merge(photo::router())
}
