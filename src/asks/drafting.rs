//! A question as it is typed, wherever that is.

use super::{Draft, Kind};
use crate::events::Event;
use crate::web::form::{self, Mistakes};
use time::OffsetDateTime;

/// What a form calls the dates that can be asked for.
pub(super) const DATES: [&str; 2] = ["burn day", "rain date"];

/// What every form that asks people has.
#[derive(Debug, Clone, Copy)]
pub struct Typed<'a> {
    pub question: &'a str,
    pub words: &'a str,
    pub dates: &'a [String],
    /// The last day and time for an answer.
    pub closes_on: &'a str,
    pub closes_time: &'a str,
}

impl Typed<'_> {
    /// The question without lines under it; or what is wrong, with the mistakes
    /// that were found already.
    ///
    /// # Errors
    /// What to tell whoever typed it, by field.
    pub fn read(
        &self,
        kind: Kind,
        event: &Event,
        now: OffsetDateTime,
        mut mistakes: Mistakes,
    ) -> Result<Draft, Mistakes> {
        let question = mistakes.note("question", form::line(self.question, 150));
        let words = mistakes.note("words", form::paragraph(self.words, 2_000));
        let has = |date: &str| self.dates.iter().any(|chosen| chosen == date);
        let mut dates = Vec::new();
        if has(DATES[0]) {
            dates.push(event.details.burn_on);
        }
        if has(DATES[1]) {
            match event.details.rain_on {
                Some(on) => dates.push(on),
                None => mistakes.add("date", "This event has no rain date."),
            }
        }
        if dates.is_empty() {
            mistakes.add("date", "Ask for one date at least.");
        }
        let on = mistakes.note("closes_on", form::day(self.closes_on));
        let at = mistakes.note("closes_time", form::time_of_day(self.closes_time));
        let closes_at = on.zip(at).and_then(|(on, at)| event.details.zone.instant(on, at));
        if closes_at.is_some_and(|closes| closes <= now) {
            mistakes.add("closes_on", "This has passed.");
        }
        if on.zip(dates.iter().max().copied()).is_some_and(|(on, last)| on > last) {
            mistakes.add("closes_on", "Answers are wanted before the last of the days asked for.");
        }
        match (question, words, closes_at, mistakes.is_empty()) {
            (Some(question), Some(words), Some(closes_at), true) => {
                Ok(Draft { kind, question, facts: Vec::new(), words, closes_at, dates })
            }
            _ => Err(mistakes),
        }
    }
}

/// The dates an event has, as a form calls them.
#[must_use]
pub fn dates_of(event: &Event) -> Vec<String> {
    let dates = if event.details.rain_on.is_some() { &DATES[..] } else { &DATES[..1] };
    dates.iter().map(|date| (*date).to_owned()).collect()
}
