//! The talk in words: what each part is called, and what fits.

use crate::calc::talk::{Burn, Concern, Found, Mark, Part};
use crate::events::Format;
use crate::fire::Clock;

/// Silence longer than this is named, s: common practice, no source.
pub(super) const LONG_SILENCE: f64 = 45.0;

/// "1:05".
pub(super) fn clock(seconds: f64) -> String {
    let seconds = whole(seconds);
    format!("{}:{:02}", seconds / 60, seconds % 60)
}

/// Without decimals. Below zero it counts as none.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "talks take minutes")]
pub(super) fn whole(seconds: f64) -> u32 {
    seconds.round().clamp(0.0, 1e9) as u32
}

/// "19 s", "1 min 20 s".
pub(super) fn lasts(seconds: f64) -> String {
    crate::calc::program::says(whole(seconds))
}

/// Which part of all fires these are.
#[expect(clippy::cast_precision_loss, reason = "a plan has a few thousand fires")]
pub(super) fn share(part: usize, all: usize) -> f64 {
    if all == 0 { 0.0 } else { part as f64 / all as f64 }
}

/// "96 of 100". None of them and all of them only if that is so.
pub(super) fn of_hundred(share: f64) -> String {
    let rounded = whole(share * 100.0);
    let number = if share > 0.0 && rounded == 0 {
        "fewer than 1".to_owned()
    } else if share < 1.0 && rounded == 100 {
        "more than 99".to_owned()
    } else {
        rounded.to_string()
    };
    format!("{number} of 100")
}

/// A reading grade. Short words in short sentences come out below any school's.
pub(super) fn grade(grade: f64) -> String {
    if grade < 1.0 { "below grade 1".to_owned() } else { format!("grade {grade:.1}") }
}

/// What a part is called.
pub(super) fn name(part: Part, format: Format) -> &'static str {
    let is_both = format == Format::BothAtOnce;
    match part {
        Part::Before => "Before lighting",
        Part::Lit if is_both => "From lighting both rooms",
        Part::Lit => "From lighting room A",
        Part::Alarm if is_both => "At the smoke alarm",
        Part::Alarm => "At room A's smoke alarm",
        Part::Flashover => "At flashover",
        Part::Between => "Between the two fires",
        Part::LitB => "From lighting room B",
        Part::AlarmB => "At room B's smoke alarm",
        Part::Sprinkler => "When the sprinkler opens",
        Part::After => "After the fire is out",
        Part::AlarmEarly => "If the alarm is early",
        Part::AlarmLate => "If the alarm is late",
        Part::AlarmNever => "If the alarm never sounds",
        Part::SprinklerEarly => "If the sprinkler is early",
        Part::SprinklerLate => "If the sprinkler is late",
        Part::SprinklerNever => "If the sprinkler never opens",
        Part::FlashoverEarly => "If flashover is early",
        Part::FlashoverLate => "If flashover is late",
        Part::FlashoverNever => "If flashover never comes",
        Part::Stopped => "If the burn is stopped",
    }
}

/// "when both rooms burn at once".
pub(super) const fn burning(format: Format) -> &'static str {
    match format {
        Format::OneAtATime => "when the rooms burn one at a time",
        Format::BothAtOnce => "when both rooms burn at once",
    }
}

pub(super) fn mark(mark: Mark) -> &'static str {
    match mark {
        Mark::Alarm => "the alarm",
        Mark::Sprinkler => "the sprinkler",
        Mark::Flashover => "flashover",
        Mark::Attack => "the crew's water",
    }
}

/// The key moment and which side of its usual times a branch is for.
pub(super) fn turn(part: Part) -> Option<(Mark, &'static str)> {
    Some(match part {
        Part::AlarmEarly => (Mark::Alarm, "early"),
        Part::AlarmLate => (Mark::Alarm, "late"),
        Part::AlarmNever => (Mark::Alarm, "never"),
        Part::SprinklerEarly => (Mark::Sprinkler, "early"),
        Part::SprinklerLate => (Mark::Sprinkler, "late"),
        Part::SprinklerNever => (Mark::Sprinkler, "never"),
        Part::FlashoverEarly => (Mark::Flashover, "early"),
        Part::FlashoverLate => (Mark::Flashover, "late"),
        Part::FlashoverNever => (Mark::Flashover, "never"),
        _ => return None,
    })
}

pub(super) fn hint(found: &Found) -> String {
    match found.kind {
        Concern::Jargon => format!("Instead of “{}”, say “{}”.", found.said, found.instead),
        Concern::Frightening => format!("“{}” frightens children: {}.", found.said, found.instead),
        Concern::Promise => format!("“{}” promises more than anyone can: {}.", found.said, found.instead),
    }
}

/// Whether there are fires to measure by: "ready", "waiting", or "missing".
pub(super) const fn has_clock(clock: &Clock) -> &'static str {
    match clock {
        Clock::NotPinned => "missing",
        Clock::Waiting => "waiting",
        Clock::Ready(_) => "ready",
    }
}

/// A burn's key and its name.
pub(super) const fn burn(burn: Burn) -> (&'static str, &'static str) {
    match burn {
        Burn::A => ("a", "Room A"),
        Burn::B => ("b", "Room B"),
        Burn::Both => ("both", "Both rooms"),
    }
}
