//! The form that asks people.

use crate::asks::{Closings, Kind, NewQuestion};
use crate::events::Event;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;
use time::{Date, OffsetDateTime};

/// What the form calls the dates to ask about.
const BURN_DAY: &str = "burn day";
const RAIN_DATE: &str = "rain date";

/// The fields of every form that asks people.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct QuestionForm {
    pub question: String,
    pub words: String,
    /// `burn day`, `rain date`.
    pub date: Vec<String>,
    /// The last day and time to answer.
    pub closes_on: String,
    pub closes_time: String,
    /// The numbers of the people, guests or loans to ask or ask for.
    #[serde(alias = "person", alias = "guest", alias = "thing")]
    pub chosen: Vec<i64>,
    /// The button.
    pub act: String,
}

/// How a page names what is chosen: its field, and what to say if nothing is.
#[derive(Debug, Clone, Copy)]
pub struct Choosing {
    pub field: &'static str,
    pub nothing: &'static str,
}

impl QuestionForm {
    /// The usual question of its kind, about all dates of the event.
    #[must_use]
    pub fn usual(kind: Kind, event: &Event, closings: &Closings, now: OffsetDateTime) -> Self {
        let (closes_on, closes_time) = closings.typed(kind, event, now);
        let rain_date = event.details.rain_on.map(|_| RAIN_DATE.to_owned());
        Self {
            question: kind.question().to_owned(),
            date: std::iter::once(BURN_DAY.to_owned()).chain(rain_date).collect(),
            closes_on,
            closes_time,
            ..Self::default()
        }
    }

    /// The same about burn day only.
    #[must_use]
    pub fn for_burn_day(self) -> Self {
        Self { date: vec![BURN_DAY.to_owned()], ..self }
    }

    /// Is it about this date?
    #[must_use]
    pub fn has(&self, date: &str) -> bool {
        self.date.iter().any(|chosen| chosen == date)
    }

    /// Is this one chosen?
    #[must_use]
    pub fn chooses(&self, id: i64) -> bool {
        self.chosen.contains(&id)
    }

    /// The question without the lines under it, or what is wrong, along with mistakes
    /// already found.
    ///
    /// # Errors
    /// What to tell whoever typed it, by field.
    pub fn read(
        &self,
        kind: Kind,
        choosing: Choosing,
        event: &Event,
        now: OffsetDateTime,
        mut mistakes: Mistakes,
    ) -> Result<NewQuestion, Mistakes> {
        if self.chosen.is_empty() {
            mistakes.add(choosing.field, choosing.nothing);
        }
        let question = mistakes.note("question", form::line(&self.question, 150));
        let words = mistakes.note("words", form::paragraph(&self.words, 2_000));
        let dates = self.read_dates(event, &mut mistakes);
        let closes_at = self.read_closing(event, &dates, now, &mut mistakes);
        match (question, words, closes_at, mistakes.is_empty()) {
            (Some(question), Some(words), Some(closes_at), true) => {
                Ok(NewQuestion { kind, question, facts: Vec::new(), words, closes_at, dates })
            }
            _ => Err(mistakes),
        }
    }

    fn read_dates(&self, event: &Event, mistakes: &mut Mistakes) -> Vec<Date> {
        let mut dates = Vec::new();
        if self.has(BURN_DAY) {
            dates.push(event.details.burn_on);
        }
        if self.has(RAIN_DATE) {
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
        dates
    }

    /// The last moment to answer: still to come, and on the last of the dates at the latest.
    fn read_closing(
        &self,
        event: &Event,
        dates: &[Date],
        now: OffsetDateTime,
        mistakes: &mut Mistakes,
    ) -> Option<OffsetDateTime> {
        let on = mistakes.note("closes_on", form::day(&self.closes_on));
        let at = mistakes.note("closes_time", form::time_of_day(&self.closes_time));
        let closes_at = on.zip(at).and_then(|(on, at)| event.details.zone.instant(on, at));
        if closes_at.is_some_and(|closes| closes <= now) {
            mistakes.add("closes_on", "This time has passed. Choose a later one.");
        }
        if on.zip(dates.iter().max().copied()).is_some_and(|(on, last)| on > last) {
            mistakes.add("closes_on", "Choose a day no later than the last date you are asking about.");
        }
        closes_at
    }
}
