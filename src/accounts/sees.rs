//! Who may see which private facts, for every page, file, and list.
//!
//! Everyone with an account may see names, organizations, and offices. The rest follows
//! this table, which is common practice and has no source:
//!
//! | | contact, notes, needs, certificates | money |
//! |---|---|---|
//! | education officer, information officer | yes | yes |
//! | safety officer, burn boss, incident commander, crew lead | yes | no |
//! | timekeeper, reader | no | no |
//!
//! A view gets the text from [`User::shown`], so it never holds anything its reader may not
//! see; no template decides. What is about a thing and not a person, such as a condition
//! record or a note on a task, is for everyone.

use super::User;
use crate::db::journal::JournalEntry;

/// A kind of private fact.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Private {
    /// Phone and email of a person, a deputy, or someone at an agency.
    Contact,
    /// What someone said, and what was written down about them.
    Notes,
    /// Someone's access needs.
    Needs,
    /// What shows that someone is qualified.
    Certificates,
    /// What a gift or a loan is worth.
    Money,
}

impl User {
    /// May this user see facts of this kind?
    #[must_use]
    pub fn sees(&self, what: Private) -> bool {
        match what {
            Private::Contact | Private::Notes | Private::Needs | Private::Certificates => self.sees_people(),
            Private::Money => self.keeps_people(),
        }
    }

    /// The text if this user may see it, otherwise an empty one.
    #[must_use]
    pub fn shown(&self, what: Private, text: &str) -> String {
        if self.sees(what) { text.to_owned() } else { String::new() }
    }

    /// The history entries without the changes this user may not see.
    #[must_use]
    pub fn shown_history(&self, mut entries: Vec<JournalEntry>) -> Vec<JournalEntry> {
        for entry in &mut entries {
            entry.changes.retain(|change| kind_of(&entry.subject, &change.field).is_none_or(|kind| self.sees(kind)));
        }
        entries
    }
}

/// What kind of fact a journal field is; none if it is for everyone.
fn kind_of(subject: &str, field: &str) -> Option<Private> {
    match (subject, field) {
        // The phone for questions is printed on what goes out. A task's notes are for
        // whoever works on it.
        ("department" | "press facts" | "task", _) => None,
        // Everything about a person except the name says how to reach or find them.
        ("person", _) | (_, "phone" | "mail" | "email" | "mail address" | "mail refused") => Some(Private::Contact),
        // Who gave how much, and for what.
        ("gift", _) | ("loan", "value") => Some(Private::Money),
        (_, "note" | "notes") | ("attendance", "reason") => Some(Private::Notes),
        ("certificate", "evidence" | "issued by") => Some(Private::Certificates),
        _ => None,
    }
}
