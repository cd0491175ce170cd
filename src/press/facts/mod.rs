//! What an outlet must know of an event besides its date and place, and the
//! messages that every story should carry.

mod routes;
mod store;

use crate::state::App;
use axum::Router;

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
    pub of: fn(&Facts) -> &String,
}

/// All of them, in the order of the form.
pub(super) const FIELDS: [Field; 10] = [
    Field { name: "contact", label: "Contact", help: "Whom an editor rings, with title.", of: |facts| &facts.contact },
    Field {
        name: "phone",
        label: "Contact phone",
        help: "One that is answered on burn day.",
        of: |facts| &facts.phone,
    },
    Field { name: "why", label: "Why", help: "Why it is worth a story, in one sentence.", of: |facts| &facts.why },
    Field { name: "area", label: "Press area", help: "As agreed with the safety officer.", of: |facts| &facts.area },
    Field {
        name: "arrival",
        label: "Arrival",
        help: "From when, by which gate, where to park.",
        of: |facts| &facts.arrival,
    },
    Field { name: "interviews", label: "Interviews", help: "Who speaks, and when.", of: |facts| &facts.interviews },
    Field {
        name: "visuals",
        label: "What to film",
        help: "With the expected minute. Say “about”: fire keeps no timetable.",
        of: |facts| &facts.visuals,
    },
    Field {
        name: "decision",
        label: "Decision on the rain date",
        help: "When it is made, and the one place where it is told.",
        of: |facts| &facts.decision,
    },
    Field {
        name: "clothing",
        label: "Clothing",
        help: "Closed shoes, no loose synthetics, and so on.",
        of: |facts| &facts.clothing,
    },
    Field {
        name: "power",
        label: "Power and vehicles",
        help: "Outlets, live trucks, where cables may lie.",
        of: |facts| &facts.power,
    },
];
