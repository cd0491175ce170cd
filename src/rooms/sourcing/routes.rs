//! The pages of the shopping and donations list.

use super::{asking, list_page, replies};
use crate::state::App;
use crate::web::routes::{get, post};
use axum::Router;

pub(in crate::rooms) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/shopping", get(list_page::show_page).merge(post(asking::ask)))
        .route("/events/{id}/rooms/donation-requests/{request}", post(replies::answer))
}
