//! The site, drawn to scale and checked: whether the crowd sees, hears, and stays where it
//! should.

mod accept;
mod basis;
mod countdown_items;
mod drawing;
mod edit;
mod form;
mod photo;
mod plan;
mod routes;
mod says;
mod snapshot;
mod store;
mod typed;

use crate::state::App;
use axum::Router;

pub use basis::Basis;
pub use countdown_items::countdown_items;
pub use plan::{Drawn, MOST_ITEMS, Photo, Plan};
pub use store::{Refused, change, current};

/// The pages of the site.
pub fn router() -> Router<App> {
    routes::router().merge(edit::router()).merge(accept::router()).merge(photo::router())
}

/// The form that takes the photo from above.
pub fn files_router() -> Router<App> {
    photo::files_router()
}

/// The caution on every page and every sheet about the site.
const DECIDES: &str = "Screening estimates. Local codes, the authority having jurisdiction, and the safety officer \
                       decide.";
