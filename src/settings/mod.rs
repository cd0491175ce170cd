//! The department, its closed days, its accounts, and what was changed.

mod accounts;
mod closed_days;
mod journal;
mod routes;
mod store;
mod you;

use crate::calc::calendar::Calendar;
use crate::error::Result;
use crate::state::App;
use axum::Router;
use std::sync::Arc;

pub use accounts::ROLES;
pub use store::{ClosedDay, add_closed_day};

pub fn router() -> Router<App> {
    routes::router()
        .merge(accounts::router())
        .merge(closed_days::router())
        .merge(journal::router())
        .merge(you::router())
}

/// Which days are working days for this department.
///
/// # Errors
/// The store's.
pub async fn calendar(app: &App) -> Result<Arc<Calendar>> {
    let closed = store::closed_days(app.db.read()).await?;
    Ok(app.calendar(closed.into_iter().map(|day| day.on).collect()))
}
