//! An entry, and how a write adds it.

use super::waiting::Waiting;
use crate::db::tx::Tx;
use serde_json::Value;
use time::OffsetDateTime;

/// Who acts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Actor {
    /// Someone who is signed in, by the number of the account.
    Account(i64),
    /// Someone with an emailed or copied link.
    Link,
    /// The program itself.
    System,
}

/// One change.
#[derive(Debug)]
pub struct Entry<'a> {
    pub actor: Actor,
    /// What was done, as in "Priya Okafor *changed* a task".
    pub verb: &'static str,
    /// The kind of thing, and which one.
    pub subject: &'static str,
    pub subject_id: Option<i64>,
    pub event_id: Option<i64>,
    /// What people call the thing.
    pub title: &'a str,
    /// Objects with the same fields. A field that differs was changed.
    pub before: Option<Value>,
    pub after: Option<Value>,
}

/// Adds an entry, to be committed with this write.
pub fn record(tx: &mut Tx, now: OffsetDateTime, entry: Entry<'_>) {
    let (actor, account_id) = match entry.actor {
        Actor::Account(id) => ("account", Some(id)),
        Actor::Link => ("link", None),
        Actor::System => ("system", None),
    };
    tx.entries.push(Waiting {
        at: now.unix_timestamp(),
        actor,
        account_id,
        verb: entry.verb,
        subject: entry.subject,
        subject_id: entry.subject_id,
        event_id: entry.event_id,
        title: entry.title.to_owned(),
        before: entry.before.map(|value| value.to_string()),
        after: entry.after.map(|value| value.to_string()),
    });
}
