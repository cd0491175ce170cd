//! What the history calls the entries about press work.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[
    Subject {
        verbs: &[("took a contact from", "removed a contact from"), ("took off the list", "unlisted")],
        fields: &[
            ("closed", "closed weekdays"),
            ("days ahead", "days needed"),
            ("owner", "responsible"),
            ("part", "role"),
        ],
        ..Subject::of("outlet", "Press")
    },
    Subject {
        called: "",
        called_after: &[("read", "a release as")],
        verbs: &[
            ("began", "started"),
            ("asked somebody outside to read", "asked someone outside to read"),
            ("read", "reviewed"),
        ],
        fields: &[("says", "answer")],
        values: &[
            ("former", "false", "no"),
            ("former", "true", "yes"),
            ("says", "needs a change", "asked for changes"),
        ],
        ..Subject::of("paper", "Press")
    },
    Subject { called: "the facts and key messages", is_the_only_one: true, ..Subject::of("press facts", "Press") },
    Subject {
        called: "press visitor",
        verbs: &[
            ("saw arrive", "checked in"),
            ("took back the arrival of", "took back the check-in of"),
            ("has the signature of", "recorded the signature of"),
            ("gave another escort to", "changed the escort of"),
            ("took off the list", "removed"),
        ],
        ..Subject::of("press on burn day", "Press")
    },
    Subject {
        called: "coverage",
        verbs: &[("noted", "added")],
        fields: &[("correction wanted", "correction requested"), ("ran", "ran on")],
        ..Subject::of("story", "Press")
    },
    Subject {
        called: "contact with",
        fields: &[("by", "how"), ("came of it", "result")],
        ..Subject::of("word with an outlet", "Press")
    },
];
