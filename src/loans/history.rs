//! What the history calls the entries about loans.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject {
    address: Some(|event, id| format!("/events/{event}/loans/{id}")),
    verbs: &[
        ("asked for", "requested"),
        ("noted about", "updated"),
        ("took back about", "undid an update of"),
        ("wrote to the lender of", "wrote to the lender about"),
    ],
    fields: &[
        ("state", "status"),
        ("a school", "school"),
        ("brought back", "return"),
        ("collected", "pickup"),
        ("counted", "count"),
        ("looked at", "check"),
        ("stands", "place on burn day"),
        ("there is only one", "only one"),
        ("way", "sent"),
    ],
    values: &[
        ("insured", "by nobody", "not insured"),
        ("state", "collected", "picked up"),
        ("state", "not lent", "fell through"),
    ],
    ..Subject::of("loan", "Loans")
}];
