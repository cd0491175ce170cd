//! What the history calls the entries about email.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[
    Subject {
        called: "",
        is_the_only_one: true,
        verbs: &[("held", "put all email on hold"), ("released", "released all email")],
        ..Subject::of("all mail", "Email")
    },
    Subject {
        called: "email",
        verbs: &[("tried again", "tried again to send")],
        fields: &[("state", "status")],
        ..Subject::of("mail", "Email")
    },
];
