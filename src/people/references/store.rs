//! The only statements that are made from names: those of a column that a slice declared. A
//! test compares all of them with the store.

use crate::db::Tx;
use crate::error::Result;
use serde_json::json;
use sqlx::query::QueryScalar;
use sqlx::sqlite::SqliteArguments;
use sqlx::{AssertSqlSafe, Sqlite};

/// The rows of a table whose column refers to a person.
#[derive(Debug, Clone, Copy)]
pub struct Rows {
    pub table: &'static str,
    pub column: &'static str,
    /// Each change raises their version, so that a form that was opened before can't undo it.
    pub has_version: bool,
}

/// Makes them refer to another record of the same person. A row that can't, since both have one
/// where only one may be, stays as it is.
pub(super) async fn reassign(tx: &mut Tx, rows: Rows, from: i64, to: i64) -> Result<Vec<i64>> {
    let set = set(rows);
    let statement = format!("update or ignore {set} where {} = ? returning id", rows.column);
    Ok(query(statement).bind(to).bind(from).fetch_all(&mut **tx).await?)
}

/// The same for those of these rows that still refer to the one, back to the other.
pub(super) async fn undo(tx: &mut Tx, rows: Rows, ids: &[i64], from: i64, to: i64) -> Result<()> {
    let set = set(rows);
    let which = format!("{} = ? and id in (select value from json_each(?))", rows.column);
    let statement = format!("update {set} where {which} returning id");
    query(statement).bind(to).bind(from).bind(json!(ids).to_string()).fetch_all(&mut **tx).await?;
    Ok(())
}

fn set(Rows { table, column, has_version }: Rows) -> String {
    let version = if has_version { ", version = version + 1" } else { "" };
    format!("{table} set {column} = ?{version}")
}

#[expect(clippy::disallowed_methods, reason = "it holds only names from the source, which a test checks")]
fn query<'q>(statement: String) -> QueryScalar<'q, Sqlite, i64, SqliteArguments> {
    sqlx::query_scalar(AssertSqlSafe(statement))
}
