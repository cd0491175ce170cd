//! The addresses of guests.

use super::program::ReadFollowing;
use super::{
    adding, calling, day, editing, guest_page, index, inviting, placing, print, program, removing, settings_page,
};
use crate::state::App;
use axum::{Extension, Router};

/// Everything about guests.
pub fn router(following: ReadFollowing) -> Router<App> {
    let guests = index::router().merge(adding::router()).merge(guest_page::router()).merge(editing::router());
    let small = placing::router().merge(calling::router()).merge(removing::router());
    let pages = guests.merge(small).merge(inviting::router()).merge(day::router()).merge(print::router());
    pages.merge(program::router()).merge(settings_page::router()).layer(Extension(following))
}
