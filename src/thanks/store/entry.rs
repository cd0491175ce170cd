//! How the journal calls what changes.

use crate::db::journal::{Actor, Entry};

pub(super) fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, title: &'a str) -> Entry<'a> {
    let subject = "thanks to";
    Entry { actor, verb, subject, subject_id: None, event_id: Some(event_id), title, before: None, after: None }
}
