use super::{Approved, Draft, Filled, MadeFrom, Paper, PaperFacts, PaperKind, Read, Version};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::events;
use crate::press::facts;
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

fn kind(text: &str) -> Result<PaperKind> {
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

/// Starts a release and gives its number.
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
    record(tx, now, entry(Actor::Account(by), "began", event_id, id, kind.label()));
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
    let entry = entry(Actor::Account(by), "changed", paper.event_id, paper.id, paper.kind.label());
    record(tx, now, Entry { before: Some(journaled(&paper.draft)), after: Some(journaled(new)), ..entry });
    Ok(true)
}

/// Who has read a text.
#[derive(Debug, Clone, Copy)]
pub enum Reader {
    /// Someone with an account, who must not be the last to have edited it.
    Account(i64),
    /// Someone outside the app, by the number of the person, who read what the link
    /// showed.
    Outside(i64),
    /// Nobody: this account decided to release it unread.
    Nobody(i64),
}

/// Freezes a release as it was read, at this version of its text and, if given, with
/// exactly these words. Gives the number of the new version. None if someone has changed
/// it or one of its facts, or if whoever approves it edited it last.
///
/// # Errors
/// The store's.
pub async fn approve(
    tx: &mut Tx,
    reader: Reader,
    (event_id, department): (i64, &str),
    (paper_id, version, digest): (i64, Option<i64>, Option<&str>),
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    approve_as(tx, reader, (event_id, department), (paper_id, Seen::OnPage(version, digest)), now).await
}

/// What someone read, so that nothing else is approved.
#[derive(Debug, Clone, Copy)]
pub(super) enum Seen<'a> {
    /// This version of the text, and exactly this text, if they are known.
    OnPage(Option<i64>, Option<&'a str>),
    /// A text with its marks and facts, and the end of its embargo.
    ByLink(&'a MadeFrom, Option<&'a str>),
}

impl Seen<'_> {
    fn is_still(self, paper: &Paper, filled: &Filled, facts: &PaperFacts) -> bool {
        match self {
            Self::OnPage(version, digest) => {
                version.is_none_or(|read| read == paper.version) && digest.is_none_or(|read| read == filled.digest())
            }
            Self::ByLink(made_from, hold) => filled.is_same(made_from, hold, facts),
        }
    }
}

/// The same for a page and for a link.
pub(super) async fn approve_as(
    tx: &mut Tx,
    reader: Reader,
    (event_id, department): (i64, &str),
    (paper_id, seen): (i64, Seen<'_>),
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let Some(event) = events::find_in(tx, event_id).await? else { return Ok(None) };
    let press = facts::of_event(tx, event_id).await?;
    let known = PaperFacts::of(&event.details, department, &press, now);
    let paper = find(tx, event_id, paper_id).await?;
    let is_own = |paper: &Paper| match reader {
        Reader::Account(by) => by == paper.edited_by,
        Reader::Outside(person) => person == paper.editor_person,
        Reader::Nobody(_) => false,
    };
    let Some(paper) = paper.filter(|paper| !is_own(paper)) else { return Ok(None) };
    let filled = Filled::of(&paper.draft, &event, &known);
    if !seen.is_still(&paper, &filled, &known) {
        return Ok(None);
    }
    let number = paper.newest().map_or(0, |version| version.number) + 1;
    let (read_by, approved_by, reader_id, actor, verb) = match reader {
        Reader::Account(by) => ("account", Some(by), None, Actor::Account(by), "approved"),
        Reader::Outside(person) => ("link", None, Some(person), Actor::Link, "approved"),
        Reader::Nobody(by) => ("nobody", Some(by), None, Actor::Account(by), "released unread"),
    };
    let (made_from, at) = (serde_json::to_string(&filled.made_from.facts)?, now.unix_timestamp());
    sqlx::query!(
        "insert into paper_version (paper_id, number, headline, text, embargo, marked_headline, marked_text, facts,
                                    date_revision, edited_by, read_by, approved_by, reader_id, approved_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        paper.id,
        number,
        filled.headline,
        filled.text,
        filled.embargo,
        filled.made_from.headline,
        filled.made_from.text,
        made_from,
        event.date_revision,
        paper.edited_by,
        read_by,
        approved_by,
        reader_id,
        at
    )
    .execute(&mut **tx)
    .await?;
    let title = format!("{} v{number}", paper.kind.label());
    record(tx, now, entry(actor, verb, event_id, paper.id, &title));
    Ok(Some(number))
}

/// Notes that someone sent a version though the day in its dateline has passed.
pub(super) fn note_old_dateline(tx: &mut Tx, by: i64, event_id: i64, version: &Version, on: Date, now: OffsetDateTime) {
    let (called, after) = (version.called(), json!({"dateline": words::Reader::App.day(on)}));
    let entry = entry(Actor::Account(by), "sent with an old dateline", event_id, version.paper_id, &called);
    record(tx, now, Entry { after: Some(after), ..entry });
}

/// The newest approved version of a release.
///
/// # Errors
/// The store's.
pub async fn version(db: &mut SqliteConnection, event_id: i64, paper_id: i64) -> Result<Option<Approved>> {
    let versions = versions_in(db, event_id).await?;
    Ok(versions.iter().find(|version| version.paper_id == paper_id).map(Approved::of))
}

/// Releases from before there were marks: event, number, kind and text.
pub(super) async fn without_marks(tx: &mut Tx) -> Result<Vec<(i64, i64, PaperKind, String)>> {
    let rows = sqlx::query!(r#"select id as "id!", event_id, kind, text from paper where has_marks = 0 order by id"#);
    let rows = rows.fetch_all(&mut **tx).await?;
    rows.into_iter().map(|row| Ok((row.event_id, row.id, kind(&row.kind)?, row.text))).collect()
}

/// Puts marks in a text from before. It counts as a change for whoever has it open, but
/// who edited it last stays.
pub(super) async fn put_marks(
    tx: &mut Tx,
    (event_id, id, kind): (i64, i64, PaperKind),
    (old, new): (&str, &str),
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!(
        "update paper set text = ?, has_marks = 1, version = version + (text <> ?) where id = ?",
        new,
        new,
        id
    )
    .execute(&mut **tx)
    .await?;
    if old != new {
        let entry = entry(Actor::System, "marked the facts in", event_id, id, kind.as_str());
        record(tx, now, Entry { before: Some(json!({"text": old})), after: Some(json!({"text": new})), ..entry });
    }
    Ok(())
}
