//! What the presenter says around the burns, and whether there is time for it.
//!
//! A talk is a list of lines, each in a part. The fire starts and ends the parts that are spoken
//! while a room burns, so a line has time in some simulated fires and not in others.
//! Everything here is a **screening estimate**: what burns on the day can be sooner or later
//! than in any of them.
//!
//! Units: seconds.

#![expect(clippy::cast_precision_loss, reason = "counts of fires are small")]

mod fit;
mod jargon;
mod text;

pub use fit::{AUDIENCES, Audience, Fitted, Line, LineFit, Pace, Rules, Section, Silence, Turns, fit};
pub use text::{ADULT_GRADE, CHILDREN_GRADE, CHILDREN_SENTENCE, Checked, Concern, Found, check};

use crate::named::named;

named! {
    /// A part of the talk. While a room burns, a part begins when the room is lit or when the
    /// alarm, the sprinkler, or flashover comes. Those that end in "B" are about room B where
    /// the rooms burn one at a time. The last ten are branches: what to say if something comes
    /// early, late, or not at all, or if the burn is stopped.
    Part, "Choose a part of the talk.", PARTS: [
        Before = "before",
        Lit = "lit",
        Alarm = "alarm",
        Flashover = "flashover",
        Between = "between",
        LitB = "lit-b",
        AlarmB = "alarm-b",
        Sprinkler = "sprinkler",
        After = "after",
        AlarmEarly = "alarm-early",
        AlarmLate = "alarm-late",
        AlarmNever = "alarm-never",
        SprinklerEarly = "sprinkler-early",
        SprinklerLate = "sprinkler-late",
        SprinklerNever = "sprinkler-never",
        FlashoverEarly = "flashover-early",
        FlashoverLate = "flashover-late",
        FlashoverNever = "flashover-never",
        Stopped = "stopped",
    ]
}

impl Part {
    /// The parts that a fire may leave out.
    pub const BRANCHES: [Self; 10] = [
        Self::AlarmEarly,
        Self::AlarmLate,
        Self::AlarmNever,
        Self::SprinklerEarly,
        Self::SprinklerLate,
        Self::SprinklerNever,
        Self::FlashoverEarly,
        Self::FlashoverLate,
        Self::FlashoverNever,
        Self::Stopped,
    ];

    /// The parts in the usual order, where both rooms burn at once or one at a time.
    #[must_use]
    pub const fn sequence(is_both: bool) -> &'static [Self] {
        const BOTH: &[Part] = &[Part::Before, Part::Lit, Part::Alarm, Part::Sprinkler, Part::Flashover, Part::After];
        const ONE: &[Part] = &[
            Part::Before,
            Part::Lit,
            Part::Alarm,
            Part::Flashover,
            Part::Between,
            Part::LitB,
            Part::AlarmB,
            Part::Sprinkler,
            Part::After,
        ];
        if is_both { BOTH } else { ONE }
    }

    /// Is it one that a fire may leave out?
    #[must_use]
    pub fn is_branch(self) -> bool {
        Self::BRANCHES.contains(&self)
    }

    /// None for a branch. What is said between the burns counts as during.
    #[must_use]
    pub fn phase(self) -> Option<Phase> {
        match self {
            Self::Before => Some(Phase::Before),
            Self::After => Some(Phase::After),
            branch if branch.is_branch() => None,
            _ => Some(Phase::During),
        }
    }

    /// The burn during which it is spoken.
    #[must_use]
    pub fn burn(self, is_both: bool) -> Option<Burn> {
        Burn::of(is_both).iter().copied().find(|burn| burn.parts().contains(&self))
    }

    /// What it waits for; none if it begins when a room is lit, or outside a burn.
    #[must_use]
    pub const fn begun_by(self) -> Option<Mark> {
        match self {
            Self::Alarm | Self::AlarmB => Some(Mark::Alarm),
            Self::Sprinkler => Some(Mark::Sprinkler),
            Self::Flashover => Some(Mark::Flashover),
            _ => None,
        }
    }
}

/// When a part comes: before the first fire, during the fires, or after the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// Before the first fire.
    Before,
    /// From the first fire to the last.
    During,
    /// After the last fire.
    After,
}

/// What the audience sees or hears in a burn. Of two at the same time, the later one here
/// counts, and nothing is said after the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Mark {
    /// The smoke alarm sounds.
    Alarm,
    /// The sprinkler opens.
    Sprinkler,
    /// The room flashes over.
    Flashover,
    /// Water from the crew's hose, an agreed time after flashover.
    Attack,
}

impl Mark {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Alarm, Self::Sprinkler, Self::Flashover, Self::Attack];
}

/// What burns on one clock.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Burn {
    /// Room A, without a sprinkler.
    A,
    /// Room B, with one. No hose ends it.
    B,
    /// Both at once.
    Both,
}

impl Burn {
    /// The burns in order.
    #[must_use]
    pub const fn of(is_both: bool) -> &'static [Self] {
        if is_both { &[Self::Both] } else { &[Self::A, Self::B] }
    }

    /// The parts of a talk of this format, in order.
    #[must_use]
    pub const fn parts(self) -> &'static [Part] {
        match self {
            Self::A => &[Part::Lit, Part::Alarm, Part::Flashover],
            Self::B => &[Part::LitB, Part::AlarmB, Part::Sprinkler],
            Self::Both => &[Part::Lit, Part::Alarm, Part::Sprinkler, Part::Flashover],
        }
    }

    /// What can come after lighting.
    #[must_use]
    pub const fn marks(self) -> &'static [Mark] {
        match self {
            Self::A => &[Mark::Alarm, Mark::Flashover, Mark::Attack],
            Self::B => &[Mark::Alarm, Mark::Sprinkler],
            Self::Both => &Mark::ALL,
        }
    }
}

/// How many lines teach one objective.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Coverage {
    /// Lines before the first fire.
    pub before: usize,
    /// Lines during the fires.
    pub during: usize,
    /// Lines after the last fire.
    pub after: usize,
}

impl Coverage {
    /// Does at least one line teach it?
    #[must_use]
    pub const fn is_covered(&self) -> bool {
        self.before + self.during + self.after > 0
    }
}

/// Counts the lines of each objective. A line has an objective, by its place in the list of
/// them, or none. Branches don't count, for they are seldom spoken, nor do parts that the
/// format doesn't have.
#[must_use]
pub fn coverage(objectives: usize, lines: &[(Option<usize>, Part)], is_both: bool) -> Vec<Coverage> {
    let mut all = vec![Coverage::default(); objectives];
    for (objective, part) in lines.iter().filter(|(_, part)| Part::sequence(is_both).contains(part)) {
        let Some(found) = objective.and_then(|place| all.get_mut(place)) else { continue };
        match part.phase() {
            Some(Phase::Before) => found.before += 1,
            Some(Phase::During) => found.during += 1,
            Some(Phase::After) => found.after += 1,
            None => {}
        }
    }
    all
}

#[cfg(test)]
mod tests;
