use super::{Thanked, Way, Whom};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::events::Event;
use crate::mail::MailState;
use anyhow::anyhow;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// What every letter says about the day, and who signs it. Empty fields are left out.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Day {
    /// Name and title of the signer; without a name, the sender signs.
    pub signed_by: String,
    pub signed_as: String,
    /// People in the audience.
    pub came: Option<u32>,
    /// Seconds after the first flame.
    pub alarm: Option<u32>,
    pub sprinkler: Option<u32>,
    pub flashover: Option<u32>,
    /// The result, in one sentence.
    pub result: String,
    pub version: i64,
}

/// A personal sentence for someone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct ThanksDraft {
    pub whom: Whom,
    pub sentence: String,
    pub version: i64,
}

/// What an event's letters say about the day.
///
/// # Errors
/// The store's.
pub(super) async fn day(db: &mut SqliteConnection, event_id: i64) -> Result<Day> {
    let row = sqlx::query!(
        "select signed_by, signed_as, came, alarm_s, sprinkler_s, flashover_s, result, version from thanks_day
         where event_id = ?",
        event_id
    )
    .fetch_optional(db)
    .await?;
    let Some(row) = row else { return Ok(Day::default()) };
    let number = |number: Option<i64>| number.map(u32::try_from).transpose();
    Ok(Day {
        signed_by: row.signed_by,
        signed_as: row.signed_as,
        came: number(row.came)?,
        alarm: number(row.alarm_s)?,
        sprinkler: number(row.sprinkler_s)?,
        flashover: number(row.flashover_s)?,
        result: row.result,
        version: row.version,
    })
}

fn snapshot(day: &Day) -> Value {
    let seconds = |seconds: Option<u32>| seconds.map(super::letters::seconds);
    json!({
        "signed by": day.signed_by,
        "signed as": day.signed_as,
        "people who came": day.came,
        "smoke alarm": seconds(day.alarm),
        "sprinkler": seconds(day.sprinkler),
        "flashover": seconds(day.flashover),
        "result": day.result,
    })
}

/// Saves what the letters say about the day. False if someone else changed it in the
/// meantime.
///
/// # Errors
/// The store's.
pub async fn save_day(tx: &mut Tx, actor: Actor, event: &Event, new: &Day, now: OffsetDateTime) -> Result<bool> {
    let old = day(tx, event.id).await?;
    if old.version != new.version {
        return Ok(false);
    }
    sqlx::query!(
        "insert into thanks_day (event_id, signed_by, signed_as, came, alarm_s, sprinkler_s, flashover_s, result)
         values (?, ?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id) do update
         set signed_by = excluded.signed_by, signed_as = excluded.signed_as, came = excluded.came,
             alarm_s = excluded.alarm_s, sprinkler_s = excluded.sprinkler_s, flashover_s = excluded.flashover_s,
             result = excluded.result, version = version + 1",
        event.id,
        new.signed_by,
        new.signed_as,
        new.came,
        new.alarm,
        new.sprinkler,
        new.flashover,
        new.result
    )
    .execute(&mut **tx)
    .await?;
    let (before, after) = (Some(snapshot(&old)), Some(snapshot(new)));
    let entry = entry(actor, "changed", event.id, "everyone: figures and signature");
    record(tx, now, Entry { before, after, ..entry });
    Ok(true)
}

/// The sentences written for people.
///
/// # Errors
/// The store's.
pub(super) async fn drafts(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<ThanksDraft>> {
    let rows = sqlx::query!(
        r#"select person_id, is_deputy as "is_deputy: bool", sentence, version from thanks_draft where event_id = ?
           order by id"#,
        event_id
    );
    let drafts = rows.fetch_all(db).await?.into_iter().map(|row| {
        let whom = Whom { person_id: row.person_id, is_deputy: row.is_deputy };
        ThanksDraft { whom, sentence: row.sentence, version: row.version }
    });
    Ok(drafts.collect())
}

/// Saves a sentence for someone; version 0 means there is none yet. False if someone else
/// wrote one in the meantime. The journal says that a sentence was written, not what it
/// says: that is for its reader only.
///
/// # Errors
/// The store's.
pub async fn save_draft(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (whom, name): (Whom, &str),
    (sentence, version): (&str, i64),
    now: OffsetDateTime,
) -> Result<bool> {
    let known = drafts(tx, event_id).await?.into_iter().find(|draft| draft.whom == whom);
    if known.as_ref().map_or(0, |draft| draft.version) != version {
        return Ok(false);
    }
    if known.map(|draft| draft.sentence).unwrap_or_default() == sentence {
        return Ok(true);
    }
    sqlx::query!(
        "insert into thanks_draft (event_id, person_id, is_deputy, sentence) values (?, ?, ?, ?)
         on conflict (event_id, person_id, is_deputy) do update
         set sentence = excluded.sentence, version = version + 1",
        event_id,
        whom.person_id,
        whom.is_deputy,
        sentence
    )
    .execute(&mut **tx)
    .await?;
    record(tx, now, entry(actor, "wrote a sentence of", event_id, name));
    Ok(true)
}

/// Who was thanked after an event, newest first.
///
/// # Errors
/// The store's.
pub(super) async fn thanked(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Thanked>> {
    let rows = sqlx::query!(
        r#"select t.id as "id!", t.person_id, t.is_deputy as "is_deputy: bool", t.reasons, t.way, t.at, t.mail_id, t.taken_back_at,
                  m.state as "state?", p.name as "by?"
           from thanked t left join mail m on m.id = t.mail_id left join account a on a.id = t.by
                left join person p on p.id = a.person_id
           where t.event_id = ? order by t.id desc"#,
        event_id
    );
    let unknown = |what: &str| Error::Internal(anyhow!("thanks by an unknown {what} in the store"));
    let mut all = Vec::new();
    for row in rows.fetch_all(db).await? {
        let state = row.state.map(|state| state.parse::<MailState>().map_err(|_| unknown("state"))).transpose()?;
        all.push(Thanked {
            id: row.id,
            whom: Whom { person_id: row.person_id, is_deputy: row.is_deputy },
            reasons: serde_json::from_str(&row.reasons)?,
            way: row.way.parse().map_err(|_| unknown("way"))?,
            at: OffsetDateTime::from_unix_timestamp(row.at)?,
            by: row.by,
            mail: row.mail_id.zip(state),
            is_taken_back: row.taken_back_at.is_some(),
        });
    }
    Ok(all)
}

/// Saves that someone was thanked.
///
/// # Errors
/// The store's.
pub(super) async fn add_thanked(
    tx: &mut Tx,
    by: i64,
    event_id: i64,
    (whom, name): (Whom, &str),
    reasons: &[String],
    (way, mail_id): (Way, Option<i64>),
    now: OffsetDateTime,
) -> Result<()> {
    let (keys, at) = (serde_json::to_string(reasons)?, now.unix_timestamp());
    let by_way = way.as_str();
    sqlx::query!(
        "insert into thanked (event_id, person_id, is_deputy, reasons, way, at, by, mail_id)
         values (?, ?, ?, ?, ?, ?, ?, ?)",
        event_id,
        whom.person_id,
        whom.is_deputy,
        keys,
        by_way,
        at,
        by,
        mail_id
    )
    .execute(&mut **tx)
    .await?;
    let after = Some(json!({"way": by_way}));
    record(tx, now, Entry { after, ..entry(Actor::Account(by), "said", event_id, name) });
    Ok(())
}

/// Undoes thanks marked by mistake. False if there are none, or they were emailed, which
/// can't be undone.
///
/// # Errors
/// The store's.
pub(super) async fn take_back(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    (id, name): (i64, &str),
    now: OffsetDateTime,
) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update thanked set taken_back_at = ?
         where id = ? and event_id = ? and way <> 'mail' and taken_back_at is null",
        at,
        id,
        event_id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, entry(actor, "took back", event_id, name));
    Ok(true)
}

fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, title: &'a str) -> Entry<'a> {
    let subject = "thanks to";
    Entry { actor, verb, subject, subject_id: None, event_id: Some(event_id), title, before: None, after: None }
}
