//! Questions put to people, each for one date, and what they answered. Every
//! place that needs somebody's word asks through here.

mod answering;
mod calendar;
mod changes;
mod closings;
mod deputy;
mod drafting;
mod form;
mod hours;
mod letters;
mod link;
mod offer;
mod routes;
mod statement;
mod store;
mod telling;
mod unlisted;
mod views;

use crate::named::named;
use crate::state::App;
use axum::{Extension, Router};
use time::{Date, OffsetDateTime};

use statement::store as noted;

pub use answering::{Confirm, answer, note_sent, send_question, take_back};
pub use changes::{Before, Count, before_change, count_outdated, refresh, tell_changes, tell_next};
pub use closings::{Closings, ReadClosings, ReadCoverage};
pub use deputy::{
    letters_after_answer as deputy_letters_after_answer, letters_after_change as deputy_letters_after_change,
    queue as queue_to_deputy, tell as tell_deputies,
};
pub use drafting::{Typed, dates_of};
pub use form::{BY_HAND, FACTS, SPEAKS, reached as deputy_reached};
pub use hours::Hours;
pub use letters::{Sender, Signer, about, asking, confirming, day_says, facts, greeted, said_to};
pub use link::router as public_router;
pub use offer::{
    Follows, MOST_SENT as MOST_OFFERED, Made, Offered, forget as forget_offers, offers, router as offer_router,
};
pub use statement::{Change, Known, StatedDate, Statement};
pub use store::{
    Draft, Given, add_answer, ask, ask_again, ask_for, find, forget, hand_back, hand_over, of_event, of_person,
    of_request_in,
};
pub use unlisted::{Unlisted, unlisted};
pub use views::STATES;

/// The asks of an event, for those who work on it.
pub fn router(closings: ReadClosings, coverage: ReadCoverage) -> Router<App> {
    routes::router().layer(Extension(closings)).layer(Extension(coverage))
}

named! {
    /// What a question is about.
    Kind, "Choose what you ask for.", KINDS: [
        Post = "post",
        Guest = "guest",
        Loan = "loan",
        Coverage = "coverage",
        Help = "help",
        // Furniture or material for the rooms, given for good.
        Item = "item",
    ]
}

impl Kind {
    /// May somebody else come instead?
    #[must_use]
    pub fn takes_deputy(self) -> bool {
        matches!(self, Self::Guest | Self::Coverage)
    }

    /// Is it asked how many come?
    #[must_use]
    pub fn takes_party(self) -> bool {
        self == Self::Guest
    }

    /// Is it asked from when until when they can be there?
    #[must_use]
    pub fn takes_hours(self) -> bool {
        matches!(self, Self::Post | Self::Help)
    }

    /// Is it asked what they can give, and when it can be fetched? What follows
    /// from an answer is done by the place that put the question, so that one
    /// neither puts it nor records its answer among the other questions.
    #[must_use]
    pub fn takes_offer(self) -> bool {
        self == Self::Item
    }

    /// May they be given minutes to speak?
    #[must_use]
    pub fn takes_speech(self) -> bool {
        self == Self::Guest
    }

    /// The usual question, to be changed.
    #[must_use]
    pub fn question(self) -> &'static str {
        match self {
            Self::Post => "Can you stand at a post on burn day?",
            Self::Guest => "Will you be our guest at the live burn?",
            Self::Loan => "Can you lend us something for the live burn?",
            Self::Coverage => "Will you cover the live burn?",
            Self::Help => "Can you help on burn day?",
            Self::Item => "Can you give something for the live burn?",
        }
    }

    /// What stands in a calendar after a yes.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Post => "your post",
            Self::Guest => "you are a guest",
            Self::Loan => "what you lend",
            Self::Coverage => "press",
            Self::Help => "you help",
            Self::Item => "what you give",
        }
    }

    /// What a yes promises, on its button.
    #[must_use]
    pub fn yes(self) -> &'static str {
        match self {
            Self::Loan => "Yes, you can have it",
            Self::Item => "Yes, I can give this",
            Self::Post | Self::Guest | Self::Coverage | Self::Help => "Yes, I will be there",
        }
    }
}

named! {
    /// What somebody said.
    Said, "Choose what was said.", SAID: [
        Yes = "yes",
        No = "no",
        Maybe = "maybe",
        Deputy = "deputy",
    ]
}

named! {
    /// On which way an answer came.
    Way, "Choose how it was said.", WAYS: [
        Link = "link",
        Phone = "phone",
        InPerson = "in person",
        Letter = "letter",
        Mail = "mail",
    ]
}

/// What one person is asked about one thing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Request {
    pub id: i64,
    pub event_id: i64,
    pub person_id: i64,
    pub kind: Kind,
    pub question: String,
    /// Lines of a label and a text.
    pub facts: Vec<(String, String)>,
    pub words: String,
    /// Until then an answer can be given and changed by link.
    pub closes_at: OffsetDateTime,
    pub asked_at: OffsetDateTime,
    /// The account that asked.
    pub asked_by: Option<i64>,
    pub is_withdrawn: bool,
    pub link_number: i64,
    /// Rises whenever what is asked changes.
    pub version: i64,
    /// The dates asked for, the earliest first; lapsed ones too.
    pub asks: Vec<Ask>,
}

/// The question for one date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ask {
    pub id: i64,
    pub for_on: Date,
    /// After so many moves of the burn day it was asked.
    pub date_revision: i64,
    /// The date has changed since.
    pub is_lapsed: bool,
    /// The newest first.
    pub answers: Vec<Answer>,
}

/// What was said once.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    pub said: Said,
    pub deputy: String,
    /// The deputy's title; may be empty.
    pub deputy_title: String,
    /// How to reach the deputy; either may be empty.
    pub deputy_phone: String,
    pub deputy_mail: String,
    /// None if it was not said.
    pub wants_to_speak: Option<bool>,
    pub note: String,
    pub access_needs: String,
    pub party: Option<u32>,
    /// When they can be there that day, if they said so.
    pub there: Option<Hours>,
    pub way: Way,
    pub evidence: String,
    pub at: OffsetDateTime,
    /// Who recorded it, if it didn't come by link.
    pub recorded_by: Option<String>,
}

impl Ask {
    /// What counts today: nothing that was said to a date before it changed.
    #[must_use]
    pub fn stands(&self) -> Option<&Answer> {
        if self.is_lapsed { None } else { self.answers.first() }
    }

    /// What was said last, even before the date changed.
    #[must_use]
    pub fn last(&self) -> Option<&Answer> {
        self.answers.first()
    }
}

impl Request {
    /// The dates that still are the event's.
    pub fn live(&self) -> impl Iterator<Item = &Ask> {
        self.asks.iter().filter(|ask| !ask.is_lapsed)
    }

    /// Is every live date answered?
    #[must_use]
    pub fn is_answered(&self) -> bool {
        self.live().next().is_some() && self.live().all(|ask| ask.stands().is_some())
    }

    /// Does it ask about that date, which still is one of the event's?
    #[must_use]
    pub fn asks_about(&self, on: Date) -> bool {
        self.live().any(|ask| ask.for_on == on)
    }

    /// What counts for a date; nothing if it was taken back.
    #[must_use]
    pub fn stands_for(&self, on: Date) -> Option<&Answer> {
        let ask = self.live().find(|ask| ask.for_on == on)?;
        if self.is_withdrawn { None } else { ask.stands() }
    }

    /// The question with one more answer, as it will be read back; but for the
    /// name of who records it.
    #[must_use]
    pub fn with(mut self, ask_id: i64, given: &Given, now: OffsetDateTime) -> Self {
        let Given { said, way, party, wants_to_speak, there, .. } = *given;
        let Given { deputy, deputy_title, deputy_phone, deputy_mail, note, access_needs, evidence, .. } = given.clone();
        let answer = Answer {
            said,
            deputy,
            deputy_title,
            deputy_phone,
            deputy_mail,
            wants_to_speak,
            note,
            access_needs,
            party,
            there,
            way,
            evidence,
            at: now,
            recorded_by: None,
        };
        if let Some(ask) = self.asks.iter_mut().find(|ask| ask.id == ask_id) {
            ask.answers.insert(0, answer);
        }
        self
    }

    /// The dates it would be asked about if the event had these: of both if it was
    /// asked about two.
    #[must_use]
    pub fn lacks(&self, burn_on: Date, rain_on: Option<Date>) -> Vec<Date> {
        let wanted = [Some(burn_on), rain_on.filter(|_| self.asks_both())];
        wanted.into_iter().flatten().filter(|on| self.live().all(|ask| ask.for_on != *on)).collect()
    }

    /// Was it ever asked about two dates at once?
    fn asks_both(&self) -> bool {
        let at_once = |ask: &Ask, other: &Ask| ask.date_revision == other.date_revision && ask.for_on != other.for_on;
        self.asks.iter().any(|ask| self.asks.iter().any(|other| at_once(ask, other)))
    }

    /// Did they leave a date open, or say anything but no to one? Who said no to
    /// all they were asked about is left alone.
    #[must_use]
    pub fn is_willing(&self) -> bool {
        // A date that came back was asked about twice: what was said last counts.
        let newest = |ask: &&Ask| self.asks.iter().all(|other| other.for_on != ask.for_on || other.id <= ask.id);
        let is_no = |ask: &Ask| ask.last().is_some_and(|answer| answer.said == Said::No);
        !self.is_withdrawn && !self.asks.iter().filter(newest).all(is_no)
    }

    /// Said yes, maybe or named a deputy to a date that is no more, or was
    /// asked about it, and is not asked about a date of the event now.
    #[must_use]
    pub fn is_stale(&self) -> bool {
        let said_no = |ask: &Ask| ask.last().is_some_and(|answer| answer.said == Said::No);
        !self.is_withdrawn && self.live().next().is_none() && !self.asks.iter().all(said_no)
    }
}

impl Answer {
    /// "yes", "sends Ana Ruiz, chief of staff".
    #[must_use]
    pub fn says(&self) -> String {
        if self.said == Said::Deputy { format!("sends {}", self.deputy_says()) } else { self.said.to_string() }
    }

    /// "555-0133, ana@example.org"; empty if neither is known.
    #[must_use]
    pub fn deputy_reached(&self) -> String {
        let parts = [self.deputy_phone.as_str(), &self.deputy_mail];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// "Ana Ruiz, chief of staff".
    #[must_use]
    pub fn deputy_says(&self) -> String {
        let parts = [self.deputy.as_str(), &self.deputy_title];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }
}
