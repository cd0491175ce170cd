//! What the history calls the entries about the talk.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[
    Subject::of("learning objective", "Talk"),
    Subject::of("talk", "Talk"),
    Subject::of("talk line", "Talk"),
    Subject::of("talk practice", "Talk"),
];
