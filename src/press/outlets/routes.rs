//! All pages of outlets.

use super::{contacts, editing, list, listing};
use crate::state::App;
use axum::Router;

pub(in crate::press) fn router() -> Router<App> {
    list::router().merge(editing::router()).merge(listing::router()).merge(contacts::router())
}
