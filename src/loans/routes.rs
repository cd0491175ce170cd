//! The pages of loans, and where each is.

use super::loan_page::ReadHeat;
use super::{agreement, asking, edit, handing, index, labels, letter, loan_page, updates};
use crate::state::App;
use axum::{Extension, Router};

/// The loans of an event, and the short address on a label that leads to one of them.
pub fn router(heat: ReadHeat) -> Router<App> {
    index::router()
        .merge(edit::router())
        .merge(loan_page::router())
        .merge(updates::router())
        .merge(asking::router())
        .merge(letter::router())
        .merge(agreement::router())
        .merge(labels::router())
        .merge(handing::router())
        .layer(Extension(heat))
}

/// The forms that take photos.
pub fn files_router() -> Router<App> {
    handing::files_router()
}
