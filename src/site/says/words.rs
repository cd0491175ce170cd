//! What every finding in words is made of.

use crate::calc::site::checks::{Given, Grade};
use crate::calc::site::{FOOT, Kind};
use crate::web::words::{self, capital, count};

/// A finding in words.
pub(super) struct Words {
    /// What kind of finding it is.
    pub mark: &'static str,
    pub title: String,
    /// With its unit.
    pub number: String,
    pub rests_on: String,
    /// What would fix it; empty if nothing must be.
    pub fix: String,
}

pub(super) fn say(
    mark: &'static str,
    title: impl Into<String>,
    number: impl Into<String>,
    rests_on: impl Into<String>,
    fix: impl Into<String>,
) -> Words {
    Words { mark, title: title.into(), number: number.into(), rests_on: rests_on.into(), fix: fix.into() }
}

/// What a finding is about.
pub(super) struct About<'a> {
    pub grade: Grade,
    /// What the things are called.
    pub names: &'a [String],
    pub given: &'a Given,
}

impl About<'_> {
    pub fn good(&self) -> bool {
        self.grade == Grade::Good
    }

    /// The first thing's name.
    pub fn first(&self) -> &str {
        self.names.first().map_or("It", String::as_str)
    }

    /// What would fix it, unless nothing must be fixed.
    pub fn fix(&self, text: &str) -> String {
        if self.good() { String::new() } else { text.to_owned() }
    }
}

pub(super) fn whole(value: f64) -> String {
    format!("{value:.0}").replace('-', "−")
}

pub(super) fn people(number: u32) -> String {
    words::grouped(usize::try_from(number).unwrap_or(usize::MAX))
}

pub(super) fn some(number: u32, one: &str, many: &str) -> String {
    count(usize::try_from(number).unwrap_or(usize::MAX), one, many)
}

pub(super) fn decibels(value: f64) -> String {
    format!("{} dB", whole(value))
}

pub(super) fn which(rooms: &[Kind]) -> &'static str {
    match rooms {
        [only] => only.as_str(),
        _ => "the rooms",
    }
}

pub(super) fn square_feet(area: f64) -> usize {
    format!("{:.0}", (area / (FOOT * FOOT)).max(0.0)).parse().unwrap_or(0)
}

pub(super) fn words_for(number: u32) -> String {
    match number {
        2 => "Two".to_owned(),
        3 => "Three".to_owned(),
        4 => "Four".to_owned(),
        more => more.to_string(),
    }
}

/// As the beginning of a sentence.
pub(super) fn list(names: &[String]) -> String {
    capital(&words::and(names))
}
