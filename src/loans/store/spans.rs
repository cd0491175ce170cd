//! What was agreed, date by date.

use crate::db::Tx;
use crate::error::Result;
use crate::loans::agreed::{Agreed, AgreedDates, Span};
use crate::loans::details::Details;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::Date;

/// What was agreed for these loans, a JSON array of numbers.
pub(super) async fn spans(db: &mut SqliteConnection, ids: &str) -> Result<HashMap<i64, AgreedDates>> {
    let rows = sqlx::query!(
        r#"select loan_id, for_on as "for_on: Date", from_on as "from_on: Date", until_on as "until_on: Date",
                  collect_on as "collect_on: Date", return_on as "return_on: Date"
           from loan_span where loan_id in (select value from json_each(?))"#,
        ids
    );
    let mut all: HashMap<i64, AgreedDates> = HashMap::new();
    for row in rows.fetch_all(db).await? {
        let agreed = match (row.from_on, row.until_on) {
            (Some(from_on), Some(until_on)) => {
                Agreed::Free(Span { from_on, until_on, collect_on: row.collect_on, return_on: row.return_on })
            }
            _ => Agreed::NotFree,
        };
        all.entry(row.loan_id).or_default().insert(row.for_on, agreed);
    }
    Ok(all)
}

/// Replaces the loan dates.
pub(super) async fn put_spans(tx: &mut Tx, id: i64, new: &Details) -> Result<()> {
    sqlx::query!("delete from loan_span where loan_id = ?", id).execute(&mut **tx).await?;
    for (on, agreed) in &new.agreed {
        let (is_free, span) = match agreed {
            Agreed::NotFree => (false, None),
            Agreed::Free(span) => (true, Some(*span)),
        };
        let (from_on, until_on) = (span.map(|span| span.from_on), span.map(|span| span.until_on));
        let (collect_on, return_on) = (span.and_then(|span| span.collect_on), span.and_then(|span| span.return_on));
        sqlx::query!(
            "insert into loan_span (loan_id, for_on, is_free, from_on, until_on, collect_on, return_on)
             values (?, ?, ?, ?, ?, ?, ?)",
            id,
            on,
            is_free,
            from_on,
            until_on,
            collect_on,
            return_on
        )
        .execute(&mut **tx)
        .await?;
    }
    Ok(())
}
