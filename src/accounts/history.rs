//! What the history calls the entries about accounts and the department.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[
    Subject {
        called_after: &[("invited", "")],
        verbs: &[
            ("made a link for", "made a one-time link for"),
            ("ended every sign-in of", "signed out every device of"),
        ],
        ..Subject::of("account", "Accounts")
    },
    Subject::of("department", "Department"),
];
