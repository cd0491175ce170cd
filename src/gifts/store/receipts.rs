//! All SQL of receipts.

use super::journal::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::gifts::{Gift, MadeFrom, Receipt};
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// A receipt that was given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::gifts) struct Given {
    pub id: i64,
    pub way: String,
    /// Empty once the donor's personal data is erased.
    pub text: String,
    /// None if it isn't known, as for older ones.
    pub made_from: Option<MadeFrom>,
    pub at: OffsetDateTime,
    pub by: Option<String>,
    pub mail_id: Option<i64>,
}

/// The receipts for an event's gifts, each with the gift's number, newest first.
pub(in crate::gifts) async fn receipts(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<(i64, Given)>> {
    let rows = sqlx::query!(
        r#"select r.id as "id!", r.gift_id, r.way, r.text, r.made_from, r.at, r.mail_id, p.name as "by?"
           from receipt r join gift g on g.id = r.gift_id left join account a on a.id = r.by
                left join person p on p.id = a.person_id
           where g.event_id = ? order by r.id desc"#,
        event_id
    );
    let given = rows.fetch_all(db).await?.into_iter().map(|row| {
        let at = OffsetDateTime::from_unix_timestamp(row.at)?;
        let made_from = row.made_from.as_deref().map(serde_json::from_str).transpose()?;
        let given = Given { id: row.id, way: row.way, text: row.text, made_from, at, by: row.by, mail_id: row.mail_id };
        Ok((row.gift_id, given))
    });
    given.collect()
}

/// Saves what a receipt said, and how it reached the donor.
pub async fn add_receipt(
    tx: &mut Tx,
    by: i64,
    gift: &Gift,
    receipt: &Receipt,
    mail_id: Option<i64>,
    now: OffsetDateTime,
) -> Result<()> {
    let (text, made_from) = (receipt.text(), serde_json::to_string(&receipt.made_from)?);
    let (way, at) = (if mail_id.is_some() { "mail" } else { "on paper" }, now.unix_timestamp());
    sqlx::query!(
        "insert into receipt (gift_id, way, text, made_from, at, by, mail_id) values (?, ?, ?, ?, ?, ?, ?)",
        gift.id,
        way,
        text,
        made_from,
        at,
        by,
        mail_id
    )
    .execute(&mut **tx)
    .await?;
    let title = gift.details.what.says();
    let after = Some(json!({"way": way}));
    let entry = entry(Actor::Account(by), "gave a receipt for", gift.event_id, gift.id, &title);
    record(tx, now, Entry { after, ..entry });
    Ok(())
}

/// Stores what a receipt was made from.
pub(in crate::gifts) async fn put_made_from(tx: &mut Tx, id: i64, made_from: &MadeFrom) -> Result<()> {
    let made_from = serde_json::to_string(made_from)?;
    sqlx::query!("update receipt set made_from = ? where id = ?", made_from, id).execute(&mut **tx).await?;
    Ok(())
}
