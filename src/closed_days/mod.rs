//! Days on which the department's offices are closed, and the calendar of
//! working days that follows.

mod routes;
mod store;

use crate::calc::calendar::Calendar;
use crate::error::Result;
use crate::state::App;
use std::sync::Arc;

pub use routes::router;
pub use store::{ClosedDay, add};

/// Which days are working days for this department.
///
/// # Errors
/// The store's.
pub async fn calendar(app: &App) -> Result<Arc<Calendar>> {
    let closed = store::list(app.db.read()).await?;
    Ok(app.calendar(closed.into_iter().map(|day| day.on).collect()))
}
