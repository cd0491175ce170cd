//! Who has out-of-date details.

use crate::asks::noted::{self, Waiting};
use crate::asks::{Change, Request, Statement};
use crate::error::Result;
use crate::events::Event;
use crate::web::words::{self, Reader};
use sqlx::SqliteConnection;
use std::collections::HashMap;

/// Someone with out-of-date details.
#[derive(Debug, Clone)]
pub(in crate::asks) struct Outdated {
    pub request: Request,
    pub changes: Vec<Change>,
    /// The store is a copy, so no one knows what they were told since.
    pub is_doubtful: bool,
}

/// Everyone in an event who needs an update.
pub(in crate::asks) async fn outdated(
    db: &mut SqliteConnection,
    event: &Event,
    requests: &[Request],
) -> Result<Vec<Outdated>> {
    let noted: HashMap<i64, (Statement, bool)> = noted::statements(db, event.id, Waiting::GoesOut).await?;
    let one = |request: &Request| {
        let (statement, is_doubtful) = noted.get(&request.id)?;
        let truth = Statement::of(event, request);
        // Even a no may be a yes by now.
        let is_doubtful = *is_doubtful && !request.is_withdrawn;
        (is_doubtful || statement.is_outdated(&truth)).then(|| Outdated {
            request: request.clone(),
            changes: statement.changes(event, &truth, Reader::App),
            is_doubtful,
        })
    };
    Ok(requests.iter().filter_map(one).collect())
}

/// What to do next: " 2 people have out-of-date details. Update them under Replies."
/// Empty if no one has.
#[must_use]
pub fn tell_next(outdated: usize) -> String {
    match outdated {
        0 => String::new(),
        many => {
            let people = words::count(many, "person has", "people have");
            format!(" {people} out-of-date details. Update them under Replies.")
        }
    }
}
