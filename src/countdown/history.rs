//! What the history calls the entries about tasks.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject {
    address: Some(|event, id| format!("/events/{event}/tasks/{id}")),
    verbs: &[("set the state of", "updated the status of")],
    fields: &[
        ("state", "status"),
        ("begun", "started"),
        ("finished", "due"),
        ("owner", "responsible"),
        ("waits for", "comes after"),
        ("what it takes", "what to do"),
    ],
    values: &[("strand", "Afterwards", "After the burn")],
    ..Subject::of("task", "Tasks")
}];
