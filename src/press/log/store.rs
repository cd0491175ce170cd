//! The entries of the contact log.

use super::{Channel, Entry, NewEntry, Outcome};
use crate::db::Tx;
use crate::db::journal::{self, Actor, record};
use crate::error::{Error, Result};
use crate::press::papers::PaperKind;
use crate::web::words::Reader;
use anyhow::anyhow;
use serde_json::json;
use sqlx::SqlitePool;
use time::{Date, OffsetDateTime};

struct Row {
    id: i64,
    outlet_id: i64,
    outlet: String,
    person_id: i64,
    person: String,
    channel: String,
    outcome: String,
    words: String,
    promised: String,
    follow_up_on: Option<Date>,
    follow_up_by: Option<i64>,
    follower: Option<String>,
    version_id: Option<i64>,
    number: Option<i64>,
    paper: Option<String>,
    mail_id: Option<i64>,
    is_lost: i64,
    at: i64,
    recorded_by: Option<String>,
    corrects: Option<i64>,
    is_corrected: i64,
}

impl Row {
    fn entry(self) -> Result<Entry> {
        let unknown = |what: &str| Error::Internal(anyhow!("an unknown {what} in the store"));
        let channel: Channel = self.channel.parse().map_err(|_| unknown("channel"))?;
        let outcome: Outcome = self.outcome.parse().map_err(|_| unknown("outcome"))?;
        let is_lost = self.is_lost != 0;
        let paper =
            self.paper.map(|paper| paper.parse::<PaperKind>()).transpose().map_err(|_| unknown("kind of release"))?;
        let paper = paper.filter(|_| !is_lost);
        let sent = paper.zip(self.number).map(|(paper, number)| format!("{} v{number}", paper.label()));
        Ok(Entry {
            id: self.id,
            outlet_id: self.outlet_id,
            outlet: self.outlet,
            person_id: self.person_id,
            person: self.person,
            channel,
            outcome,
            words: self.words,
            promised: self.promised,
            follow_up_on: self.follow_up_on,
            follow_up_by: self.follow_up_by.zip(self.follower),
            sent: sent.unwrap_or_default(),
            is_advisory: paper == Some(PaperKind::Advisory),
            version_id: self.version_id,
            mail_id: self.mail_id,
            is_lost,
            at: OffsetDateTime::from_unix_timestamp(self.at)?,
            recorded_by: self.recorded_by,
            corrects: self.corrects,
            is_corrected: self.is_corrected != 0,
        })
    }
}

/// All entries of an event, the newest first, with those that were corrected.
pub(in crate::press) async fn of_event(db: &SqlitePool, event_id: i64) -> Result<Vec<Entry>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select e.id as "id!", e.outlet_id, o.name as outlet, e.person_id, p.name as person, e.channel, e.outcome,
                  e.words, e.promised, e.follow_up_on as "follow_up_on: Date", e.follow_up_by, f.name as "follower?",
                  e.version_id, v.number as "number?", a.kind as "paper?", e.mail_id,
                  coalesce(m.state in ('failed', 'cancelled', 'expired'), 0) as "is_lost!: i64", e.at,
                  r.name as "recorded_by?", e.corrects, exists (select 1 from outreach n where n.corrects = e.id) as "is_corrected!: i64"
           from outreach e join outlet o on o.id = e.outlet_id join person p on p.id = e.person_id
                left join person f on f.id = e.follow_up_by
                left join paper_version v on v.id = e.version_id left join paper a on a.id = v.paper_id
                left join account c on c.id = e.recorded_by left join person r on r.id = c.person_id
                left join mail m on m.id = e.mail_id
           where e.event_id = ? order by e.at desc, e.id desc"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::entry).collect()
}

/// Adds an entry. None if another one corrects the same entry.
pub async fn add(
    tx: &mut Tx,
    by: Option<i64>,
    new: &NewEntry,
    title: &str,
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let (channel, outcome) = (new.channel.as_str(), new.outcome.as_str());
    let (at, created_at) = (new.at.unix_timestamp(), now.unix_timestamp());
    let done = sqlx::query!(
        "insert into outreach (event_id, outlet_id, person_id, channel, outcome, words, promised, follow_up_on,
                               follow_up_by, version_id, mail_id, at, recorded_by, created_at, corrects)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) on conflict (corrects) do nothing",
        new.event_id,
        new.outlet_id,
        new.person_id,
        channel,
        outcome,
        new.words,
        new.promised,
        new.follow_up_on,
        new.follow_up_by,
        new.version_id,
        new.mail_id,
        at,
        by,
        created_at,
        new.corrects
    );
    let done = done.execute(&mut **tx).await?;
    if done.rows_affected() == 0 {
        return Ok(None);
    }
    let id = done.last_insert_rowid();
    let entry = journal::Entry {
        actor: by.map_or(Actor::System, Actor::Account),
        verb: if new.corrects.is_some() { "corrected" } else { "logged" },
        subject: "word with an outlet",
        subject_id: Some(id),
        event_id: Some(new.event_id),
        title,
        before: None,
        after: Some(json!({
            "by": new.channel.label(),
            "result": outcome,
            "follow up": new.follow_up_on.map(|on| Reader::App.day(on)),
        })),
    };
    record(tx, now, entry);
    Ok(Some(id))
}
