//! The addresses of the settings, and the page that leads to each.

use super::{accounts, department, journal, you};
use crate::accounts::{Department, SignedIn};
use crate::error::Result;
use crate::events;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::routes::get;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;

/// The department, its accounts, the history of changes, and one's own account.
pub fn router() -> Router<App> {
    Router::new()
        .route("/settings", get(index))
        .merge(department::router())
        .merge(accounts::router())
        .merge(journal::router())
        .merge(you::router())
}

#[derive(Template)]
#[template(path = "settings/index.html")]
struct Index {
    page: Page,
    department: Department,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn) -> Result<Response> {
    let page = events::page(&app, &visit, None, app.clock.now()).await?.titled("Settings");
    show(&Index { page, department: visit.user.department })
}
