//! A person on one date, and why they get a seat.

use crate::calc::duties::Hours;

/// An answer, from best to worst.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Answer {
    /// They come.
    Yes,
    /// They may come.
    Maybe,
    /// Asked, with no answer yet.
    Waiting,
    /// They weren't asked.
    NotAsked,
    /// They don't come.
    No,
}

/// A qualification someone holds, on that date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Held {
    /// The qualification's number.
    pub qualification: i64,
    /// It has expired by that date.
    pub is_expired: bool,
}

/// A person on one date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Person {
    /// Their number.
    pub id: i64,
    /// Their qualifications.
    pub holds: Vec<Held>,
    /// When they can be there. None if they gave no hours, and then any hour counts.
    pub there: Option<Vec<Hours>>,
    /// Their answer for the date in general.
    pub day: Answer,
    /// Their answers for positions. These count more than the answer for the date.
    pub posts: Vec<(i64, Answer)>,
    /// The positions they have now.
    pub at: Vec<i64>,
    /// Positions they were given by an override, whatever the rules say.
    pub fixed: Vec<i64>,
}

/// Why someone gets a seat, from best to worst.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum How {
    /// By an override.
    ByHand,
    /// They said yes to that position.
    SaidYes,
    /// They said yes to the date.
    Yes,
    /// They said maybe.
    Maybe,
    /// They haven't answered yet.
    Waiting,
    /// They weren't asked.
    NotAsked,
    /// They said yes to another position.
    Moved,
}

/// A filled seat.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Seat {
    /// The position.
    pub post: i64,
    /// Who has it.
    pub person: i64,
    /// Why they have it.
    pub how: How,
    /// They have another seat too, at other hours or with a duty that goes with this one.
    pub also: bool,
}

impl Person {
    pub(super) fn said_yes_to(&self, post: i64) -> bool {
        self.posts.contains(&(post, Answer::Yes))
    }

    /// The answer that counts for a position.
    #[must_use]
    pub fn answer_for(&self, post: i64) -> Answer {
        self.posts.iter().filter(|(of, _)| *of == post).map(|(_, said)| *said).min().unwrap_or(self.day)
    }

    pub(super) fn how(&self, post: i64) -> How {
        if self.said_yes_to(post) {
            return How::SaidYes;
        }
        if self.posts.iter().any(|(_, said)| *said == Answer::Yes) {
            return How::Moved;
        }
        match self.answer_for(post) {
            Answer::Yes => How::Yes,
            Answer::Maybe => How::Maybe,
            Answer::Waiting => How::Waiting,
            Answer::NotAsked | Answer::No => How::NotAsked,
        }
    }
}
