//! What the history calls the entries about files of people.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject {
    verbs: &[("brought in", "imported"), ("took out again", "undid the import of")],
    ..Subject::of("file", "People")
}];
