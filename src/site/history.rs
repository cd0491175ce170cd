//! What the history calls the entries about the site.

use crate::web::history::Subject;

pub const HISTORY: &[Subject] = &[Subject { called: "the site:", ..Subject::of("site", "Site") }];
