//! A write while it runs.

use super::journal::waiting::{Waiting, keep as keep_entries};
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;
use std::collections::BTreeMap;
use std::ops::{Deref, DerefMut};
use std::sync::Arc;

/// Inside a write: everything done on it is committed together or not at all.
#[derive(Debug)]
pub struct Tx {
    pub(super) connection: SqliteConnection,
    /// Journal entries of the writes in this commit.
    pub(super) entries: Vec<Waiting>,
    /// Other rows they add, by table.
    later: BTreeMap<&'static str, Later>,
}

/// Rows of one table that are written at the commit, all in one statement. Each statement
/// is a trip to the connection's own thread and back, which costs more than the rows.
#[derive(Debug, Clone)]
struct Later {
    rows: Vec<Arc<str>>,
    keep: Keep,
}

/// Adds the rows of a JSON array to a table.
pub type Keep = for<'c> fn(&'c mut SqliteConnection, String) -> BoxFuture<'c, sqlx::Result<()>>;

impl From<SqliteConnection> for Tx {
    fn from(connection: SqliteConnection) -> Self {
        Self { connection, entries: Vec::new(), later: BTreeMap::new() }
    }
}

impl Deref for Tx {
    type Target = SqliteConnection;

    fn deref(&self) -> &SqliteConnection {
        &self.connection
    }
}

impl DerefMut for Tx {
    fn deref_mut(&mut self) -> &mut SqliteConnection {
        &mut self.connection
    }
}

impl Tx {
    pub(super) async fn begin(&mut self) -> sqlx::Result<()> {
        self.run("begin immediate").await
    }

    /// Commits what was done since `begin`, with its journal entries.
    ///
    /// # Errors
    /// The store's. Nothing was saved then.
    pub(super) async fn commit(&mut self) -> sqlx::Result<()> {
        self.flush().await?;
        self.run("commit").await
    }

    pub(super) async fn roll_back(&mut self) -> sqlx::Result<()> {
        self.forget();
        self.run("rollback").await
    }

    /// Adds a row, a JSON object, to a table at the commit.
    pub fn later(&mut self, table: &'static str, row: Arc<str>, keep: Keep) {
        self.later.entry(table).or_insert_with(|| Later { rows: Vec::new(), keep }).rows.push(row);
    }

    /// Writes what was waiting for the commit.
    pub(super) async fn flush(&mut self) -> sqlx::Result<()> {
        for Later { rows, keep } in std::mem::take(&mut self.later).into_values() {
            keep(&mut self.connection, format!("[{}]", rows.join(","))).await?;
        }
        keep_entries(&mut self.connection, &std::mem::take(&mut self.entries)).await
    }

    /// How many rows are waiting for the commit, from all its writes.
    pub(super) fn waiting(&self) -> usize {
        self.entries.len() + self.later.values().map(|later| later.rows.len()).sum::<usize>()
    }

    pub(super) fn forget(&mut self) {
        self.entries.clear();
        self.later.clear();
    }

    #[expect(clippy::disallowed_methods, reason = "transaction control has no columns to check")]
    pub(super) async fn run(&mut self, sql: &'static str) -> sqlx::Result<()> {
        sqlx::query(sql).execute(&mut self.connection).await.map(|_| ())
    }
}
