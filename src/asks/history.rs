//! What the history calls the entries about questions.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject {
    called: "",
    address: Some(|event, id| format!("/events/{event}/replies/{id}")),
    verbs: &[("told by phone about", "gave a phone update on"), ("took back", "withdrew")],
    fields: &[("by", "how"), ("said", "reply"), ("to", "for")],
    values: &[
        ("kind", "coverage", "press coverage"),
        ("kind", "post", "crew position"),
        ("said", "asked", "waiting for a reply"),
        ("said", "deputy", "sending someone else"),
    ],
    ..Subject::of("question", "Replies")
}];
