//! People suggested while someone types.

use super::chooser::{Line, in_order};
use super::find::Find;
use super::store;
use crate::error::Result;
use crate::people::person::Person;
use sqlx::SqliteConnection;

/// Names that contain what is being typed, as suggestions.
pub async fn names(db: &mut SqliteConnection, typed: &str, most: usize) -> Result<Vec<String>> {
    store::names(db, typed, i64::try_from(most)?).await
}

/// People who match what is being typed, as suggestions.
pub async fn suggested(db: &mut SqliteConnection, typed: &str, most: usize) -> Result<Vec<Line>> {
    let find = Find { find: typed.to_owned(), ..Find::default() };
    let ids = store::matching(db, &find, &[], 0, most).await?;
    let line = |person: &Person| Line { id: person.id, name: person.details.name.clone(), detail: person.place() };
    Ok(in_order(db, &ids).await?.iter().map(line).collect())
}
