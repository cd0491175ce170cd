//! Journal entries about the rooms.

use crate::db::journal::{Actor, Entry};

pub(super) fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, id: i64, title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "thing",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}
