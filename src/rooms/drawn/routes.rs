//! The pages of the drawn rooms.

use super::{item_page, moving, plan_page, size_page};
use crate::state::App;
use axum::Router;

pub(in crate::rooms) fn router() -> Router<App> {
    Router::new()
        .merge(plan_page::router())
        .merge(size_page::router())
        .merge(item_page::router())
        .merge(moving::router())
}
