//! What the history calls the entries about people.

use crate::mail::plainly;
use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject {
    verbs: &[
        ("forgot", "erased the personal data of"),
        ("separated", "undid the merge of"),
        ("told apart", "marked as not a duplicate:"),
    ],
    fields: &[
        ("is not", "not the same as"),
        ("mail refused", "email returned"),
        ("reached by", "preferred contact"),
        ("said", "pronunciation"),
    ],
    reads: &[("mail refused", |words| plainly(words).means)],
    values: &[("reached by", "mail", "email")],
    ..Subject::of("person", "People")
}];
