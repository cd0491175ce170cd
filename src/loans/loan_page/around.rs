//! What the page of a loan shows besides the loan itself.

use crate::accounts::Visit;
use crate::countdown::{self, Task};
use crate::db::journal;
use crate::error::Result;
use crate::events::Event;
use crate::loans::loan::Loan;
use crate::loans::store::{self, Written};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::history::HistoryLine;
use futures_util::future::BoxFuture;

/// Finds how far from the rooms things that melt must be by the plan for the fire, in meters;
/// none without a plan.
pub type ReadHeat = fn(App, Event) -> BoxFuture<'static, Result<Option<f64>>>;

pub(super) struct Around {
    /// The lender.
    pub person: Option<Person>,
    /// The task that needs it.
    pub task: Option<Task>,
    pub written: Vec<Written>,
    pub history: Vec<HistoryLine>,
    /// Things that melt must be farther away than this, in meters.
    pub melts_within: Option<f64>,
}

impl Around {
    pub async fn load(app: &App, visit: &Visit, event: &Event, loan: &Loan, heat: ReadHeat) -> Result<Self> {
        let history = visit.user.shown_history(journal::of(app.db.read(), "loan", loan.id).await?);
        let history = app.history.lines(history, &event.details.zone);
        let mut db = app.db.read().acquire().await?;
        let person = people::find(&mut db, loan.details.lender_id).await?;
        let written = store::letters(&mut db, loan.id).await?;
        let task = match loan.details.task_id {
            Some(task) => countdown::tasks_in(&mut db, event.id).await?.into_iter().find(|known| known.id == task),
            None => None,
        };
        drop(db);
        let melts_within = heat(app.clone(), event.clone()).await?;
        Ok(Self { person, task, written, history, melts_within })
    }
}
