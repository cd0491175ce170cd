//! Letters to lenders, as they went out.

use super::journal::entry;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::loans::loan::Loan;
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// A letter about a loan, as it went out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::loans) struct Written {
    pub about: String,
    pub way: String,
    pub text: String,
    pub at: OffsetDateTime,
    pub by: String,
    pub mail_id: Option<i64>,
}

/// The letters to the lender, newest first.
pub(in crate::loans) async fn letters(db: &mut SqliteConnection, loan_id: i64) -> Result<Vec<Written>> {
    let rows = sqlx::query!(
        r#"select w.about, w.way, w.text, w.at, w.mail_id, p.name as "by!"
           from loan_letter w join account a on a.id = w.by join person p on p.id = a.person_id
           where w.loan_id = ? order by w.id desc"#,
        loan_id
    );
    let written = rows.fetch_all(db).await?.into_iter().map(|row| {
        let at = OffsetDateTime::from_unix_timestamp(row.at)?;
        Ok(Written { about: row.about, way: row.way, text: row.text, at, by: row.by, mail_id: row.mail_id })
    });
    written.collect()
}

/// A letter that went out: by email, if it has a number there.
pub(in crate::loans) struct NewLetter<'a> {
    pub about: &'a str,
    pub text: &'a str,
    pub mail_id: Option<i64>,
}

/// Saves a letter to the lender.
pub(in crate::loans) async fn add_letter(
    tx: &mut Tx,
    by: i64,
    loan: &Loan,
    new: &NewLetter<'_>,
    now: OffsetDateTime,
) -> Result<()> {
    let NewLetter { about, text, mail_id } = *new;
    let (way, at) = (if mail_id.is_some() { "mail" } else { "on paper" }, now.unix_timestamp());
    sqlx::query!(
        "insert into loan_letter (loan_id, about, way, text, at, by, mail_id) values (?, ?, ?, ?, ?, ?, ?)",
        loan.id,
        about,
        way,
        text,
        at,
        by,
        mail_id
    )
    .execute(&mut **tx)
    .await?;
    let sent = if mail_id.is_some() { "by email" } else { "on paper" };
    let after = Some(json!({"about": about, "sent": sent}));
    let entry = entry(Actor::Account(by), "wrote to the lender about", &loan.name());
    record(tx, now, Entry { after, ..entry });
    Ok(())
}
