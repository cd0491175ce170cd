//! The journal in words that people read.
//!
//! Each slice says what its entries are called ([`Subject`]). The program puts them together
//! where it starts.

mod groups;
mod subject;

use crate::db::journal::{Change, JournalEntry};
use crate::web::words::Reader;
use crate::zone::{self, Zone};
use std::sync::Arc;

pub use groups::{Group, by_day};
pub use subject::Subject;
use subject::worded;

/// An entry as a page shows it.
#[derive(Debug)]
pub struct HistoryLine {
    pub day: String,
    pub time: String,
    pub who: String,
    /// What the store calls the kind of thing, for scripts and tests.
    pub kind: String,
    pub verb: String,
    pub subject: String,
    pub title: String,
    /// Where the thing is; empty if it has no page or is gone.
    pub href: String,
    /// Field, before, after.
    pub changes: Vec<(String, String, String)>,
}

/// Older verbs with today's, whatever they are about.
const VERBS: &[(&str, &str)] = &[("cancelled", "canceled")];

/// What fields are called that many kinds of things have.
const FIELDS: &[(&str, &str)] = &[
    ("against a rule", "overridden"),
    ("can be there", "available"),
    ("holds until", "expires"),
    ("kind", "type"),
    ("mail", "email"),
    ("mail address", "email"),
    ("organisation", "organization"),
    ("post", "position"),
    ("way", "how"),
];

/// The same for choices: the field, the choice, and its words.
const VALUES: &[(&str, &str, &str)] = &[("by", "mail", "email"), ("way", "mail", "by email")];

/// Fields that mean nothing to a reader.
const HIDDEN: &[&str] = &["digest", "date revision", "date version"];

/// What all slices call their entries. Cheap to clone.
#[derive(Debug, Clone, Default)]
pub struct History(Arc<[Subject]>);

impl History {
    #[must_use]
    pub fn of(slices: &[&[Subject]]) -> Self {
        Self(slices.concat().into())
    }

    fn subject(&self, kind: &str) -> Option<&Subject> {
        self.0.iter().find(|subject| subject.kind == kind)
    }

    /// Where people look for this kind of thing.
    #[must_use]
    pub fn side_of(&self, kind: &str) -> Option<&'static str> {
        self.subject(kind).map(|subject| subject.side)
    }

    /// What the store calls the things people look for here.
    #[must_use]
    pub fn kinds_of(&self, side: &str) -> Vec<&'static str> {
        self.0.iter().filter(|subject| subject.side == side).map(|subject| subject.kind).collect()
    }

    /// Entries as a page words them, with times in this zone.
    #[must_use]
    pub fn lines(&self, entries: Vec<JournalEntry>, zone: &Zone) -> Vec<HistoryLine> {
        entries.into_iter().map(|entry| self.line(entry, zone)).collect()
    }

    fn line(&self, entry: JournalEntry, zone: &Zone) -> HistoryLine {
        let other = Subject::of("", "");
        let known = self.subject(&entry.subject);
        let subject = known.unwrap_or(&other);
        let shown_ones = entry.changes.iter().filter(|change| is_shown(subject, change));
        let changes = shown_ones.map(|change| {
            let text = |value: &str| self.shown(subject, &change.field, value);
            let label = worded(subject.fields, &change.field).or(worded(FIELDS, &change.field));
            (label.unwrap_or(&change.field).to_owned(), text(&change.before), text(&change.after))
        });
        let at = zone.wall(entry.at);
        let verb = worded(subject.verbs, &entry.verb).or(worded(VERBS, &entry.verb));
        let called = known.map_or(entry.subject.as_str(), |subject| subject.called(&entry.verb, &entry.title));
        HistoryLine {
            day: Reader::App.day(at.date()),
            time: Reader::App.time(at.time()),
            changes: changes.collect(),
            verb: verb.unwrap_or(&entry.verb).to_owned(),
            subject: called.to_owned(),
            title: subject.title(&entry.title).to_owned(),
            href: href(subject, &entry),
            kind: entry.subject,
            who: entry.who,
        }
    }

    /// A field's value.
    fn shown(&self, subject: &Subject, field: &str, value: &str) -> String {
        if let Some((_, read)) = subject.reads.iter().find(|(of, _)| *of == field) {
            return read(value);
        }
        if field == "time zone" {
            return zone::plain(value).to_owned();
        }
        let mut words = self.0.iter().flat_map(|subject| subject.values).chain(VALUES);
        let known = words.find(|(of, choice, _)| *of == field && *choice == value);
        known.map_or(value, |(.., words)| words).to_owned()
    }
}

fn href(subject: &Subject, entry: &JournalEntry) -> String {
    match (subject.address, entry.event_id, entry.subject_id) {
        (Some(address), Some(event), Some(id)) if entry.verb != "removed" => address(event, id),
        _ => String::new(),
    }
}

/// Does a field mean anything to a reader, and say more than the title?
fn is_shown(subject: &Subject, change: &Change) -> bool {
    let field = change.field.as_str();
    let says_nothing = HIDDEN.contains(&field) || subject.hidden.contains(&field);
    !says_nothing && !is_digest(&change.before) && !is_digest(&change.after)
}

/// The shortest digest or secret that is written in hexadecimal has this many digits.
const DIGEST: usize = 32;

/// Does a text hold a long number in hexadecimal? No one reads those.
fn is_digest(text: &str) -> bool {
    text.split(|c: char| !c.is_ascii_alphanumeric())
        .any(|word| word.len() >= DIGEST && word.bytes().all(|byte| byte.is_ascii_hexdigit()))
}

#[cfg(test)]
mod tests;
