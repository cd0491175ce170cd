//! Entries of gates and decisions in the journal.

use crate::db::journal::{Actor, Entry};

pub(super) fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, gate: i64, name: &'a str) -> Entry<'a> {
    let (subject, subject_id) = ("gate", Some(gate));
    Entry { actor, verb, subject, subject_id, event_id: Some(event_id), title: name, before: None, after: None }
}

pub(super) fn of_decision<'a>(actor: Actor, verb: &'static str, event_id: i64, title: &'a str) -> Entry<'a> {
    let subject = "decision";
    Entry { actor, verb, subject, subject_id: None, event_id: Some(event_id), title, before: None, after: None }
}
