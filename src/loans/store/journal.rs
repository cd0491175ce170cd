//! What the journal says about loans.

use crate::db::journal::{Actor, Entry};
use crate::loans::loan::LoanName;

/// An entry about a loan.
pub(super) fn entry<'a>(actor: Actor, verb: &'static str, loan: &LoanName<'a>) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "loan",
        subject_id: Some(loan.id),
        event_id: Some(loan.event_id),
        title: loan.what,
        before: None,
        after: None,
    }
}
