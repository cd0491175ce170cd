use crate::db::Tx;
use crate::error::Result;
use sqlx::SqlitePool;
use time::OffsetDateTime;

#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    pub id: i64,
    pub name: String,
}

/// Everyone, by name.
///
/// # Errors
/// The store's.
pub async fn list(db: &SqlitePool) -> Result<Vec<Person>> {
    Ok(sqlx::query_as!(Person, "select id, name from person order by name collate nocase").fetch_all(db).await?)
}

/// Gives a person another name. If somebody has it already, nothing happens.
///
/// # Errors
/// The store's.
pub async fn rename(tx: &mut Tx, id: i64, name: &str) -> Result<()> {
    sqlx::query!("update or ignore person set name = ? where id = ?", name, id).execute(&mut **tx).await?;
    Ok(())
}

/// The person of that name, who is added if there is none.
///
/// # Errors
/// The store's.
pub async fn named(tx: &mut Tx, name: &str, now: OffsetDateTime) -> Result<i64> {
    let known =
        sqlx::query_scalar!(r#"select id as "id!" from person where name = ?"#, name).fetch_optional(&mut **tx).await?;
    if let Some(id) = known {
        return Ok(id);
    }
    let at = now.unix_timestamp();
    Ok(sqlx::query!("insert into person (name, created_at) values (?, ?)", name, at)
        .execute(&mut **tx)
        .await?
        .last_insert_rowid())
}
