//! Whether what was typed can be saved.

use crate::countdown;
use crate::error::Result;
use crate::loans::details::Details;
use crate::loans::form::LoanForm;
use crate::loans::loan::Loan;
use crate::loans::snapshot::LoanSnapshot;
use crate::loans::store;
use crate::people::choosing::{self, Whom, WithPerson};
use crate::state::App;
use crate::web::form::Mistakes;

const NO_LENDER: &str = "Choose the lender.";

/// What was typed and can be saved.
#[derive(Debug, Clone)]
pub(super) struct Ready {
    pub details: Details,
    pub lender: Whom,
}

/// What was typed, if it can be saved: everything it refers to must exist.
pub(super) async fn ready(
    app: &App,
    sent: &WithPerson<LoanForm>,
    (snapshot, old): (&LoanSnapshot, Option<&Loan>),
) -> Result<std::result::Result<Ready, Mistakes>> {
    let mut mistakes = Mistakes::default();
    let lender = sent.new.whom("lender", sent.form.get("lender"), NO_LENDER, &mut mistakes);
    let (details, lender) = match (sent.form.read(&snapshot.event, old), lender) {
        (Ok(details), Some(lender)) => (details, lender),
        (Ok(_), None) => return Ok(Err(mistakes)),
        (Err(others), _) => return Ok(Err(mistakes.and(others))),
    };
    let mut db = app.db.read().acquire().await?;
    if choosing::known_about(&mut db, &lender).await?.is_none() {
        mistakes.add("lender", NO_LENDER);
    }
    if let Some(task) = details.task_id
        && countdown::tasks_in(&mut db, snapshot.event.id).await?.iter().all(|known| known.id != task)
    {
        mistakes.add("task", "This task is no longer in the plan. Choose another.");
    }
    if details.backup_id.is_some_and(|id| Some(id) == old.map(|old| old.id) || snapshot.find(id).is_none()) {
        mistakes.add("backup_id", "Choose another loan of this event.");
    }
    if let Some(same) = details.same_as
        && store::event_of(&mut db, same).await?.is_none_or(|event| event == snapshot.event.id)
    {
        mistakes.add("same_as", "Choose a loan of another event.");
    }
    Ok(if mistakes.is_empty() { Ok(Ready { details, lender }) } else { Err(mistakes) })
}
