//! What the history calls the entries about closed days.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject::of("closed day", "Closed days")];
