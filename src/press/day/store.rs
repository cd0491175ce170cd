//! Who is on the burn day list, and checking them off.

use super::{PressVisit, Tick};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

struct Row {
    person_id: i64,
    person: String,
    outlet_id: Option<i64>,
    escort_id: Option<i64>,
    escort: Option<String>,
    arrived_at: Option<i64>,
    signed_at: Option<i64>,
    by_hand: i64,
}

/// Everyone we know something about, by surname.
pub(in crate::press) async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<PressVisit>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select v.person_id, p.name as person, v.outlet_id, v.escort_id, e.name as "escort?", v.arrived_at,
                  v.signed_at, v.by_hand
           from press_visit v join person p on p.id = v.person_id left join person e on e.id = v.escort_id
           where v.event_id = ? and p.merged_into is null
           order by p.forgotten_at is not null, p.search, v.id"#,
        event_id
    );
    let at = |at: Option<i64>| at.map(OffsetDateTime::from_unix_timestamp).transpose();
    let visit = |row: Row| {
        Ok(PressVisit {
            person_id: row.person_id,
            person: row.person,
            outlet_id: row.outlet_id,
            escort_id: row.escort_id,
            escort: row.escort,
            arrived_at: at(row.arrived_at)?,
            signed_at: at(row.signed_at)?,
            by_hand: row.by_hand != 0,
        })
    };
    rows.fetch_all(db).await?.into_iter().map(visit).collect()
}

fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, person: i64, name: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "press on burn day",
        subject_id: Some(person),
        event_id: Some(event_id),
        title: name,
        before: None,
        after: None,
    }
}

/// Adds someone to the list who isn't on it by an answer. False if they are on it.
pub(super) async fn add(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (person, name): (i64, &str),
    outlet: Option<i64>,
    now: OffsetDateTime,
) -> Result<bool> {
    let done = sqlx::query!(
        "insert into press_visit (event_id, person_id, outlet_id, by_hand) values (?, ?, ?, 1)
         on conflict (event_id, person_id) do nothing",
        event_id,
        person,
        outlet
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, entry(actor, "added", event_id, person, name));
    Ok(true)
}

/// Checks something off. False if it was so already.
pub(super) async fn tick(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (person, name): (i64, &str),
    tick: Tick,
    now: OffsetDateTime,
) -> Result<bool> {
    sqlx::query!(
        "insert into press_visit (event_id, person_id) values (?, ?) on conflict (event_id, person_id) do nothing",
        event_id,
        person
    )
    .execute(&mut **tx)
    .await?;
    let at = now.unix_timestamp();
    let (verb, done) = match tick {
        Tick::Arrived(is) => {
            let at = is.then_some(at);
            let done = sqlx::query!(
                "update press_visit set arrived_at = ?
                 where event_id = ? and person_id = ? and (arrived_at is null) <> (? is null)",
                at,
                event_id,
                person,
                at
            );
            (if is { "saw arrive" } else { "took back the arrival of" }, done.execute(&mut **tx).await?)
        }
        Tick::Signed(is) => {
            let at = is.then_some(at);
            let done = sqlx::query!(
                "update press_visit set signed_at = ?
                 where event_id = ? and person_id = ? and (signed_at is null) <> (? is null)",
                at,
                event_id,
                person,
                at
            );
            (if is { "has the signature of" } else { "took back the signature of" }, done.execute(&mut **tx).await?)
        }
        Tick::Escort(escort) => {
            let done = sqlx::query!(
                "update press_visit set escort_id = ? where event_id = ? and person_id = ? and escort_id is not ?",
                escort,
                event_id,
                person,
                escort
            );
            ("gave another escort to", done.execute(&mut **tx).await?)
        }
        Tick::Off => {
            let done = sqlx::query!(
                "delete from press_visit where event_id = ? and person_id = ? and by_hand = 1 and arrived_at is null",
                event_id,
                person
            );
            ("took off the list", done.execute(&mut **tx).await?)
        }
    };
    if done.rows_affected() > 0 {
        record(tx, now, entry(actor, verb, event_id, person, name));
    }
    Ok(done.rows_affected() > 0)
}
