//! The days the department's offices are closed, and the calendar of working days
//! that results.

mod history;
mod routes;
mod store;

use crate::calc::calendar::Calendar;
use crate::error::Result;
use crate::state::App;
use sqlx::SqlitePool;
use std::sync::Arc;

pub use history::HISTORY;
pub use routes::router;
pub use store::{ClosedDay, add};

/// The department's working days.
pub async fn calendar(app: &App) -> Result<Arc<Calendar>> {
    let closed = store::list(app.db.read()).await?;
    Ok(app.calendar(closed.into_iter().map(|day| day.on).collect()))
}

/// The same, before there is an app.
pub async fn calendar_of(db: &SqlitePool) -> Result<Calendar> {
    Ok(Calendar::new(store::list(db).await?.into_iter().map(|day| day.on)))
}
