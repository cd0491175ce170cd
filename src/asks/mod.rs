//! Questions to people, each for one date, and their answers. Every part of the app
//! that needs a reply from someone asks through here.

mod answer_page;
mod answering;
mod calendar;
mod calendar_link;
mod calls;
mod changes;
mod closings;
mod deputy;
mod drafting;
mod form;
mod hours;
mod letters;
mod link;
mod list;
mod live_burn;
mod offer;
mod pressing;
mod routes;
mod same_hours;
mod statement;
mod store;
mod telling;
mod texting;
mod unlisted;
mod views;

use crate::named::named;
use crate::state::App;
use crate::web::words;
use axum::{Extension, Router};
use time::{Date, OffsetDateTime};

use statement::store as noted;

pub use answering::{Confirm, answer, note_sent, send_question, take_back};
pub use changes::{Before, Count, before_change, refresh, reword, tell_changes, tell_next};
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
pub use list::Ledgers;
pub use offer::{
    Follows, MOST_SENT as MOST_OFFERED, Made, Offered, forget as forget_offers, offers, router as offer_router,
};
pub use statement::{Change, Known, StatedDate, Statement};
pub use store::{
    Given, NewQuestion, add_answer, ask, ask_again, ask_for, find, forget, hand_back, hand_over, of_event, of_person,
    of_request_in,
};
pub use unlisted::{Unlisted, unlisted};
pub use views::STATES;

/// An event's questions and replies, for the people who work on it.
pub fn router(closings: ReadClosings, coverage: ReadCoverage, ledgers: Ledgers) -> Router<App> {
    routes::router().layer(Extension(closings)).layer(Extension(coverage)).layer(Extension(ledgers))
}

named! {
    /// What a question is about.
    Kind, "Choose what you are asking for.", KINDS: [
        Post = "post",
        Guest = "guest",
        Loan = "loan",
        Coverage = "coverage",
        Help = "help",
        // Furniture or material for the rooms, to keep.
        Item = "item",
    ]
}

impl Kind {
    /// May they send someone else instead?
    #[must_use]
    pub fn takes_deputy(self) -> bool {
        matches!(self, Self::Guest | Self::Coverage)
    }

    /// Do we ask how many people are coming?
    #[must_use]
    pub fn takes_party(self) -> bool {
        self == Self::Guest
    }

    /// Do we ask when they can be there?
    #[must_use]
    pub fn takes_hours(self) -> bool {
        matches!(self, Self::Post | Self::Help)
    }

    /// Do we ask what they can give and when we can pick it up? The part of the app
    /// that asked acts on the answer, so this kind is neither asked nor recorded with
    /// the other questions.
    #[must_use]
    pub fn takes_offer(self) -> bool {
        self == Self::Item
    }

    /// Does whoever says yes come to the burn? A lender or donor may not.
    #[must_use]
    pub fn comes(self) -> bool {
        !matches!(self, Self::Loan | Self::Item)
    }

    /// May they ask for time to speak?
    #[must_use]
    pub fn takes_speech(self) -> bool {
        self == Self::Guest
    }

    /// The usual question, which can be edited.
    #[must_use]
    pub fn question(self) -> &'static str {
        match self {
            Self::Post => "Can you work the live burn?",
            Self::Guest => "Will you be our guest at the live burn?",
            Self::Loan => "Can you lend us something for the live burn?",
            Self::Coverage => "Will you cover the live burn?",
            Self::Help => "Can you help on burn day?",
            Self::Item => "Can you donate something for the live burn?",
        }
    }

    /// How a calendar entry names it after a yes.
    #[must_use]
    pub fn title(self) -> &'static str {
        match self {
            Self::Post => "your crew position",
            Self::Guest => "you are our guest",
            Self::Loan => "your loan",
            Self::Coverage => "press",
            Self::Help => "you are helping",
            Self::Item => "your donation",
        }
    }

    /// What people are asked for, as pages say it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Post => "crew position",
            Self::Guest => "guest",
            Self::Loan => "loan",
            Self::Coverage => "press coverage",
            Self::Help => "help",
            Self::Item => "item",
        }
    }

    /// What a yes promises, on its button.
    #[must_use]
    pub fn yes(self) -> &'static str {
        match self {
            Self::Loan => "Yes, you can borrow it",
            Self::Item => "Yes, I can give this",
            Self::Post | Self::Guest | Self::Coverage | Self::Help => "Yes, I will be there",
        }
    }
}

named! {
    /// An answer.
    Said, "Choose an answer.", SAID: [
        Yes = "yes",
        No = "no",
        Maybe = "maybe",
        Deputy = "deputy",
    ]
}

impl Said {
    /// The answer as pages say it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Yes => "yes",
            Self::No => "no",
            Self::Maybe => "maybe",
            Self::Deputy => "sending someone else",
        }
    }
}

named! {
    /// How an answer reached us.
    Way, "Choose how they answered.", WAYS: [
        Link = "link",
        Phone = "phone",
        InPerson = "in person",
        Letter = "letter",
        Mail = "mail",
    ]
}

impl Way {
    /// The ways that someone in the department records.
    pub const BY_HAND: [Self; 4] = [Self::Phone, Self::InPerson, Self::Letter, Self::Mail];

    /// The way, to choose from.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Link => "link",
            Self::Phone => "phone",
            Self::InPerson => "in person",
            Self::Letter => "letter",
            Self::Mail => "email",
        }
    }

    /// The same after a verb: "by phone", "in person".
    #[must_use]
    pub fn how(self) -> &'static str {
        match self {
            Self::Link => "online",
            Self::Phone => "by phone",
            Self::InPerson => "in person",
            Self::Letter => "by letter",
            Self::Mail => "by email",
        }
    }
}

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

/// One answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Answer {
    pub said: Said,
    pub deputy: String,
    /// The deputy's title. May be empty.
    pub deputy_title: String,
    /// How to reach the deputy. Either may be empty.
    pub deputy_phone: String,
    pub deputy_mail: String,
    /// None if they didn't say.
    pub wants_to_speak: Option<bool>,
    pub note: String,
    pub access_needs: String,
    pub party: Option<u32>,
    /// When they can be there that day, if they said.
    pub there: Option<Hours>,
    pub way: Way,
    pub evidence: String,
    pub at: OffsetDateTime,
    /// Who recorded it, unless it came by link.
    pub recorded_by: Option<String>,
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

/// How a statement stores that someone else is coming, before the name.
const STATED_DEPUTY: &str = "sends ";

impl Answer {
    /// "yes", "sending Ana Ruiz, chief of staff".
    #[must_use]
    pub fn says(&self) -> String {
        if self.said == Said::Deputy { format!("sending {}", self.deputy_says()) } else { self.said.to_string() }
    }

    /// "yes to Sat, Jan 9", "sending Ana Ruiz, chief of staff, on Sat, Jan 9".
    fn says_to(&self, day: &str) -> String {
        if self.said == Said::Deputy {
            format!("{}, on {day}", self.says())
        } else {
            format!("{} to {day}", self.says())
        }
    }

    /// The answer as statements store it, where it is compared with later ones.
    fn stated(&self) -> String {
        if self.said == Said::Deputy { format!("{STATED_DEPUTY}{}", self.deputy_says()) } else { self.said.to_string() }
    }

    /// "(555) 555-0133, ana@example.org". Empty if neither is known.
    #[must_use]
    pub fn deputy_reached(&self) -> String {
        let parts = [words::phone(&self.deputy_phone), self.deputy_mail.clone()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }

    /// "Ana Ruiz, chief of staff".
    #[must_use]
    pub fn deputy_says(&self) -> String {
        let parts = [self.deputy.as_str(), &self.deputy_title];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    }
}
