//! A question, before it is known who gets it.

use super::kind::Kind;
use super::request::{Ask, Request};
use crate::events::Event;
use time::{Date, OffsetDateTime};

/// A question, before it is known who gets it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewQuestion {
    pub kind: Kind,
    pub question: String,
    pub facts: Vec<(String, String)>,
    pub words: String,
    pub closes_at: OffsetDateTime,
    pub dates: Vec<Date>,
}

impl NewQuestion {
    /// The same as a question to someone, for a preview.
    #[must_use]
    pub fn unsent(&self, event: &Event, person_id: i64, now: OffsetDateTime) -> Request {
        let ask = |on: &Date| Ask {
            id: 0,
            for_on: *on,
            date_revision: event.date_revision,
            is_lapsed: false,
            answers: Vec::new(),
        };
        Request {
            id: 0,
            event_id: event.id,
            person_id,
            kind: self.kind,
            question: self.question.clone(),
            facts: self.facts.clone(),
            words: self.words.clone(),
            closes_at: self.closes_at,
            asked_at: now,
            asked_by: None,
            is_withdrawn: false,
            link_number: 1,
            version: 1,
            asks: self.dates.iter().map(ask).collect(),
        }
    }
}
