//! What the history calls the entries about events.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject {
    verbs: &[
        ("moved the burn day of", "changed the date of"),
        ("made current", "switched to"),
        ("chose as the current event", "switched to"),
        ("made a calendar link of", "made a calendar link for"),
        ("revoked the calendar link of", "removed the calendar link for"),
        ("said that nothing newer went out about", "confirmed that nothing newer was sent for"),
    ],
    fields: &[("audience", "people expected"), ("format", "rooms burn"), ("time", "first ignition")],
    ..Subject::of("event", "Event")
}];
