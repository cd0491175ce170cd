//! Which rows are the same person.

use crate::error::Result;
use sqlx::{SqliteConnection, SqlitePool};

/// Whose row this one was merged into, if it was.
pub async fn merged_into(db: &SqlitePool, id: i64) -> Result<Option<i64>> {
    let into = sqlx::query_scalar!(
        r#"with recursive chain (id) as (
               select merged_into from person where id = ? and merged_into is not null
               union select p.merged_into from person p join chain c on p.id = c.id where p.merged_into is not null)
           select p.id as "id!" from chain c join person p on p.id = c.id
           where p.merged_into is null and p.forgotten_at is null"#,
        id
    );
    Ok(into.fetch_optional(db).await?)
}

/// This person's row and every row merged into it.
pub async fn same_as(db: &mut SqliteConnection, id: i64) -> Result<Vec<i64>> {
    let rows = sqlx::query_scalar!(
        r#"with recursive same (id) as (
               select ? union select p.id from person p join same s on p.merged_into = s.id)
           select id as "id!: i64" from same order by id"#,
        id
    );
    Ok(rows.fetch_all(db).await?)
}
