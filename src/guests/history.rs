//! What the history calls the entries about guests.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[
    Subject {
        says_its_kind: &["a guest"],
        address: Some(|event, id| format!("/events/{event}/guests/{id}")),
        verbs: &[
            ("placed", "changed the place of"),
            ("rang about", "called about"),
            ("saw", "updated the check-in of"),
            ("chose who signs to", "chose who signs letters to"),
        ],
        fields: &[
            ("also comes", "comes with"),
            ("at least", "shortest time in seconds"),
            ("chaser", "responsible"),
            ("met by", "met at the door by"),
            ("place", "place in the order"),
            ("here", "arrived"),
        ],
        ..Subject::of("guest", "Guests")
    },
    Subject {
        called: "the offices and levels",
        is_the_only_one: true,
        fields: &[("words a minute", "words per minute")],
        ..Subject::of("guest settings", "Guests")
    },
    Subject {
        called: "the offices and levels",
        is_the_only_one: true,
        fields: &[("words a minute", "words per minute")],
        ..Subject::of("habits", "Guests")
    },
    Subject {
        called: "the program",
        is_the_only_one: true,
        fields: &[("begins", "starts"), ("may last", "total time")],
        ..Subject::of("programme", "Guests")
    },
];
