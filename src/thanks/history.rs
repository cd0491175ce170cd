//! What the history calls the entries about thanks.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject {
    titles: &[("what the thanks say of the day", "everyone: figures and signature")],
    fields: &[("people who came", "attendance"), ("signed as", "signer's title")],
    ..Subject::of("thanks to", "Gifts and thanks")
}];
