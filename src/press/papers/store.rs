use super::{Approved, Draft, Paper, PaperKind, Version, embargo_says};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::events::Event;
use crate::press::log::{self, Channel, NewEntry, Outcome};
use crate::press::outlets::Contact;
use crate::web::words;
use anyhow::anyhow;
use serde_json::json;
use sqlx::{SqliteConnection, SqlitePool};
use time::{Date, OffsetDateTime};

struct Row {
    id: i64,
    event_id: i64,
    kind: String,
    headline: String,
    text: String,
    embargo_on: Option<Date>,
    embargo_at: Option<String>,
    edited_by: i64,
    editor: String,
    edited_at: i64,
    version: i64,
}

struct VersionRow {
    id: i64,
    paper_id: i64,
    kind: String,
    number: i64,
    headline: String,
    text: String,
    embargo: String,
    date_revision: i64,
    approver: String,
    approved_at: i64,
}

fn kind(text: &str) -> Result<PaperKind> {
    text.parse().map_err(|_| Error::Internal(anyhow!("an unknown kind of paper in the store")))
}

impl VersionRow {
    fn version(self) -> Result<Version> {
        Ok(Version {
            id: self.id,
            paper_id: self.paper_id,
            kind: kind(&self.kind)?,
            number: self.number,
            headline: self.headline,
            text: self.text,
            embargo: self.embargo,
            date_revision: self.date_revision,
            approver: self.approver,
            approved_at: OffsetDateTime::from_unix_timestamp(self.approved_at)?,
        })
    }
}

impl Row {
    fn paper(self, versions: &[Version]) -> Result<Paper> {
        let at = self.embargo_at.and_then(|at| crate::web::form::time_of_day(&at).ok());
        Ok(Paper {
            kind: kind(&self.kind)?,
            draft: Draft { headline: self.headline, text: self.text, embargo: self.embargo_on.zip(at) },
            edited_by: self.edited_by,
            editor: self.editor,
            edited_at: OffsetDateTime::from_unix_timestamp(self.edited_at)?,
            version: self.version,
            versions: versions.iter().filter(|version| version.paper_id == self.id).cloned().collect(),
            id: self.id,
            event_id: self.event_id,
        })
    }
}

/// All papers of an event with their versions.
pub(in crate::press) async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Paper>> {
    let versions = versions_in(db, event_id).await?;
    let rows = sqlx::query_as!(
        Row,
        r#"select a.id as "id!", a.event_id, a.kind, a.headline, a.text, a.embargo_on as "embargo_on: Date",
                  a.embargo_at, a.edited_by, p.name as editor, a.edited_at, a.version
           from paper a join account c on c.id = a.edited_by join person p on p.id = c.person_id
           where a.event_id = ? order by a.id"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(|row| row.paper(&versions)).collect()
}

async fn versions_in(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Version>> {
    let rows = sqlx::query_as!(
        VersionRow,
        r#"select v.id as "id!", v.paper_id, a.kind, v.number, v.headline, v.text, v.embargo, v.date_revision,
                  p.name as approver, v.approved_at
           from paper_version v join paper a on a.id = v.paper_id join account c on c.id = v.approved_by
                join person p on p.id = c.person_id
           where a.event_id = ? order by v.paper_id, v.number desc"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(VersionRow::version).collect()
}

/// All versions of an event's papers.
pub(in crate::press) async fn versions_of_event(db: &SqlitePool, event_id: i64) -> Result<Vec<Version>> {
    versions_in(&mut *db.acquire().await?, event_id).await
}

pub(super) async fn find(db: &mut SqliteConnection, event_id: i64, id: i64) -> Result<Option<Paper>> {
    Ok(of_event(db, event_id).await?.into_iter().find(|paper| paper.id == id))
}

fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, id: i64, title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "paper",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}

/// Begins a paper; its number.
///
/// # Errors
/// The store's.
pub async fn new_paper(
    tx: &mut Tx,
    by: i64,
    event_id: i64,
    kind: PaperKind,
    (headline, text): (&str, &str),
    now: OffsetDateTime,
) -> Result<i64> {
    let (name, at) = (kind.as_str(), now.unix_timestamp());
    let done = sqlx::query!(
        "insert into paper (event_id, kind, headline, text, edited_by, edited_at, created_at)
         values (?, ?, ?, ?, ?, ?, ?)",
        event_id,
        name,
        headline,
        text,
        by,
        at,
        at
    );
    let id = done.execute(&mut **tx).await?.last_insert_rowid();
    record(tx, now, entry(Actor::Account(by), "began", event_id, id, name));
    Ok(id)
}

/// Keeps a text. False if somebody else changed it meanwhile.
pub(super) async fn save(
    tx: &mut Tx,
    by: i64,
    paper: &Paper,
    new: &Draft,
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let (on, at) = (new.embargo.map(|(on, _)| on), new.embargo.map(|(_, at)| words::clock(at)));
    let edited_at = now.unix_timestamp();
    let done = sqlx::query!(
        "update paper set headline = ?, text = ?, embargo_on = ?, embargo_at = ?, edited_by = ?, edited_at = ?,
                          version = version + 1
         where id = ? and version = ?",
        new.headline,
        new.text,
        on,
        at,
        by,
        edited_at,
        paper.id,
        version
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let told = |draft: &Draft| {
        let hold = draft.embargo.map(|(on, at)| format!("{}, {}", words::day(on), words::clock(at)));
        json!({"headline": draft.headline, "text": draft.text, "hold until": hold})
    };
    let entry = entry(Actor::Account(by), "changed", paper.event_id, paper.id, paper.kind.as_str());
    record(tx, now, Entry { before: Some(told(&paper.draft)), after: Some(told(new)), ..entry });
    Ok(true)
}

/// Freezes a paper as it stands, read at this version of its text; the number
/// of the new version of the paper. None if somebody changed it meanwhile, or
/// the one who approves is the one who edited it last.
///
/// # Errors
/// The store's.
pub async fn approve(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    (paper_id, version): (i64, i64),
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let paper = find(tx, event.id, paper_id).await?;
    let Some(paper) = paper.filter(|paper| paper.version == version && paper.edited_by != by) else { return Ok(None) };
    let number = paper.versions.first().map_or(0, |version| version.number) + 1;
    let (embargo, at) = (embargo_says(paper.draft.embargo, &event.details.zone), now.unix_timestamp());
    sqlx::query!(
        "insert into paper_version (paper_id, number, headline, text, embargo, date_revision, edited_by, approved_by,
                                    approved_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?)",
        paper.id,
        number,
        paper.draft.headline,
        paper.draft.text,
        embargo,
        event.date_revision,
        paper.edited_by,
        by,
        at
    )
    .execute(&mut **tx)
    .await?;
    let title = format!("{} v{number}", paper.kind);
    record(tx, now, entry(Actor::Account(by), "approved", event.id, paper.id, &title));
    Ok(Some(number))
}

/// The newest approved version of a paper.
///
/// # Errors
/// The store's.
pub async fn version(db: &mut SqliteConnection, event_id: i64, paper_id: i64) -> Result<Option<Approved>> {
    let versions = versions_in(db, event_id).await?;
    Ok(versions.iter().find(|version| version.paper_id == paper_id).map(Approved::of))
}

/// Those who got a version: in a mail, or as somebody wrote down.
pub(super) async fn sent_to(db: &mut SqliteConnection, version_id: i64) -> Result<Vec<i64>> {
    let rows = sqlx::query_scalar!(
        r#"select e.person_id from outreach e where e.version_id = ?
             and not exists (select 1 from outreach n where n.corrects = e.id)"#,
        version_id
    );
    Ok(rows.fetch_all(db).await?)
}

/// Writes into the log that a version went to a contact by mail.
///
/// # Errors
/// The store's.
pub async fn note_sent(
    tx: &mut Tx,
    by: i64,
    event_id: i64,
    contact: &Contact,
    (version_id, called, mail_id): (i64, &str, i64),
    now: OffsetDateTime,
) -> Result<()> {
    let new = NewEntry {
        event_id,
        outlet_id: contact.outlet_id,
        person_id: contact.person_id,
        channel: Channel::Mail,
        outcome: Outcome::NoAnswer,
        words: format!("Mailed the {called}."),
        promised: String::new(),
        follow_up_on: None,
        follow_up_by: None,
        version_id: Some(version_id),
        mail_id: Some(mail_id),
        at: now,
        corrects: None,
    };
    log::add(tx, Some(by), &new, &format!("{}, {}", contact.name, contact.outlet), now).await?;
    Ok(())
}
