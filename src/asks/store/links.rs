//! The links that open a question, and the number they are made with.

use crate::asks::Request;
use crate::db::Tx;
use crate::error::Result;
use crate::web::link::{LinkKey, Opens, Secret};
use time::{Date, Duration, OffsetDateTime};

/// A link opens its page this long after the last date, to show the answer.
const LINK_LASTS: Duration = Duration::days(30);

/// The number a question starts with. It is higher in a copy of the store: a question
/// there can have the same id as one asked after the copy was made and then lost, and
/// neither its link nor its calendar entries may be mistaken for that one's.
pub(super) async fn first_number(tx: &mut Tx) -> Result<i64> {
    Ok(sqlx::query_scalar!(r#"select 1 + 1000 * copies as "number!: i64" from mail_hold"#).fetch_one(&mut **tx).await?)
}

pub(super) async fn add_link(
    tx: &mut Tx,
    request_id: i64,
    secret: &Secret,
    last: Date,
    now: OffsetDateTime,
) -> Result<()> {
    let (hash, at) = (secret.hash(), now.unix_timestamp());
    let expires_at = (last + LINK_LASTS).midnight().assume_utc().unix_timestamp();
    sqlx::query!(
        "insert into request_link (token_hash, request_id, created_at, expires_at) values (?, ?, ?, ?)
         on conflict (token_hash) do update set expires_at = max(expires_at, excluded.expires_at)",
        hash,
        request_id,
        at,
        expires_at
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Keeps a question's link open until this day and a while after.
pub(in crate::asks) async fn keep_link(
    tx: &mut Tx,
    request: &Request,
    until: Date,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<()> {
    add_link(tx, request.id, &key.secret(Opens::Question, request.id, request.link_number), until, now).await
}
