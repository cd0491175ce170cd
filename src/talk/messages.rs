//! The messages that the press may have.

use super::store;
use crate::db::Tx;
use crate::error::Result;
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// Follows a change of the messages that the press may have, in the write that changes them.
pub type MessagesChanged = fn(&mut Tx, i64, OffsetDateTime) -> BoxFuture<'_, Result<()>>;

/// The messages of an event that the press may have, in order, each with its source.
pub async fn press_messages(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<String>> {
    let all = store::objectives(db, event_id).await?;
    Ok(all
        .into_iter()
        .filter(|one| one.is_for_press && one.has_source())
        .map(|one| format!("{} ({})", one.message, one.cited()))
        .collect())
}
