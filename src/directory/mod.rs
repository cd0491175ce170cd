//! Everyone in one place: searching, importing files, merging duplicates, erasing personal
//! data.

mod doubles;
mod export;
mod files;
mod forgetting;
mod form;
mod history;
mod importing;
mod merging;
mod reading;
mod routes;
mod sample;
mod store;
mod story;

use crate::state::App;
use axum::Router;

pub use doubles::{MOST_PAIRS, Pair, Reason, pairs};
pub use export::{csv, vcards};
pub use files::{MOST_SENT, sweep};
pub use history::HISTORY;
pub use reading::{Checked, ColumnsWrong, FIELDS, Field, MOST_BYTES, decode, read, read_as};

/// The people and everything about them.
pub fn router() -> Router<App> {
    routes::router().merge(importing::router()).merge(merging::router()).merge(forgetting::router())
}

/// The form that takes a file, which may be larger than other forms.
pub fn files_router() -> Router<App> {
    importing::files_router()
}
