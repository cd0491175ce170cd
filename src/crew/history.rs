//! What the history calls the entries about the crew.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[
    Subject {
        called: "",
        called_after: &[("corrected", "the hours of")],
        fields: &[("in", "signed in"), ("out", "signed out")],
        ..Subject::of("attendance", "Crew")
    },
    Subject::of("certificate", "Crew"),
    Subject {
        called: "crew assignment",
        verbs: &[("assigned", "added"), ("took off", "removed")],
        fields: &[("rules", "overridden")],
        ..Subject::of("crew", "Crew")
    },
    Subject { called: "", ..Subject::of("hours", "Crew") },
    Subject {
        called: "position",
        fields: &[("cautions", "instructions"), ("needed", "minimum number")],
        values: &[("duty", "crowd steward", "Crowd manager"), ("duty", "medical standby", "Medical team")],
        ..Subject::of("post", "Crew")
    },
    Subject::of("qualification", "Crew"),
];
