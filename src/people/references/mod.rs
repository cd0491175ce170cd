//! What other slices keep about people, and what becomes of it when two records of the same
//! person are merged, when that is undone, and when someone's personal data is erased.
//!
//! Each slice declares it in its `person_references.rs`. `server.rs` has the list of all.

mod column;
mod erasure;
mod moved;
mod store;

pub use column::PersonColumn;
pub use erasure::Erasure;
pub use moved::Moved;

use crate::db::Tx;
use crate::error::{Error, Result};
use anyhow::anyhow;
use futures_util::future::BoxFuture;

/// Erases what a slice keeps about someone in words. Does nothing in a slice that keeps
/// only their number.
pub type Blank = for<'a> fn(&'a mut Tx, &'a Erasure) -> BoxFuture<'a, Result<()>>;

/// What a slice keeps about people.
#[derive(Debug, Clone, Copy)]
pub struct PersonReferences {
    /// Every column that refers to a person.
    pub columns: &'static [PersonColumn],
    pub blank: Blank,
}

impl PersonReferences {
    /// For a slice that keeps no words about anyone.
    pub const NOTHING_TO_BLANK: Blank = |_, _| Box::pin(async { Ok(()) });
}

/// What all slices keep about people.
#[derive(Debug, Clone, Copy)]
pub struct AllPersonReferences(pub &'static [PersonReferences]);

impl AllPersonReferences {
    /// Every column that refers to a person.
    pub fn columns(self) -> impl Iterator<Item = &'static PersonColumn> {
        self.0.iter().flat_map(|slice| slice.columns)
    }

    /// Moves everything from one record of a person to another, and returns what was moved.
    pub async fn reassign(self, tx: &mut Tx, from: i64, to: i64) -> Result<Moved> {
        let mut moved = Moved::default();
        for column in self.columns() {
            if let Some(rows) = column.reassign(tx, from, to).await? {
                moved.keep(column.key(), rows);
            }
        }
        Ok(moved)
    }

    /// Moves everything back that is still where it was moved to.
    ///
    /// # Errors
    /// When the record of what was moved can't be read, and the store's. The write must then
    /// be given up as a whole.
    pub async fn undo(self, tx: &mut Tx, moved: &Moved, from: i64, to: i64) -> Result<()> {
        if let Some(key) = moved.keys().find(|key| !self.columns().any(|column| column.reads(key))) {
            return Err(Error::Internal(anyhow!("a merge moved something that isn't known: {key}")));
        }
        for column in self.columns() {
            column.undo(tx, moved, from, to).await?;
        }
        Ok(())
    }

    /// Erases what is kept in words about someone.
    pub async fn blank(self, tx: &mut Tx, erasure: &Erasure) -> Result<()> {
        for slice in self.0 {
            (slice.blank)(tx, erasure).await?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests;
