use super::Attendance;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::events::Event;
use crate::web::words::Reader;
use crate::zone::Zone;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use std::collections::BTreeSet;
use time::OffsetDateTime;

struct Row {
    id: i64,
    event_id: i64,
    person_id: i64,
    in_at: i64,
    out_at: Option<i64>,
    reason: String,
    version: i64,
}

impl Row {
    fn attendance(self) -> Result<Attendance> {
        Ok(Attendance {
            id: self.id,
            event_id: self.event_id,
            person_id: self.person_id,
            in_at: OffsetDateTime::from_unix_timestamp(self.in_at)?,
            out_at: self.out_at.map(OffsetDateTime::from_unix_timestamp).transpose()?,
            reason: self.reason,
            version: self.version,
        })
    }
}

/// Everyone's times, the earliest first.
pub async fn attendances(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Attendance>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select id as "id!", event_id, person_id, in_at, out_at, reason, version from attendance
           where event_id = ? order by in_at, id"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::attendance).collect()
}

/// Who was on site on burn day.
pub async fn signed_in(db: &mut SqliteConnection, event: &Event) -> Result<BTreeSet<i64>> {
    let zone = &event.details.zone;
    let all = attendances(db, event.id).await?;
    let there = all.into_iter().filter(|one| zone.wall(one.in_at).date() == event.details.burn_on);
    Ok(there.map(|one| one.person_id).collect())
}

/// Signs someone in. False if they are already signed in.
pub async fn come_in(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (person_id, name): (i64, &str),
    now: OffsetDateTime,
) -> Result<bool> {
    let at = now.unix_timestamp();
    let added = sqlx::query!(
        "insert into attendance (event_id, person_id, in_at) select ?1, ?2, ?3
         where not exists (select 1 from attendance where event_id = ?1 and person_id = ?2 and out_at is null)",
        event_id,
        person_id,
        at
    )
    .execute(&mut **tx)
    .await?;
    if added.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, entry(actor, "signed in", (event_id, added.last_insert_rowid()), name));
    Ok(true)
}

/// Signs someone out. False if they aren't signed in.
pub async fn go_out(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (person_id, name): (i64, &str),
    now: OffsetDateTime,
) -> Result<bool> {
    let at = now.unix_timestamp();
    let gone = sqlx::query_scalar!(
        r#"update attendance set out_at = max(in_at, ?), version = version + 1
           where event_id = ? and person_id = ? and out_at is null returning id as "id!""#,
        at,
        event_id,
        person_id
    );
    let Some(id) = gone.fetch_optional(&mut **tx).await? else { return Ok(false) };
    record(tx, now, entry(actor, "signed out", (event_id, id), name));
    Ok(true)
}

/// Corrects times. False if someone changed them in the meantime, or if the person would be
/// signed in twice.
pub async fn correct(
    tx: &mut Tx,
    actor: Actor,
    name: &str,
    (old, new): (&Attendance, &Attendance),
    zone: &Zone,
    now: OffsetDateTime,
) -> Result<bool> {
    let (came, left) = (new.in_at.unix_timestamp(), new.out_at.map(OffsetDateTime::unix_timestamp));
    let saved = sqlx::query!(
        "update attendance set in_at = ?1, out_at = ?2, reason = ?3, version = version + 1
         where id = ?4 and version = ?5 and not (?2 is null and exists (
             select 1 from attendance other where other.id <> ?4 and other.out_at is null
                    and other.event_id = attendance.event_id and other.person_id = attendance.person_id))",
        came,
        left,
        new.reason,
        old.id,
        old.version
    );
    if saved.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let (before, after) = (Some(journaled(old, zone)), Some(journaled(new, zone)));
    record(tx, now, Entry { before, after, ..entry(actor, "corrected", (old.event_id, old.id), name) });
    Ok(true)
}

fn journaled(one: &Attendance, zone: &Zone) -> Value {
    let says = |at: OffsetDateTime| Reader::App.moment(zone.wall(at));
    json!({"in": says(one.in_at), "out": one.out_at.map(says), "reason": one.reason})
}

fn entry<'a>(actor: Actor, verb: &'static str, (event_id, id): (i64, i64), name: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "attendance",
        subject_id: Some(id),
        event_id: Some(event_id),
        title: name,
        before: None,
        after: None,
    }
}
