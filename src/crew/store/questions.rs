//! Which questions asked about which positions.

use crate::db::Tx;
use crate::error::Result;
use serde_json::json;
use sqlx::SqliteConnection;
use std::collections::HashSet;

/// Notes which question asked about these assignments. The journal entry comes with the
/// question.
pub(in crate::crew) async fn put_request(tx: &mut Tx, assignments: &[i64], request_id: i64) -> Result<()> {
    let assignments = json!(assignments).to_string();
    sqlx::query!(
        "update assignment set request_id = ? where id in (select value from json_each(?))",
        request_id,
        assignments
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("insert into crew_question (request_id) values (?) on conflict do nothing", request_id)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// The questions of an event that name the positions they are about.
pub(in crate::crew) async fn questions(db: &mut SqliteConnection, event_id: i64) -> Result<HashSet<i64>> {
    let found = sqlx::query_scalar!(
        "select q.request_id from crew_question q join request r on r.id = q.request_id where r.event_id = ?",
        event_id
    );
    Ok(found.fetch_all(db).await?.into_iter().collect())
}
