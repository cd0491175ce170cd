//! What refers to a person, when two records of them are merged or their data is erased.

use crate::crew::{day, skills};
use crate::db::Tx;
use crate::db::journal;
use crate::error::Result;
use crate::web::words;
use serde::{Deserialize, Serialize};
use serde_json::json;
use time::Date;

/// What moved from one record of a person to another when the two were merged.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Handed {
    assignments: Vec<i64>,
    links: Vec<i64>,
    /// Each an event's number and a day.
    hours: Vec<(i64, String)>,
    holdings: Vec<i64>,
    attendances: Vec<i64>,
}

/// Moves everything about the crew from one record of a person to another record of the
/// same person. What the other already has stays with the record that goes away.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Handed> {
    let assignments = sqlx::query_scalar!(
        r#"update or ignore assignment set person_id = ? where person_id = ? returning id as "id!""#,
        to,
        from
    );
    let assignments = assignments.fetch_all(&mut **tx).await?;
    let links = sqlx::query_scalar!(
        r#"update or ignore crew_link set person_id = ? where person_id = ? returning id as "id!""#,
        to,
        from
    );
    let links = links.fetch_all(&mut **tx).await?;
    let hours = sqlx::query!(
        r#"update or ignore crew_hours set person_id = ? where person_id = ?
           returning event_id as "event_id!", for_on as "for_on!: Date""#,
        to,
        from
    );
    let hours = hours.fetch_all(&mut **tx).await?.into_iter().map(|row| (row.event_id, words::iso(row.for_on)));
    Ok(Handed {
        assignments,
        links,
        hours: hours.collect(),
        holdings: skills::store::hand_over(tx, from, to).await?,
        attendances: day::store::hand_over(tx, from, to).await?,
    })
}

/// Undoes it.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, handed: &Handed, (from, to): (i64, i64)) -> Result<()> {
    for id in &handed.assignments {
        sqlx::query!("update assignment set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    for id in &handed.links {
        sqlx::query!("update crew_link set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    for (event_id, on) in &handed.hours {
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
    skills::store::hand_back(tx, &handed.holdings, to).await?;
    day::store::hand_back(tx, &handed.attendances, to).await
}

/// Erases the notes about these records of one person. That they had a position, and for
/// how long, stays for the totals. Their page no longer opens.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64], called: &str) -> Result<()> {
    let holdings = skills::store::forget(tx, people).await?;
    let attendances = day::store::forget(tx, people).await?;
    let list = json!(people).to_string();
    let assignments = sqlx::query_scalar!(
        r#"select id as "id!" from assignment where person_id in (select value from json_each(?))"#,
        list
    );
    let assignments = assignments.fetch_all(&mut **tx).await?;
    let told =
        [("certificate", holdings.as_slice()), ("attendance", &attendances), ("crew", &assignments), ("hours", people)];
    for (subject, ids) in told {
        journal::forget(tx, subject, ids, called).await?;
    }
    let people = list;
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
