//! Entries of a write until its commit.

use serde::Serialize;
use sqlx::SqliteConnection;

/// An entry that waits for its commit.
#[derive(Debug, Clone, Serialize)]
pub(in crate::db) struct Waiting {
    pub(super) at: i64,
    pub(super) actor: &'static str,
    pub(super) account_id: Option<i64>,
    pub(super) verb: &'static str,
    pub(super) subject: &'static str,
    pub(super) subject_id: Option<i64>,
    pub(super) event_id: Option<i64>,
    pub(super) title: String,
    pub(super) before: Option<String>,
    pub(super) after: Option<String>,
}

/// Writes all entries of a commit in one statement. Each statement is a trip to the
/// connection's own thread and back, which costs more than the rows.
pub(in crate::db) async fn keep(connection: &mut SqliteConnection, entries: &[Waiting]) -> sqlx::Result<()> {
    let entries = match entries {
        [] => return Ok(()),
        [one] => return keep_one(connection, one).await,
        many => serde_json::to_string(many).map_err(|error| sqlx::Error::Encode(error.into()))?,
    };
    sqlx::query!(
        "insert into journal (at, actor, account_id, verb, subject, subject_id, event_id, title, before, after)
         select value ->> 'at', value ->> 'actor', value ->> 'account_id', value ->> 'verb', value ->> 'subject',
                value ->> 'subject_id', value ->> 'event_id', value ->> 'title', value ->> 'before', value ->> 'after'
         from json_each(?) order by key",
        entries
    )
    .execute(connection)
    .await
    .map(|_| ())
}

/// The same for a single entry, the usual case, without the detour.
async fn keep_one(connection: &mut SqliteConnection, one: &Waiting) -> sqlx::Result<()> {
    sqlx::query!(
        "insert into journal (at, actor, account_id, verb, subject, subject_id, event_id, title, before, after)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        one.at,
        one.actor,
        one.account_id,
        one.verb,
        one.subject,
        one.subject_id,
        one.event_id,
        one.title,
        one.before,
        one.after
    )
    .execute(connection)
    .await
    .map(|_| ())
}
