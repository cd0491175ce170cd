//! An assignment in the journal.

use crate::db::journal::{Actor, Entry};

pub(super) fn entry<'a>(actor: Actor, verb: &'static str, (event_id, id): (i64, i64), title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "crew",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}
