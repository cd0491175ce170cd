//! What an outlet must know of an event besides its date and place, and the
//! messages that every story should carry.

mod routes;
mod store;

use crate::error::Result;
use crate::state::App;
use axum::Router;
use futures_util::future::BoxFuture;
use sqlx::SqliteConnection;

pub(super) use store::of_event;
pub use store::save;

pub(super) fn router() -> Router<App> {
    routes::router()
}

/// Messages of an event are at most these many.
pub const MOST_MESSAGES: usize = 5;

/// One line each, but for the last.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Facts {
    /// Whom outlets ring, and the number.
    pub contact: String,
    pub phone: String,
    pub why: String,
    pub area: String,
    pub arrival: String,
    pub interviews: String,
    /// What there is to see, with the minute at which it is expected.
    pub visuals: String,
    /// How it is decided whether the rain date is used, and where that is told.
    pub decision: String,
    pub clothing: String,
    pub power: String,
    pub messages: Vec<String>,
    pub version: i64,
}

/// A fact with its name in forms, its label and what helps to type it.
pub(super) struct Field {
    pub name: &'static str,
    pub label: &'static str,
    pub help: &'static str,
    /// Stands for it in papers,
    pub mark: &'static str,
    /// and what they say while it isn't known.
    pub wanted: &'static str,
    pub of: fn(&Facts) -> &String,
}

/// All of them, in the order of the form.
pub(super) const FIELDS: [Field; 10] = [
    Field {
        name: "contact",
        label: "Contact",
        help: "Whom an editor rings, with title.",
        mark: "contact",
        wanted: "contact name",
        of: |facts| &facts.contact,
    },
    Field {
        name: "phone",
        label: "Contact phone",
        help: "One that is answered on burn day.",
        mark: "contact phone",
        wanted: "contact phone",
        of: |facts| &facts.phone,
    },
    Field {
        name: "why",
        label: "Why",
        help: "Why it is worth a story, in one sentence.",
        mark: "why",
        wanted: "why it is worth a story",
        of: |facts| &facts.why,
    },
    Field {
        name: "area",
        label: "Press area",
        help: "As agreed with the safety officer.",
        mark: "press area",
        wanted: "press area",
        of: |facts| &facts.area,
    },
    Field {
        name: "arrival",
        label: "Arrival",
        help: "From when, by which gate, where to park.",
        mark: "arrival",
        wanted: "arrival time, gate and parking",
        of: |facts| &facts.arrival,
    },
    Field {
        name: "interviews",
        label: "Interviews",
        help: "Who speaks, and when.",
        mark: "interviews",
        wanted: "who speaks and when",
        of: |facts| &facts.interviews,
    },
    Field {
        name: "visuals",
        label: "What to film",
        help: "With the expected minute. Say “about”: fire keeps no timetable.",
        mark: "what to film",
        wanted: "what there is to see, with the expected minute: say about",
        of: |facts| &facts.visuals,
    },
    Field {
        name: "decision",
        label: "Decision on the rain date",
        help: "When it is made, and the one place where it is told.",
        mark: "decision",
        wanted: "when and where the decision is told",
        of: |facts| &facts.decision,
    },
    Field {
        name: "clothing",
        label: "Clothing",
        help: "Closed shoes, no loose synthetics, and so on.",
        mark: "clothing",
        wanted: "clothing",
        of: |facts| &facts.clothing,
    },
    Field {
        name: "power",
        label: "Power and vehicles",
        help: "Outlets, live trucks, where cables may lie.",
        mark: "power",
        wanted: "power and live trucks",
        of: |facts| &facts.power,
    },
];

/// What somebody who covers the burn must know beforehand, under the question
/// whether they come.
#[must_use]
pub fn coverage_facts(facts: &Facts) -> Vec<(String, String)> {
    let area = if facts.area.is_empty() { "not agreed yet; we tell you before the day" } else { &facts.area };
    let lines = [("Arrival", facts.arrival.as_str()), ("Press area", area), ("Wear", facts.clothing.as_str())];
    let known = lines.into_iter().filter(|(_, text)| !text.is_empty());
    known.map(|(label, text)| (label.to_owned(), text.to_owned())).collect()
}

/// The same of an event.
#[must_use]
pub fn coverage_lines(db: &mut SqliteConnection, event_id: i64) -> BoxFuture<'_, Result<Vec<(String, String)>>> {
    Box::pin(async move { Ok(coverage_facts(&of_event(db, event_id).await?)) })
}
