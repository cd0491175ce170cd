//! What the history calls the entries about scheduled messages.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject { called: "scheduled message", ..Subject::of("reminder", "Email") }];
