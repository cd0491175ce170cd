//! A question to one person: the dates it asks about and their answers.

use super::answer::{Answer, Given, Said};
use super::kind::Kind;
use time::{Date, OffsetDateTime};

/// One question to one person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    pub id: i64,
    pub event_id: i64,
    pub person_id: i64,
    pub kind: Kind,
    pub question: String,
    /// Labels and texts.
    pub facts: Vec<(String, String)>,
    pub words: String,
    /// The link takes answers and changes until then.
    pub closes_at: OffsetDateTime,
    pub asked_at: OffsetDateTime,
    /// The account that asked it.
    pub asked_by: Option<i64>,
    pub is_withdrawn: bool,
    pub link_number: i64,
    /// Goes up whenever the question changes.
    pub version: i64,
    /// The dates asked about, earliest first, lapsed ones included.
    pub asks: Vec<Ask>,
}

/// The question about one date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    pub id: i64,
    pub for_on: Date,
    /// How often burn day had moved when it was asked.
    pub date_revision: i64,
    /// The date has changed since.
    pub is_lapsed: bool,
    /// Newest first.
    pub answers: Vec<Answer>,
}

impl Ask {
    /// The answer that counts. None given before the date changed does.
    #[must_use]
    pub fn stands(&self) -> Option<&Answer> {
        if self.is_lapsed { None } else { self.answers.first() }
    }

    /// The newest answer, even one from before the date changed.
    #[must_use]
    pub fn last(&self) -> Option<&Answer> {
        self.answers.first()
    }
}

impl Request {
    /// The dates that are still the event's.
    pub fn live(&self) -> impl Iterator<Item = &Ask> {
        self.asks.iter().filter(|ask| !ask.is_lapsed)
    }

    /// Has every live date been answered?
    #[must_use]
    pub fn is_answered(&self) -> bool {
        self.live().next().is_some() && self.live().all(|ask| ask.stands().is_some())
    }

    /// Does it ask about that date, and is the date still one of the event's?
    #[must_use]
    pub fn asks_about(&self, on: Date) -> bool {
        self.live().any(|ask| ask.for_on == on)
    }

    /// The answer that counts for a date. None once the question is withdrawn.
    #[must_use]
    pub fn stands_for(&self, on: Date) -> Option<&Answer> {
        let ask = self.live().find(|ask| ask.for_on == on)?;
        if self.is_withdrawn { None } else { ask.stands() }
    }

    /// The question with one more answer, as it will be read back, except for the name
    /// of whoever records it.
    #[must_use]
    pub fn with(mut self, ask_id: i64, given: &Given, now: OffsetDateTime) -> Self {
        if let Some(ask) = self.asks.iter_mut().find(|ask| ask.id == ask_id) {
            ask.answers.insert(0, Answer::of(given, now));
        }
        self
    }

    /// The dates it would still have to ask about if the event had these two. The rain
    /// date counts only if it asked about two dates before.
    #[must_use]
    pub fn lacks(&self, burn_on: Date, rain_on: Option<Date>) -> Vec<Date> {
        let wanted = [Some(burn_on), rain_on.filter(|_| self.asks_both())];
        wanted.into_iter().flatten().filter(|on| self.live().all(|ask| ask.for_on != *on)).collect()
    }

    /// Did it ever ask about two dates at once?
    fn asks_both(&self) -> bool {
        let at_once = |ask: &Ask, other: &Ask| ask.date_revision == other.date_revision && ask.for_on != other.for_on;
        self.asks.iter().any(|ask| self.asks.iter().any(|other| at_once(ask, other)))
    }

    /// Did they leave a date open or say anything but no to one? People who said no to
    /// every date are left alone.
    #[must_use]
    pub fn is_willing(&self) -> bool {
        // A date that came back was asked about twice. The newest answer counts.
        let newest = |ask: &&Ask| self.asks.iter().all(|other| other.for_on != ask.for_on || other.id <= ask.id);
        let is_no = |ask: &Ask| ask.last().is_some_and(|answer| answer.said == Said::No);
        !self.is_withdrawn && !self.asks.iter().filter(newest).all(is_no)
    }

    /// It asked about dates the event no longer has and about none it has now, and the
    /// answer wasn't no to all of them.
    #[must_use]
    pub fn is_stale(&self) -> bool {
        let said_no = |ask: &Ask| ask.last().is_some_and(|answer| answer.said == Said::No);
        !self.is_withdrawn && self.live().next().is_none() && !self.asks.iter().all(said_no)
    }
}

/// How the line "Position" under a question ends if someone is only the alternate.
pub const AS_ALTERNATE: &str = ", as an alternate";
