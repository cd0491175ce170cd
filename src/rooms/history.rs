//! What the history calls the entries about the rooms.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[
    Subject {
        verbs: &[("noted the answer to", "recorded the reply to")],
        fields: &[("said", "reply")],
        hidden: &["asked for"],
        ..Subject::of("donation request", "Rooms")
    },
    Subject { called: "a photo", is_the_only_one: true, ..Subject::of("photo", "Rooms") },
    Subject {
        called: "donation request",
        verbs: &[("noted the answer to", "recorded the reply to")],
        fields: &[("said", "reply")],
        hidden: &["asked for"],
        ..Subject::of("plea", "Rooms")
    },
    Subject { called: "", ..Subject::of("room drawing", "Rooms") },
    Subject {
        called: "item",
        address: Some(|event, id| format!("/events/{event}/rooms/items/{id}")),
        verbs: &[("photographed", "added a photo of"), ("took the photo from", "removed the photo of")],
        fields: &[
            ("state", "status"),
            ("by whom", "provided by"),
            ("kind", "kind"),
            ("ticked", "fuel warnings"),
            ("what", "type"),
        ],
        values: &[("state", "here", "on hand"), ("state", "wanted", "needed")],
        ..Subject::of("thing", "Rooms")
    },
    Subject {
        called: "the size tolerance",
        is_the_only_one: true,
        fields: &[
            ("share of the size", "percent of the larger size"),
            ("percent of the size", "percent of the larger size"),
            ("length", "or this length"),
            ("spare", "extra parts"),
        ],
        ..Subject::of("tolerance", "Rooms")
    },
    Subject {
        called: "fuel warning",
        verbs: &[("decided", "decided on")],
        fields: &[("about", "warning"), ("decided", "decision"), ("for", "quantity")],
        ..Subject::of("warning", "Rooms")
    },
];
