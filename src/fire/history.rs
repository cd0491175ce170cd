//! What the history calls the entries about fire estimates.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] =
    &[Subject::of("earlier burn", "Fire estimates"), Subject::of("fire estimate", "Fire estimates")];
