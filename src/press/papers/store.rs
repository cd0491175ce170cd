//! Releases with their versions.

use super::journaled::entry;
use super::kind::PaperKind;
use super::letter::Approved;
use super::paper::Paper;
use super::text::Draft;
use super::version::{MadeFrom, Read, Version};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::web::words;
use anyhow::anyhow;
use serde_json::json;
use sqlx::{SqliteConnection, SqlitePool};
use time::{Date, OffsetDateTime, PrimitiveDateTime};

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
    editor_person: i64,
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
    marked_headline: Option<String>,
    marked_text: Option<String>,
    facts: Option<String>,
    date_revision: i64,
    read_by: String,
    approver: Option<String>,
    reader: Option<String>,
    approved_at: i64,
}

pub(super) fn kind(text: &str) -> Result<PaperKind> {
    text.parse().map_err(|_| Error::Internal(anyhow!("an unknown kind of release in the store")))
}

impl VersionRow {
    fn version(self) -> Result<Version> {
        let facts = self.facts.as_deref().map(serde_json::from_str).transpose()?;
        let made_from = self.marked_headline.zip(self.marked_text).zip(facts);
        let approver = self.approver.unwrap_or_default();
        Ok(Version {
            made_from: made_from.map(|((headline, text), facts)| MadeFrom { headline, text, facts }),
            read: match self.read_by.as_str() {
                "account" => Read::Account(approver),
                "link" => Read::Link(self.reader.unwrap_or_default()),
                _ => Read::Nobody(approver),
            },
            id: self.id,
            paper_id: self.paper_id,
            kind: kind(&self.kind)?,
            number: self.number,
            headline: self.headline,
            text: self.text,
            embargo: self.embargo,
            date_revision: self.date_revision,
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
            editor_person: self.editor_person,
            edited_at: OffsetDateTime::from_unix_timestamp(self.edited_at)?,
            version: self.version,
            versions: versions.iter().filter(|version| version.paper_id == self.id).cloned().collect(),
            id: self.id,
            event_id: self.event_id,
        })
    }
}

/// All releases of an event with their versions.
pub(in crate::press) async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Paper>> {
    let versions = versions_in(db, event_id).await?;
    let rows = sqlx::query_as!(
        Row,
        r#"select a.id as "id!", a.event_id, a.kind, a.headline, a.text, a.embargo_on as "embargo_on: Date",
                  a.embargo_at, a.edited_by, p.name as editor,
                  p.id as "editor_person!", a.edited_at, a.version
           from paper a join account c on c.id = a.edited_by join person p on p.id = c.person_id
           where a.event_id = ? order by a.id"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(|row| row.paper(&versions)).collect()
}

async fn versions_in(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Version>> {
    let rows = sqlx::query_as!(
        VersionRow,
        r#"select v.id as "id!", v.paper_id, a.kind, v.number, v.headline, v.text, v.embargo, v.marked_headline,
                  v.marked_text, v.facts, v.date_revision, v.read_by, p.name as "approver?", r.name as "reader?",
                  v.approved_at
           from paper_version v join paper a on a.id = v.paper_id left join account c on c.id = v.approved_by
                left join person p on p.id = c.person_id left join person r on r.id = v.reader_id
           where a.event_id = ? order by v.paper_id, v.number desc"#,
        event_id
    );
    rows.fetch_all(db).await?.into_iter().map(VersionRow::version).collect()
}

/// All versions of an event's releases.
pub(in crate::press) async fn versions_of_event(db: &SqlitePool, event_id: i64) -> Result<Vec<Version>> {
    versions_in(&mut *db.acquire().await?, event_id).await
}

pub(super) async fn find(db: &mut SqliteConnection, event_id: i64, id: i64) -> Result<Option<Paper>> {
    Ok(of_event(db, event_id).await?.into_iter().find(|paper| paper.id == id))
}

/// Starts a release and gives its number.
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
        "insert into paper (event_id, kind, headline, text, has_marks, edited_by, edited_at, created_at)
         values (?, ?, ?, ?, 1, ?, ?, ?)",
        event_id,
        name,
        headline,
        text,
        by,
        at,
        at
    );
    let id = done.execute(&mut **tx).await?.last_insert_rowid();
    record(tx, now, entry(Actor::Account(by), "began", (event_id, id), kind.label()));
    Ok(id)
}

/// Saves a text. False if someone else has changed it.
pub(super) async fn save(
    tx: &mut Tx,
    by: i64,
    paper: &Paper,
    new: &Draft,
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let (on, at) = (new.embargo.map(|(on, _)| on), new.embargo.map(|(_, at)| words::iso_time(at)));
    let edited_at = now.unix_timestamp();
    let done = sqlx::query!(
        "update paper set headline = ?, text = ?, has_marks = 1, embargo_on = ?, embargo_at = ?, edited_by = ?,
                          edited_at = ?, version = version + 1
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
    let journaled = |draft: &Draft| {
        let hold = draft.embargo.map(|(on, at)| words::Reader::App.moment(PrimitiveDateTime::new(on, at)));
        json!({"headline": draft.headline, "text": draft.text, "hold until": hold})
    };
    let entry = entry(Actor::Account(by), "changed", (paper.event_id, paper.id), paper.kind.label());
    record(tx, now, Entry { before: Some(journaled(&paper.draft)), after: Some(journaled(new)), ..entry });
    Ok(true)
}

/// Notes that someone sent a version though the day in its dateline has passed.
pub(super) fn note_old_dateline(tx: &mut Tx, by: i64, event_id: i64, version: &Version, on: Date, now: OffsetDateTime) {
    let (called, after) = (version.called(), json!({"dateline": words::Reader::App.day(on)}));
    let entry = entry(Actor::Account(by), "sent with an old dateline", (event_id, version.paper_id), &called);
    record(tx, now, Entry { after: Some(after), ..entry });
}

/// The newest approved version of a release.
pub async fn version(db: &mut SqliteConnection, event_id: i64, paper_id: i64) -> Result<Option<Approved>> {
    let versions = versions_in(db, event_id).await?;
    Ok(versions.iter().find(|version| version.paper_id == paper_id).map(Approved::of))
}
