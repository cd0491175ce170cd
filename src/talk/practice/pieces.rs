//! What is practiced: the parts of the talk, and what to say if a moment comes at another time.

use super::clock::key;
use crate::calc::talk::{Audience, Part};
use crate::talk::snapshot::{TalkSnapshot, TimedLine};
use crate::talk::{says, shown_line};

/// A part to practice.
pub(super) struct Piece {
    pub key: &'static str,
    pub name: &'static str,
    /// The clock it belongs to; empty for what is said without one.
    pub burn: &'static str,
    /// The mark that begins it; empty for lighting.
    pub mark: &'static str,
    pub lines: Vec<Spoken>,
}

pub(super) struct Spoken {
    pub number: usize,
    pub words: String,
    pub count: u32,
    pub is_for_adults: bool,
    pub facts: String,
}

/// What to say if a moment comes early, late, or never.
pub(super) struct Turned {
    pub key: &'static str,
    pub name: &'static str,
    /// The moment; empty for a stop.
    pub mark: &'static str,
    pub side: &'static str,
    /// Seconds from lighting from which, or before which, it counts; 0 for a stop.
    pub at: String,
    pub words: String,
}

pub(super) fn pieces(snapshot: &TalkSnapshot) -> Vec<Piece> {
    let spoken = |(at, timed): (usize, &TimedLine)| Spoken {
        number: at + 1,
        words: timed.line.words.clone(),
        count: timed.checked.words,
        is_for_adults: timed.line.audience == Audience::Adults,
        facts: format!("{} · {}", timed.line.audience, shown_line::cue(snapshot, timed)),
    };
    let piece = |part: &Part| Piece {
        key: part.as_str(),
        name: says::name(*part, snapshot.event.details.format),
        burn: part.burn(snapshot.is_both()).map_or("", |burn| says::burn(burn).0),
        mark: part.begun_by().map_or("", key),
        lines: snapshot.of_part(*part).map(spoken).collect(),
    };
    Part::sequence(snapshot.is_both()).iter().map(piece).collect()
}

pub(super) fn turned(snapshot: &TalkSnapshot) -> Vec<Turned> {
    let one = |part: Part| {
        let words: Vec<String> = snapshot.of_part(part).map(|(_, timed)| timed.line.words.clone()).collect();
        let (mark, side) = says::turn(part).map_or(("", ""), |(mark, side)| (key(mark), side));
        let at = says::turn(part).and_then(|(mark, side)| {
            let turns = snapshot.turns(mark)?;
            Some(match side {
                "early" => turns.early,
                "late" => turns.late,
                _ => turns.gone,
            })
        });
        Turned {
            key: part.as_str(),
            name: says::name(part, snapshot.event.details.format),
            mark,
            side,
            at: at.map(|at| format!("{at:.1}")).unwrap_or_default(),
            words: words.join(" "),
        }
    };
    Part::BRANCHES.into_iter().map(one).collect()
}
