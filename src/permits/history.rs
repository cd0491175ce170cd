//! What the history calls the entries about permits.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject {
    address: Some(|event, id| format!("/events/{event}/permits/{id}")),
    verbs: &[
        ("noted the sending of", "sent"),
        ("noted the arrival of", "confirmed receipt of"),
        ("took back receipt of", "took back the receipt of"),
        ("took back the sending of", "removed a filing of"),
        ("removed a sending of", "removed a filing of"),
        ("noted the reading back of", "read back the conditions of"),
        ("read back", "read back the conditions of"),
        ("took back the read-back of", "undid reading back the conditions of"),
    ],
    fields: &[
        ("state", "status"),
        ("person there", "contact there"),
        ("rule of notice", "notice rule"),
        ("rule learned", "asked on"),
        ("title", "name"),
        ("what it is", "type"),
        ("who asked", "asked by"),
    ],
    ..Subject::of("permit", "Permits and notices")
}];
