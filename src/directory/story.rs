//! What somebody was asked, what they answered, what was written to them.

use crate::error::Result;
use crate::state::App;

/// One line of it.
#[derive(Debug)]
pub struct StoryLine {
    pub when: String,
    /// In a few words.
    pub what: String,
    pub detail: String,
    /// Where more is; may be empty.
    pub href: String,
}

/// All of it, the newest first: questions, answers and mail of whoever this
/// person is. Slices that ask and write add their lines here.
///
/// # Errors
/// The store's.
#[expect(clippy::unused_async, reason = "its lines come from the store")]
pub async fn of(_app: &App, _person: i64) -> Result<Vec<StoryLine>> {
    Ok(Vec::new())
}
