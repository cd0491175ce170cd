//! How changes of an outlet are journaled.

use crate::db::journal::{Actor, Entry};

/// An entry about an outlet, of no event.
pub(super) fn entry<'a>(actor: Actor, verb: &'static str, id: i64, title: &'a str) -> Entry<'a> {
    Entry { actor, verb, subject: "outlet", subject_id: Some(id), event_id: None, title, before: None, after: None }
}
