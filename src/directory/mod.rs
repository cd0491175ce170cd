//! Everyone in one place: searching, importing files, merging duplicates, erasing personal
//! data.

mod doubles;
mod duplicates;
mod erasing;
mod export;
mod files;
mod form;
mod found;
mod importing;
mod merging;
mod person_references;
mod reading;
mod routes;
mod sample;
mod store;
mod story;

use crate::people::{AllPersonReferences, PersonReferences};
use crate::state::App;
use axum::{Extension, Router};

pub use doubles::{MOST_PAIRS, Pair, Reason, pairs};
pub use export::{csv, vcards};
pub use files::{MOST_SENT, sweep};
pub use person_references::PERSON_REFERENCES;
pub use reading::{Checked, ColumnsWrong, FIELDS, Field, MOST_BYTES, decode, read, read_as};

/// The people and everything about them. Merging and erasing reach into other slices by what
/// these declare.
pub fn router(references: &'static [PersonReferences]) -> Router<App> {
    let everywhere = merging::router().merge(erasing::router()).layer(Extension(AllPersonReferences(references)));
    routes::router().merge(importing::router()).merge(duplicates::router()).merge(everywhere)
}

/// The form that takes a file, which may be larger than other forms.
pub fn files_router() -> Router<App> {
    importing::files_router()
}
