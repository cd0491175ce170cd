//! The addresses of People.

use super::{downloads, duplicates, editing, erasing, importing, list, merging, person_page, suggesting};
use crate::people::{AllPersonReferences, PersonReferences};
use crate::state::App;
use axum::{Extension, Router};

/// The people and everything about them. Merging and erasing reach into other slices by what
/// these declare.
pub fn router(references: &'static [PersonReferences]) -> Router<App> {
    let everywhere = merging::router().merge(erasing::router()).layer(Extension(AllPersonReferences(references)));
    list::router()
        .merge(suggesting::router())
        .merge(editing::router())
        .merge(person_page::router())
        .merge(downloads::router())
        .merge(importing::router())
        .merge(duplicates::router())
        .merge(everywhere)
}

/// The form that takes a file, which may be larger than other forms.
pub fn files_router() -> Router<App> {
    importing::files_router()
}
