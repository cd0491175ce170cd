//! The rules for scheduled messages, as they are for an event.

use crate::asks;
use crate::calc::calendar::Basis;
use crate::calc::reminder::{By, Kind, Rule};

/// A rule as it is for an event.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct EventRule {
    pub kind: asks::Kind,
    pub rule: Rule,
    pub is_on: bool,
    pub version: i64,
}

/// What a rule does, in a word or two.
pub(super) fn step(kind: Kind) -> &'static str {
    match kind {
        Kind::Chase => "ask again",
        Kind::Remind => "remind",
        Kind::LastWord => "final check",
    }
}

/// How a rule's days are counted, as forms have it.
pub(super) fn basis(text: &str) -> Option<Basis> {
    match text {
        "calendar" => Some(Basis::Calendar),
        "working" => Some(Basis::Working),
        _ => None,
    }
}

/// How a rule reaches people.
pub(super) fn by(by: By) -> &'static str {
    match by {
        By::Mail => "email",
        By::Phone => "phone",
    }
}
