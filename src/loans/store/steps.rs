//! What happened to a loan. Rows are only added; one that was recorded by mistake is marked as
//! undone.

use super::journal::entry;
use super::kept::known;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::loans::choices::Step;
use crate::loans::loan::{Happened, Loan};
use crate::web::words::Reader;
use serde_json::json;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::{Date, OffsetDateTime};

/// The steps of these loans, a JSON array of numbers; oldest first.
pub(super) async fn steps(db: &mut SqliteConnection, ids: &str) -> Result<HashMap<i64, Vec<Happened>>> {
    let rows = sqlx::query!(
        r#"select s.id as "id!", s.loan_id, s.step, s.for_on as "for_on: Date", s.happened_on as "happened_on: Date",
                  s.who, s.note, s.at, s.taken_back_at, p.name as "by!"
           from loan_step s join account a on a.id = s.by join person p on p.id = a.person_id
           where s.loan_id in (select value from json_each(?)) order by s.id"#,
        ids
    );
    let mut all: HashMap<i64, Vec<Happened>> = HashMap::new();
    for row in rows.fetch_all(db).await? {
        all.entry(row.loan_id).or_default().push(Happened {
            id: row.id,
            step: known(&row.step, "step")?,
            for_on: row.for_on,
            on: row.happened_on,
            who: row.who,
            note: row.note,
            at: OffsetDateTime::from_unix_timestamp(row.at)?,
            by: row.by,
            is_taken_back: row.taken_back_at.is_some(),
        });
    }
    Ok(all)
}

/// A step to record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Noted {
    pub step: Step,
    /// The dates it counts for; empty for a step that has none.
    pub for_on: Vec<Date>,
    pub on: Date,
    pub who: String,
    pub note: String,
}

/// Records a step of a loan and returns the number of the last row.
pub async fn note(tx: &mut Tx, by: i64, loan: &Loan, noted: &Noted, now: OffsetDateTime) -> Result<i64> {
    let (step, at) = (noted.step.as_str(), now.unix_timestamp());
    let dates: Vec<Option<Date>> =
        if noted.step.is_dated() { noted.for_on.iter().copied().map(Some).collect() } else { vec![None] };
    let mut id = 0;
    for for_on in &dates {
        id = sqlx::query!(
            "insert into loan_step (loan_id, step, for_on, happened_on, who, note, at, by) values (?, ?, ?, ?, ?, ?, ?, ?)",
            loan.id,
            step,
            for_on,
            noted.on,
            noted.who,
            noted.note,
            at,
            by
        )
        .execute(&mut **tx)
        .await?
        .last_insert_rowid();
    }
    let named: Vec<String> = dates.iter().flatten().map(|on| Reader::App.day(*on)).collect();
    let after = Some(json!({"status": noted.step.label(), "on": Reader::App.day(noted.on), "for": named.join(", ")}));
    let entry = entry(Actor::Account(by), "updated", &loan.name());
    record(tx, now, Entry { after, ..entry });
    Ok(id)
}

/// Marks a step as undone. False if it already was.
pub(in crate::loans) async fn take_back(
    tx: &mut Tx,
    actor: Actor,
    loan: &Loan,
    happened: &Happened,
    now: OffsetDateTime,
) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update loan_step set taken_back_at = ? where id = ? and loan_id = ? and taken_back_at is null",
        at,
        happened.id,
        loan.id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    let before = Some(json!({"status": happened.step.label(), "on": Reader::App.day(happened.on)}));
    let entry = entry(actor, "undid an update of", &loan.name());
    record(tx, now, Entry { before, ..entry });
    Ok(true)
}
