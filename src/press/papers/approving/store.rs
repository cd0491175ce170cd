//! Freezes a release as it was read.

use crate::db::Tx;
use crate::db::journal::{Actor, record};
use crate::error::Result;
use crate::press::papers::event_papers::EventPapers;
use crate::press::papers::filled::Filled;
use crate::press::papers::journaled::entry;
use crate::press::papers::paper::Paper;
use crate::press::papers::paper_facts::PaperFacts;
use crate::press::papers::version::MadeFrom;
use time::OffsetDateTime;

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

impl Reader {
    /// Did they edit the text last?
    fn is_editor_of(self, paper: &Paper) -> bool {
        match self {
            Self::Account(by) => by == paper.edited_by,
            Self::Outside(person) => person == paper.editor_person,
            Self::Nobody(_) => false,
        }
    }
}

/// What someone read, so that nothing else is approved.
#[derive(Debug, Clone, Copy)]
pub enum Seen<'a> {
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

/// Freezes a release as it was read. Gives the number of the new version. None if someone
/// has changed it or one of its facts, or if whoever approves it edited it last.
pub async fn approve(
    tx: &mut Tx,
    reader: Reader,
    (event_id, department): (i64, &str),
    (paper_id, seen): (i64, Seen<'_>),
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let Some(known) = EventPapers::load(tx, event_id, department, now).await? else { return Ok(None) };
    let EventPapers { event, facts, .. } = &known;
    let Some(paper) = known.paper(paper_id).filter(|paper| !reader.is_editor_of(paper)) else { return Ok(None) };
    let filled = Filled::of(&paper.draft, event, facts);
    if !seen.is_still(paper, &filled, facts) {
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
    record(tx, now, entry(actor, verb, (event_id, paper.id), &title));
    Ok(Some(number))
}
