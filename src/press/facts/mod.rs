//! What outlets need to know about an event besides its date and place, and the key
//! messages every story should carry.

mod routes;
mod store;

use crate::asks;
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use crate::press::papers;
use crate::state::App;
use axum::Router;
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

pub(super) use store::of_event;
pub use store::save;

pub(super) fn router() -> Router<App> {
    routes::router()
}

/// The most messages of an event.
pub const MOST_MESSAGES: usize = 5;

/// One line each, except the messages.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Facts {
    /// Who outlets call, and the number.
    pub contact: String,
    pub phone: String,
    /// Their email, if it isn't in People.
    pub mail: String,
    /// Their email in People; none if no one there has the name, or several people do.
    pub in_people: Option<String>,
    pub why: String,
    pub area: String,
    pub arrival: String,
    pub interviews: String,
    /// What there is to see, and at about which minute.
    pub visuals: String,
    /// When the rain date is decided on, and where that is posted.
    pub decision: String,
    pub clothing: String,
    pub power: String,
    pub messages: Vec<String>,
    /// The messages of the lesson plan that the press may have. They are kept there.
    pub taught: Vec<String>,
    pub version: i64,
}

impl Facts {
    /// A fact as releases have it. The contact's email is kept in one place: People, if they
    /// have one there.
    pub(super) fn printed(&self, field: &Field) -> &str {
        match &self.in_people {
            Some(mail) if field.name == MAIL && !mail.is_empty() => mail,
            _ => (field.of)(self),
        }
    }

    /// All messages that releases print: the press's own, and the lesson plan's with their
    /// sources. One that is both is printed once.
    pub(super) fn printed_messages(&self) -> String {
        let own = self.messages.iter().filter(|message| !self.taught.iter().any(|one| one.starts_with(*message)));
        own.chain(&self.taught).map(String::as_str).collect::<Vec<_>>().join("\n\n")
    }
}

/// The field for the contact's email.
const MAIL: &str = "mail";

/// A fact with its name in forms, its label and what helps to type it.
pub(super) struct Field {
    pub name: &'static str,
    pub label: &'static str,
    pub help: &'static str,
    /// Its name in releases,
    pub mark: &'static str,
    /// and what they say in brackets while it isn't known.
    pub wanted: &'static str,
    pub of: fn(&Facts) -> &String,
}

/// All of them, in the order of the form.
pub(super) const FIELDS: [Field; 11] = [
    Field {
        name: "contact",
        label: "Contact",
        help: "Name and title of the person editors should call.",
        mark: "contact",
        wanted: "contact name and title",
        of: |facts| &facts.contact,
    },
    Field {
        name: "phone",
        label: "Contact phone",
        help: "A number someone answers on burn day.",
        mark: "contact phone",
        wanted: "contact phone",
        of: |facts| &facts.phone,
    },
    Field {
        name: MAIL,
        label: "Contact email",
        help: "Printed in releases. If the contact is in People with an email, that one is used.",
        mark: "contact email",
        wanted: "contact email",
        of: |facts| &facts.mail,
    },
    Field {
        name: "why",
        label: "Why it matters",
        help: "Why this is a story, in one sentence.",
        mark: "why",
        wanted: "why this is a story",
        of: |facts| &facts.why,
    },
    Field {
        name: "area",
        label: "Media staging area",
        help: "Agree on it with the safety officer.",
        mark: "press area",
        wanted: "media staging area",
        of: |facts| &facts.area,
    },
    Field {
        name: "arrival",
        label: "Arrival and parking",
        help: "From what time, by which gate, where to park.",
        mark: "arrival",
        wanted: "arrival time, gate and parking",
        of: |facts| &facts.arrival,
    },
    Field {
        name: "interviews",
        label: "Interviews",
        help: "Who will talk, and when.",
        mark: "interviews",
        wanted: "who will talk, and when",
        of: |facts| &facts.interviews,
    },
    Field {
        name: "visuals",
        label: "Visuals",
        help: "What there is to see, and at about which minute. Say “about”: fire keeps no schedule.",
        mark: "what to film",
        wanted: "what there is to see, and at about which minute",
        of: |facts| &facts.visuals,
    },
    Field {
        name: "decision",
        label: "Rain date decision",
        help: "A sentence: when you decide, and the one place where you post it.",
        mark: "decision",
        wanted: "when and where the decision will be posted",
        of: |facts| &facts.decision,
    },
    Field {
        name: "clothing",
        label: "Clothing",
        help: "Closed shoes, no loose synthetics, and so on.",
        mark: "clothing",
        wanted: "what to wear",
        of: |facts| &facts.clothing,
    },
    Field {
        name: "power",
        label: "Power and vehicles",
        help: "Power outlets, live trucks, where cables can run.",
        mark: "power",
        wanted: "power and live trucks",
        of: |facts| &facts.power,
    },
];

/// What media need to know before burn day, under the question whether they will come.
#[must_use]
pub fn coverage_facts(facts: &Facts) -> Vec<(String, String)> {
    let area = if facts.area.is_empty() { "not set yet; we will tell you before burn day" } else { &facts.area };
    let lines = [("Arrival", facts.arrival.as_str()), ("Press area", area), ("Wear", facts.clothing.as_str())];
    let known = lines.into_iter().filter(|(_, text)| !text.is_empty());
    known.map(|(label, text)| (label.to_owned(), text.to_owned())).collect()
}

/// The same for an event.
#[must_use]
pub fn coverage_lines(db: &mut SqliteConnection, event_id: i64) -> BoxFuture<'_, Result<Vec<(String, String)>>> {
    Box::pin(async move { Ok(coverage_facts(&of_event(db, event_id).await?)) })
}

/// Cancels waiting emails that say something else than the lesson plan's messages do now.
#[must_use]
pub fn messages_changed(tx: &mut Tx, event_id: i64, now: OffsetDateTime) -> BoxFuture<'_, Result<()>> {
    Box::pin(async move {
        let printed = of_event(tx, event_id).await?;
        papers::cancel_outdated(tx, event_id, &printed, now).await?;
        Ok(())
    })
}

/// The name of the contact, as in "Jun Castellane, information officer".
fn name_of(contact: &str) -> &str {
    contact.split(',').next().unwrap_or_default().trim()
}

/// Puts the lines under an event's questions to the press into this program's words.
///
/// # Errors
/// The store's.
pub async fn reword(tx: &mut Tx, event: &Event, now: OffsetDateTime) -> Result<()> {
    let lines = coverage_facts(&of_event(tx, event.id).await?);
    for request in asks::of_event(tx, event.id).await?.iter().filter(|one| one.kind == asks::Kind::Coverage) {
        asks::reword(tx, event, request, &lines, now).await?;
    }
    Ok(())
}
