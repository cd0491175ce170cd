//! A question in the journal.

use crate::db::journal::{Actor, Entry};

pub(in crate::asks) fn entry<'a>(
    actor: Actor,
    verb: &'static str,
    event_id: i64,
    id: i64,
    title: &'a str,
) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "question",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}
