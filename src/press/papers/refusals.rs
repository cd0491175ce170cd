//! Why something can't be done with a release.

use super::changes::changes_say;
use super::check::Check;
use super::snapshot::PaperSnapshot;

/// The reason.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Why {
    /// Something is missing in the text.
    Missing,
    /// A date or time in it is wrong.
    Wrong,
    /// It changed after it was read.
    Changed,
    Approved,
    NotApproved,
    OutOfDate,
    /// The reader edited it last.
    OwnText,
    /// Someone else with an account can read it.
    OtherReader,
    /// Nobody checked the box for releasing it unread.
    NotSure,
    NobodyTicked,
    /// Nobody checked the box for sending it with a day that has passed.
    OldDateline,
    NoName,
    NoMail,
    /// The name or address belongs to someone we know by another address or name.
    KnownOtherwise,
}

impl Why {
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Missing => "missing",
            Self::Wrong => "wrong",
            Self::Changed => "changed",
            Self::Approved => "approved",
            Self::NotApproved => "not approved",
            Self::OutOfDate => "out of date",
            Self::OwnText => "own text",
            Self::OtherReader => "other reader",
            Self::NotSure => "not sure",
            Self::NobodyTicked => "nobody ticked",
            Self::OldDateline => "old dateline",
            Self::NoName => "no name",
            Self::NoMail => "no mail",
            Self::KnownOtherwise => "known otherwise",
        }
    }
}

/// Why it wasn't done, for the person who tried.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    pub why: Why,
    pub says: String,
}

impl Refusal {
    pub fn new(why: Why, says: impl Into<String>) -> Self {
        Self { why, says: says.into() }
    }

    /// Because of what is missing or wrong in the text; none if nothing is. `not_done` says
    /// what wasn't done.
    pub fn by(check: &Check, not_done: &str) -> Option<Self> {
        let why = if check.wrong.is_empty() { Why::Missing } else { Why::Wrong };
        (!check.is_clean()).then(|| Self::new(why, format!("{not_done} {}.", check.says())))
    }

    /// Why the newest version can't be sent; none if it can.
    pub fn to_send(snapshot: &PaperSnapshot) -> Option<Self> {
        let Some(version) = snapshot.paper.newest() else {
            let says = "Nothing is approved yet. Someone who didn't edit the text last must approve it first.";
            return Some(Self::new(Why::NotApproved, says));
        };
        let (changes, wrong) = (snapshot.outdated(), version.wrong(&snapshot.facts));
        let again = "Have it approved again.";
        if !changes.is_empty() {
            let says = format!("v{} is out of date: {}. {again}", version.number, changes_say(&changes));
            Some(Self::new(Why::OutOfDate, says))
        } else if !wrong.is_empty() {
            let wrong = wrong.join("; ");
            let says = format!("v{} has a wrong date or time: {wrong}. Fix the text. {again}", version.number);
            Some(Self::new(Why::Wrong, says))
        } else {
            None
        }
    }
}
