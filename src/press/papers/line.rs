//! A release in a list.

use super::changes::changes_say;
use super::check::check;
use super::paper::Paper;
use super::paper_facts::PaperFacts;
use crate::events::Event;
use crate::web::words;

/// A release in a list.
#[derive(Debug)]
pub(in crate::press) struct PaperLine {
    pub id: i64,
    pub title: String,
    pub headline: String,
    /// "out of date", "approved", "draft", "changed" or "complete".
    pub state: &'static str,
    pub stands: String,
    pub sign: &'static str,
    /// Who read the newest version; empty without one.
    pub read: &'static str,
}

impl PaperLine {
    /// The status of a release in one line.
    pub fn of(paper: &Paper, event: &Event, facts: &PaperFacts) -> Self {
        let check = check(paper.kind, &paper.draft, facts);
        let lacking = check.missing.len() + check.wrong.len();
        let changes = paper.outdated(event, facts);
        let newest = paper.newest();
        let (state, stands, sign) = match newest {
            Some(version) if !changes.is_empty() => {
                let stands = format!("v{} approved, but out of date: {}", version.number, changes_say(&changes));
                ("out of date", stands, "late")
            }
            Some(version) if paper.is_approved(event, facts) => {
                ("approved", format!("v{} {}", version.number, version.read.says()), "done")
            }
            _ if lacking > 0 => {
                let lacks = words::count(lacking, "item missing or wrong", "items missing or wrong");
                ("draft", format!("draft, {lacks}"), "todo")
            }
            Some(version) => ("changed", format!("changed after v{}, waiting for approval", version.number), "waiting"),
            None => ("complete", "waiting for approval".to_owned(), "waiting"),
        };
        Self {
            id: paper.id,
            title: paper.kind.title(),
            headline: facts.fill(&paper.draft.headline),
            state,
            stands,
            sign,
            read: newest.map_or("", |version| version.read.as_str()),
        }
    }
}
