//! A question as typed into any form.

use super::{Kind, NewQuestion};
use crate::events::Event;
use crate::web::form::{self, Mistakes};
use time::OffsetDateTime;

/// What a form calls the dates to ask about.
pub(super) const DATES: [&str; 2] = ["burn day", "rain date"];

/// The fields of every form that asks people.
#[derive(Debug, Clone, Copy)]
pub struct Typed<'a> {
    pub question: &'a str,
    pub words: &'a str,
    pub dates: &'a [String],
    /// The last day and time to answer.
    pub closes_on: &'a str,
    pub closes_time: &'a str,
}

impl Typed<'_> {
    /// The question without the lines under it, or what is wrong, along with mistakes
    /// already found.
    ///
    /// # Errors
    /// What to tell whoever typed it, by field.
    pub fn read(
        &self,
        kind: Kind,
        event: &Event,
        now: OffsetDateTime,
        mut mistakes: Mistakes,
    ) -> Result<NewQuestion, Mistakes> {
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
                None => mistakes.add(
                    "date",
                    "This event has no rain date. Ask about burn day, or add a rain date to the event first.",
                ),
            }
        }
        if dates.is_empty() {
            mistakes.add("date", "Choose at least one date.");
        }
        let on = mistakes.note("closes_on", form::day(self.closes_on));
        let at = mistakes.note("closes_time", form::time_of_day(self.closes_time));
        let closes_at = on.zip(at).and_then(|(on, at)| event.details.zone.instant(on, at));
        if closes_at.is_some_and(|closes| closes <= now) {
            mistakes.add("closes_on", "This time has passed. Choose a later one.");
        }
        if on.zip(dates.iter().max().copied()).is_some_and(|(on, last)| on > last) {
            mistakes.add("closes_on", "Choose a day no later than the last date you are asking about.");
        }
        match (question, words, closes_at, mistakes.is_empty()) {
            (Some(question), Some(words), Some(closes_at), true) => {
                Ok(NewQuestion { kind, question, facts: Vec::new(), words, closes_at, dates })
            }
            _ => Err(mistakes),
        }
    }
}

/// An event's dates, as a form calls them.
#[must_use]
pub fn dates_of(event: &Event) -> Vec<String> {
    let dates = if event.details.rain_on.is_some() { &DATES[..] } else { &DATES[..1] };
    dates.iter().map(|date| (*date).to_owned()).collect()
}
