//! What has gone out, may have, or still waits.

use crate::db::Tx;
use crate::error::Result;

/// Was everything written about a question stopped before it went out? False if nothing
/// was written.
pub async fn was_only_waiting(tx: &mut Tx, request_id: i64) -> Result<bool> {
    let row = sqlx::query!(
        r#"select count(*) as "all!: i64",
                  coalesce(sum(state in ('sent', 'uncertain', 'sending') or data_at is not null or unsure > 0), 0) as "gone!: i64"
           from mail where request_id = ?"#,
        request_id
    );
    let row = row.fetch_one(&mut **tx).await?;
    Ok(row.all > 0 && row.gone == 0)
}

/// Is a letter waiting that asks a question or reports on it?
pub async fn waits(tx: &mut Tx, request_id: i64) -> Result<bool> {
    let waits = sqlx::query_scalar!(
        r#"select count(*) as "waits!" from mail
           where request_id = ? and state = 'waiting' and kind in ('ask', 'notice')"#,
        request_id
    );
    Ok(waits.fetch_one(&mut **tx).await? > 0)
}

/// Has one of the letters whose key begins like this gone out, or may it have?
pub async fn may_have_gone(tx: &mut Tx, start: &str) -> Result<bool> {
    let gone = sqlx::query_scalar!(
        r#"select count(*) as "gone!" from mail
           where state in ('sending', 'sent', 'uncertain') and substr(dedup, 1, length(?)) = ?"#,
        start,
        start
    );
    Ok(gone.fetch_one(&mut **tx).await? > 0)
}
