//! Crew members who are merged, and those whose data is erased.

use crate::db::Tx;
use crate::db::journal;
use crate::error::Result;
use crate::people::Erasure;
use crate::web::words;
use serde_json::{Value, json};
use time::Date;

/// Moves someone's hours to another record of the same person, and returns the event and day of
/// each: they have no number of their own. A day that the other has hours for stays.
pub(super) async fn reassign(tx: &mut Tx, from: i64, to: i64) -> Result<Value> {
    let hours = sqlx::query!(
        r#"update or ignore crew_hours set person_id = ? where person_id = ?
           returning event_id as "event_id!", for_on as "for_on!: Date""#,
        to,
        from
    );
    let hours = hours.fetch_all(&mut **tx).await?.into_iter();
    Ok(hours.map(|row| json!([row.event_id, words::iso(row.for_on)])).collect())
}

/// Undoes it.
pub(super) async fn undo(tx: &mut Tx, hours: Value, from: i64, to: i64) -> Result<()> {
    let hours: Vec<(i64, String)> = serde_json::from_value(hours)?;
    for (event_id, on) in hours {
        sqlx::query!(
            "update or ignore crew_hours set person_id = ? where event_id = ? and for_on = ? and person_id = ?",
            to,
            event_id,
            on,
            from
        )
        .execute(&mut **tx)
        .await?;
    }
    Ok(())
}

/// Erases the notes about one person. That they had a position, and for how long, stays for
/// the totals. Their page no longer opens.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let people = erasure.rows_json();
    let holdings = blank_holdings(tx, &people).await?;
    let attendances = blank_attendances(tx, &people).await?;
    let assignments = sqlx::query_scalar!(
        r#"select id as "id!" from assignment where person_id in (select value from json_each(?))"#,
        people
    );
    let assignments = assignments.fetch_all(&mut **tx).await?;
    let told =
        [("certificate", &holdings), ("attendance", &attendances), ("crew", &assignments), ("hours", &erasure.rows)];
    for (subject, ids) in told {
        journal::forget(tx, subject, ids, &erasure.called).await?;
    }
    sqlx::query!("update crew_link set token_hash = null where person_id in (select value from json_each(?))", people)
        .execute(&mut **tx)
        .await?;
    sqlx::query!(
        "update assignment set override_reason = 'forgotten'
         where override_by is not null and person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Erases the notes about what they hold, and returns the numbers.
async fn blank_holdings(tx: &mut Tx, people: &str) -> Result<Vec<i64>> {
    let blanked = sqlx::query_scalar!(
        r#"update holding set evidence = '', issued_by = '', version = version + 1
           where person_id in (select value from json_each(?)) returning id as "id!""#,
        people
    );
    Ok(blanked.fetch_all(&mut **tx).await?)
}

/// Erases why their times were corrected, and returns the numbers.
async fn blank_attendances(tx: &mut Tx, people: &str) -> Result<Vec<i64>> {
    let blanked = sqlx::query_scalar!(
        r#"update attendance set reason = '' where person_id in (select value from json_each(?))
           returning id as "id!""#,
        people
    );
    Ok(blanked.fetch_all(&mut **tx).await?)
}
