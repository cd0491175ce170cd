//! The links to the private pages of crew members.

use crate::db::Tx;
use crate::error::Result;
use crate::web::link::{LinkKey, Opens, Secret};
use sqlx::{SqliteConnection, SqlitePool};
use std::collections::HashMap;

/// Makes someone's private page unless there is one. Returns the number that its link is
/// made with. Numbers start higher in a copy of the store, so that a link made after the
/// copy, and lost with the original, can't open someone else's page. There is no journal
/// entry, because no one decides anything here.
pub(in crate::crew) async fn add_link(tx: &mut Tx, (event_id, person_id): (i64, i64), key: &LinkKey) -> Result<i64> {
    sqlx::query!(
        "insert into crew_link (id, event_id, person_id)
         select max(coalesce((select max(id) from crew_link), 0), 1000000 * copies) + 1, ?, ? from mail_hold where true
         on conflict do nothing",
        event_id,
        person_id
    )
    .execute(&mut **tx)
    .await?;
    let id = sqlx::query_scalar!(
        r#"select id as "id!" from crew_link where event_id = ? and person_id = ?"#,
        event_id,
        person_id
    );
    let id = id.fetch_one(&mut **tx).await?;
    let hash = key.secret(Opens::CallSheet, id, 1).hash();
    sqlx::query!("update crew_link set token_hash = ? where id = ?", hash, id).execute(&mut **tx).await?;
    Ok(id)
}

/// The event and the person whose page a link opens.
pub(in crate::crew) async fn opened(db: &SqlitePool, secret: &Secret) -> Result<Option<(i64, i64)>> {
    let hash = secret.hash();
    let row = sqlx::query!(
        "select l.event_id, l.person_id from crew_link l
         join person p on p.id = l.person_id and p.forgotten_at is null and p.merged_into is null
         where l.token_hash = ?",
        hash
    );
    Ok(row.fetch_optional(db).await?.map(|row| (row.event_id, row.person_id)))
}

/// The numbers that the links of an event's crew are made with, by person.
pub(in crate::crew) async fn links(db: &mut SqliteConnection, event_id: i64) -> Result<HashMap<i64, i64>> {
    let rows = sqlx::query!(r#"select id as "id!", person_id from crew_link where event_id = ?"#, event_id);
    Ok(rows.fetch_all(db).await?.into_iter().map(|row| (row.person_id, row.id)).collect())
}
