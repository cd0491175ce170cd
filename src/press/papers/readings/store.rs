//! Texts that people outside were asked to read.

use super::{Asked, OPEN_FOR, Said};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::people::Person;
use crate::press::papers::embargo::{hold_of, is_embargo_in_words};
use crate::press::papers::filled::Filled;
use crate::press::papers::journaled::entry;
use crate::press::papers::paper::Paper;
use crate::press::papers::version::MadeFrom;
use crate::web::form;
use crate::web::link::{LinkKey, Opens, Secret};
use crate::zone::Zone;
use anyhow::anyhow;
use serde_json::json;
use sqlx::{SqliteConnection, SqlitePool};
use time::{Date, OffsetDateTime};

struct Row {
    id: i64,
    event_id: i64,
    paper_id: i64,
    person_id: i64,
    person: String,
    headline: String,
    text: String,
    embargo: String,
    marked_headline: String,
    marked_text: String,
    facts: String,
    hold: Option<String>,
    asked_by: i64,
    asked_at: i64,
    expires_at: i64,
    said: Option<String>,
    note: String,
    said_at: Option<i64>,
}

impl Row {
    fn asked(self) -> Result<Asked> {
        let said = self.said.map(|said| said.parse::<Said>()).transpose();
        let facts = serde_json::from_str(&self.facts)?;
        Ok(Asked {
            id: self.id,
            event_id: self.event_id,
            paper_id: self.paper_id,
            person_id: self.person_id,
            person: self.person,
            headline: self.headline,
            text: self.text,
            embargo: self.embargo,
            made_from: MadeFrom { headline: self.marked_headline, text: self.marked_text, facts },
            hold: self.hold,
            asked_by: self.asked_by,
            asked_at: OffsetDateTime::from_unix_timestamp(self.asked_at)?,
            expires_at: OffsetDateTime::from_unix_timestamp(self.expires_at)?,
            said: said.map_err(|_| Error::Internal(anyhow!("an unknown answer about a text in the store")))?,
            note: self.note,
            said_at: self.said_at.map(OffsetDateTime::from_unix_timestamp).transpose()?,
        })
    }
}

/// Who was asked to read a release, the newest first.
pub(super) async fn of_paper(db: &mut SqliteConnection, paper_id: i64) -> Result<Vec<Asked>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select r.id as "id!", a.event_id, r.paper_id, r.person_id, p.name as person, r.headline, r.text, r.embargo,
                  r.marked_headline, r.marked_text, r.facts, r.hold, r.asked_by, r.asked_at, r.expires_at, r.said,
                  r.note, r.said_at
           from paper_reading r join paper a on a.id = r.paper_id join person p on p.id = r.person_id
           where r.paper_id = ? order by r.id desc"#,
        paper_id
    );
    rows.fetch_all(db).await?.into_iter().map(Row::asked).collect()
}

/// What a link opens; nothing once it has expired or its reader was erased.
pub(super) async fn opened(db: &SqlitePool, secret: &Secret, now: OffsetDateTime) -> Result<Option<Asked>> {
    let (hash, at) = (secret.hash(), now.unix_timestamp());
    let row = sqlx::query_as!(
        Row,
        r#"select r.id as "id!", a.event_id, r.paper_id, r.person_id, p.name as person, r.headline, r.text, r.embargo,
                  r.marked_headline, r.marked_text, r.facts, r.hold, r.asked_by, r.asked_at, r.expires_at, r.said,
                  r.note, r.said_at
           from paper_reading r join paper a on a.id = r.paper_id
                join person p on p.id = r.person_id and p.forgotten_at is null
           where r.token_hash = ? and r.expires_at > ?"#,
        hash,
        at
    );
    row.fetch_optional(db).await?.map(Row::asked).transpose()
}

/// A text to read, and who reads it.
pub(super) struct NewReading<'a> {
    pub paper: &'a Paper,
    pub filled: &'a Filled,
    pub date_revision: i64,
    pub person: &'a Person,
}

/// Asks someone to read a text as it is now. Gives the number for the link.
pub(super) async fn ask(
    tx: &mut Tx,
    (by, key): (i64, &LinkKey),
    new: &NewReading<'_>,
    now: OffsetDateTime,
) -> Result<i64> {
    let NewReading { paper, filled, date_revision, person } = new;
    let (at, expires_at) = (now.unix_timestamp(), (now + OPEN_FOR).unix_timestamp());
    let facts = serde_json::to_string(&filled.made_from.facts)?;
    let id = sqlx::query!(
        "insert into paper_reading (id, paper_id, person_id, headline, text, embargo, marked_headline, marked_text, facts,
                                    hold, date_revision, edited_by, asked_by, asked_at, expires_at)
         select max(coalesce((select max(id) from paper_reading), 0), 1000000 * copies) + 1,
                ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ? from mail_hold",
        paper.id,
        person.id,
        filled.headline,
        filled.text,
        filled.embargo,
        filled.made_from.headline,
        filled.made_from.text,
        facts,
        filled.hold,
        date_revision,
        paper.edited_by,
        by,
        at,
        expires_at
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    let hash = key.secret(Opens::PaperReading, id, 1).hash();
    sqlx::query!("update paper_reading set token_hash = ? where id = ?", hash, id).execute(&mut **tx).await?;
    let title = format!("{}: {}", paper.kind.label(), person.details.name);
    record(tx, now, entry(Actor::Account(by), "asked somebody outside to read", (paper.event_id, paper.id), &title));
    Ok(id)
}

/// Saves a reader's answer with the text that their page showed. False if they have
/// approved it already.
pub(super) async fn answer(
    tx: &mut Tx,
    asked: &Asked,
    (said, note): (Said, &str),
    now: OffsetDateTime,
) -> Result<bool> {
    let (word, at) = (said.as_str(), now.unix_timestamp());
    let done = sqlx::query!(
        "update paper_reading set said = ?, note = ?, said_at = ?, headline = ?, text = ?, embargo = ?
         where id = ? and said is not 'approved'",
        word,
        note,
        at,
        asked.headline,
        asked.text,
        asked.embargo,
        asked.id
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let entry = entry(Actor::Link, "read", (asked.event_id, asked.paper_id), &asked.person);
    record(tx, now, Entry { after: Some(json!({ "says": word })), ..entry });
    Ok(true)
}

/// Notes until when the readers of an older version were asked to hold a text, if it is
/// still the paper's own embargo. Otherwise the embargo has changed, and their links say so.
pub async fn keep_open_readings(tx: &mut Tx) -> Result<()> {
    let rows = sqlx::query!(
        r#"select r.id as "id!", r.embargo, a.embargo_on as "embargo_on: Date", a.embargo_at, e.zone
           from paper_reading r join paper a on a.id = r.paper_id join event e on e.id = a.event_id
           where r.hold is null"#
    );
    for row in rows.fetch_all(&mut **tx).await? {
        let Some(zone) = Zone::named(&row.zone) else { continue };
        let at = row.embargo_at.and_then(|at| form::time_of_day(&at).ok());
        let embargo = row.embargo_on.zip(at);
        if is_embargo_in_words(embargo, &row.embargo, &zone) {
            let hold = hold_of(embargo, &zone);
            sqlx::query!("update paper_reading set hold = ? where id = ?", hold, row.id).execute(&mut **tx).await?;
        }
    }
    Ok(())
}
