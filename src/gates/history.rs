//! What the history calls the entries about gates and decisions.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[
    Subject {
        called: "the gate",
        address: Some(|event, id| format!("/events/{event}/burn-day/gates/{id}")),
        verbs: &[("adopted", "adopted the limits of")],
        ..Subject::of("gate", "Gates")
    },
    Subject { called: "the decision", ..Subject::of("decision", "Gates") },
];
