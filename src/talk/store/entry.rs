//! How the journal calls what changes.

use crate::db::journal::{Actor, Entry};

pub(in crate::talk) fn entry<'a>(
    actor: Actor,
    verb: &'static str,
    subject: &'static str,
    event_id: i64,
    title: &'a str,
) -> Entry<'a> {
    Entry { actor, verb, subject, subject_id: None, event_id: Some(event_id), title, before: None, after: None }
}
