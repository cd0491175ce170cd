//! A column that refers to a person, and what a merge does to it.

use super::moved::Moved;
use super::store::{self, Rows};
use crate::db::Tx;
use crate::error::Result;
use futures_util::future::BoxFuture;
use serde_json::{Value, json};

/// Moves what refers to one record of a person to another, and returns what was moved.
pub type Reassign = for<'a> fn(&'a mut Tx, i64, i64) -> BoxFuture<'a, Result<Value>>;
/// Moves that back, from the one to the other.
pub type Undo = for<'a> fn(&'a mut Tx, Value, i64, i64) -> BoxFuture<'a, Result<()>>;

/// A column that refers to a person.
#[derive(Debug, Clone, Copy)]
pub struct PersonColumn {
    pub table: &'static str,
    pub column: &'static str,
    /// Where records of merges have what was moved if an older version wrote them.
    older: &'static [&'static str],
    in_a_merge: InAMerge,
}

#[derive(Debug, Clone, Copy)]
enum InAMerge {
    Moves { has_version: bool },
    Stays,
    Special { reassign: Reassign, undo: Undo },
}

impl PersonColumn {
    /// Its rows, which have an `id`, move to the record that stays. If both have one where only
    /// one may be, the other stays with the record that goes, and isn't shown while they are
    /// merged.
    #[must_use]
    pub const fn moves(table: &'static str, column: &'static str) -> Self {
        Self::of(table, column, InAMerge::Moves { has_version: false })
    }

    /// The same, and raises the version of its rows.
    #[must_use]
    pub const fn moves_with_version(table: &'static str, column: &'static str) -> Self {
        Self::of(table, column, InAMerge::Moves { has_version: true })
    }

    /// Its rows say something about a record of a person, and stay with it.
    #[must_use]
    pub const fn stays(table: &'static str, column: &'static str) -> Self {
        Self::of(table, column, InAMerge::Stays)
    }

    /// The slice has statements of its own for it.
    #[must_use]
    pub const fn special(table: &'static str, column: &'static str, reassign: Reassign, undo: Undo) -> Self {
        Self::of(table, column, InAMerge::Special { reassign, undo })
    }

    /// Where records of merges have what was moved if an older version wrote them.
    #[must_use]
    pub const fn was_at(self, older: &'static [&'static str]) -> Self {
        Self { older, ..self }
    }

    const fn of(table: &'static str, column: &'static str, in_a_merge: InAMerge) -> Self {
        Self { table, column, older: &[], in_a_merge }
    }

    /// Under this name, the record of a merge has what was moved: `loan.lender_id`.
    #[must_use]
    pub fn key(&self) -> String {
        format!("{}.{}", self.table, self.column)
    }

    /// Whether it reads a part of this name in the record of a merge.
    pub(super) fn reads(&self, key: &str) -> bool {
        self.key() == key || self.older.iter().any(|older| older.split('/').next() == Some(key))
    }

    /// Moves its rows, and returns which.
    pub(super) async fn reassign(&self, tx: &mut Tx, from: i64, to: i64) -> Result<Option<Value>> {
        match self.in_a_merge {
            InAMerge::Moves { has_version } => {
                let rows = store::reassign(tx, self.rows(has_version), from, to).await?;
                Ok((!rows.is_empty()).then(|| json!(rows)))
            }
            InAMerge::Stays => Ok(None),
            InAMerge::Special { reassign, .. } => Ok(Some(reassign(tx, from, to).await?)),
        }
    }

    /// Moves those rows back that a merge moved.
    pub(super) async fn undo(&self, tx: &mut Tx, moved: &Moved, from: i64, to: i64) -> Result<()> {
        let key = self.key();
        let paths: Vec<&str> = [key.as_str()].into_iter().chain(self.older.iter().copied()).collect();
        match self.in_a_merge {
            InAMerge::Moves { has_version } => {
                let Some(ids) = moved.read::<Vec<i64>>(&paths)? else { return Ok(()) };
                store::undo(tx, self.rows(has_version), &ids, from, to).await
            }
            InAMerge::Stays => Ok(()),
            InAMerge::Special { undo, .. } => {
                let Some(moved) = moved.read::<Value>(&paths)? else { return Ok(()) };
                undo(tx, moved, from, to).await
            }
        }
    }

    const fn rows(&self, has_version: bool) -> Rows {
        Rows { table: self.table, column: self.column, has_version }
    }
}
