//! All SQL of the practices.

use super::measured::Practice;
use crate::calc::fire::bands::FireTimes;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::talk::store::entry;
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// How often and how well the talk was practiced, the latest first.
pub(in crate::talk) async fn practices(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Practice>> {
    let rows = sqlx::query!(
        r#"select t.id, t.practiced_at, t.account_id, p.name as "by?", t.fires, t.children_words, t.children_ms, t.adults_words,
                  t.adults_ms, t.finished, t.cut, t.note
           from talk_practice t left join account a on a.id = t.account_id left join person p on p.id = a.person_id
           where t.event_id = ? order by t.practiced_at desc, t.id desc"#,
        event_id
    );
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        let fires: Vec<[Option<f64>; 3]> = serde_json::from_str(&row.fires)?;
        let fire = |times: [Option<f64>; 3]| {
            let [alarm, sprinkler, flashover] = times.map(|time| time.unwrap_or(f64::INFINITY));
            FireTimes { alarm, sprinkler, flashover }
        };
        Ok(Practice {
            id: row.id,
            at: OffsetDateTime::from_unix_timestamp(row.practiced_at)?,
            by: row.by,
            account: row.account_id,
            fires: fires.into_iter().map(fire).collect(),
            children: (u32::try_from(row.children_words)?, u32::try_from(row.children_ms)?),
            adults: (u32::try_from(row.adults_words)?, u32::try_from(row.adults_ms)?),
            finished: u32::try_from(row.finished)?,
            cut: u32::try_from(row.cut)?,
            note: row.note,
        })
    });
    rows.collect()
}

/// Keeps a practice.
pub(in crate::talk) async fn add_practice(
    tx: &mut Tx,
    account: i64,
    event_id: i64,
    new: &Practice,
    now: OffsetDateTime,
) -> Result<()> {
    let finite = |time: f64| time.is_finite().then_some(time);
    let fires: Vec<[Option<f64>; 3]> =
        new.fires.iter().map(|fire| [fire.alarm, fire.sprinkler, fire.flashover].map(finite)).collect();
    let (fires, at) = (serde_json::to_string(&fires)?, new.at.unix_timestamp());
    let id = sqlx::query!(
        "insert into talk_practice (event_id, practiced_at, account_id, fires, children_words, children_ms, adults_words,
                                    adults_ms, finished, cut, note)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        event_id,
        at,
        account,
        fires,
        new.children.0,
        new.children.1,
        new.adults.0,
        new.adults.1,
        new.finished,
        new.cut,
        new.note
    );
    let id = id.execute(&mut **tx).await?.last_insert_rowid();
    let after = Some(json!({ "lines finished": new.finished, "lines cut off": new.cut, "note": new.note }));
    let entry = entry(Actor::Account(account), "practiced", "talk practice", event_id, "The talk");
    record(tx, now, Entry { subject_id: Some(id), after, ..entry });
    Ok(())
}

/// Removes a practice; false if it is gone already.
pub(in crate::talk) async fn remove_practice(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    id: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let gone = sqlx::query!("delete from talk_practice where id = ? and event_id = ?", id, event_id);
    if gone.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let entry = entry(actor, "removed", "talk practice", event_id, "A practice of the talk");
    record(tx, now, Entry { subject_id: Some(id), ..entry });
    Ok(true)
}
