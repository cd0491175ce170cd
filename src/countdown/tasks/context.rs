//! What every request about a task needs.

use crate::accounts::Visit;
use crate::countdown::Outlook;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::Page;
use time::OffsetDateTime;

/// An event with its plan, and the page that is shown about it.
pub(super) struct TaskContext {
    pub event: Event,
    pub outlook: Outlook,
    pub page: Page,
    pub now: OffsetDateTime,
}

impl TaskContext {
    pub async fn at(app: &App, visit: &Visit, event_id: i64, title: &str) -> Result<Self> {
        let now = app.clock.now();
        let (event, outlook) = Outlook::find(app, event_id, now).await?;
        let page = events::page(app, visit, Some(&event), now).await?.titled(title);
        Ok(Self { event, outlook, page, now })
    }

    /// The index of a task in the outlook.
    pub fn place(&self, task: i64) -> Result<usize> {
        self.outlook.place(task).ok_or(Error::NotFound)
    }
}
