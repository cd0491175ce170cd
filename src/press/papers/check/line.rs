//! A line of a text: what it names, and what its label promises.

use super::spoken::said;
use crate::calc::dates_in_text::{self, Found};
use crate::press::papers::dateline;
use crate::press::papers::marks::{self, Piece};
use time::Date;

/// So close to a rain date the text must say that it is one.
const NEAR: usize = 60;

/// A line of a text.
pub(super) struct Line<'a> {
    pub text: &'a str,
    pub words: String,
    pub found: Vec<Found>,
    /// Its label or first words, so people can find it.
    pub place: String,
    pub promises: Promises,
    /// A dateline can be here.
    pub is_first: bool,
}

/// What the label of a line says is in it.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Promises {
    Nothing,
    BurnDay,
    RainDate,
}

impl<'a> Line<'a> {
    pub fn of(text: &'a str) -> Self {
        let label = text.split_once(':').map(|(label, _)| label.trim()).filter(|label| is_label(label));
        let start = || text.split_whitespace().take(6).collect::<Vec<_>>().join(" ");
        let place = label.map_or_else(|| format!("“{} …”", start()), str::to_owned);
        let promises = label.map_or(Promises::Nothing, promised);
        let words = said(text);
        Self { text, found: dates_in_text::find(&words), words, place, promises, is_first: false }
    }

    pub fn headline(text: &'a str) -> Self {
        Self { place: "Headline".to_owned(), promises: Promises::Nothing, ..Self::of(text) }
    }

    pub fn has(&self, mark: &str) -> bool {
        marks::pieces(self.text).contains(&Piece::Mark(mark))
    }

    pub fn names(&self, on: Date) -> bool {
        self.found.iter().any(|found| found.named.is_day(on))
    }

    /// Is it the date in a dateline, the day the release goes out?
    pub fn is_dateline(&self, found: &Found) -> bool {
        self.is_first && dateline::find(&self.words).is_some_and(|dated| dated.start == found.start)
    }

    /// Does it say near a date that this is the rain date?
    pub fn speaks_of_rain(&self, found: &Found) -> bool {
        if self.promises == Promises::RainDate {
            return true;
        }
        let from = self.words.floor_char_boundary(found.start.saturating_sub(NEAR));
        let to = self.words.ceil_char_boundary((found.end + NEAR).min(self.words.len()));
        let near = self.words[from..to].to_lowercase();
        ["rain", "alternate", "backup", "postpone", "put off", "called off", "canceled", "weather"]
            .iter()
            .any(|word| near.contains(word))
    }
}

fn is_label(label: &str) -> bool {
    let is_short = !label.is_empty() && label.chars().count() <= 30;
    let is_loud = label.chars().any(char::is_uppercase) && !label.chars().any(char::is_lowercase);
    is_short && (is_loud || promised(label) != Promises::Nothing)
}

fn promised(label: &str) -> Promises {
    let label = label.to_lowercase();
    let is_rain = ["rain", "alternate", "backup"].iter().any(|word| label.contains(word));
    let days = [
        "when",
        "date",
        "day",
        "burn day",
        "event date",
        "date and time",
        "date & time",
        "date/time",
        "when and where",
    ];
    let is_of_a_day = !label.contains(' ') || label.contains("date") || label.contains("day");
    if is_rain && is_of_a_day {
        Promises::RainDate
    } else if days.contains(&label.as_str()) {
        Promises::BurnDay
    } else {
        Promises::Nothing
    }
}
