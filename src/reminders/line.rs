//! One reminder to one person.

use crate::asks::Request;
use crate::calc::reminder::{By, Kind, Reminder};
use crate::loans::Out;
use time::Date;

/// What a reminder is about.
#[derive(Debug, Clone)]
pub(super) enum About {
    Question {
        request: Box<Request>,
        kind: Kind,
    },
    Task {
        id: i64,
        title: String,
        due: Date,
        is_late: bool,
    },
    /// Something borrowed that has to go back.
    Loan(Out),
    /// The week that starts on this Monday.
    Week(Date),
}

impl About {
    /// What it is for, as a mark.
    pub fn step(&self) -> &'static str {
        match self {
            Self::Question { kind: Kind::Chase, .. } => "chase",
            Self::Question { kind: Kind::Remind, .. } => "remind",
            Self::Question { kind: Kind::LastWord, .. } => "last-word",
            Self::Task { is_late: true, .. } => "task-late",
            Self::Task { .. } => "task-due",
            Self::Loan(_) => "loan",
            Self::Week(_) => "week",
        }
    }
}

/// One reminder to one person.
#[derive(Debug, Clone)]
pub(super) struct Line {
    pub key: String,
    pub person_id: i64,
    pub about: About,
    pub by: By,
    pub reminder: Reminder,
    /// What it is about, in a few words,
    pub title: String,
    /// and why it is sent.
    pub why: String,
}
