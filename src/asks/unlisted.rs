//! Who said yes to a question that was put on the general page, and is on no
//! list of the place it is about.

use super::{Kind, Request, Said, store};
use crate::error::Result;
use crate::events::Event;
use crate::people;
use crate::web::words;
use sqlx::SqliteConnection;
use std::collections::HashSet;
use time::OffsetDateTime;

/// Somebody to be added to a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unlisted {
    pub person_id: i64,
    pub request_id: i64,
    pub name: String,
    /// Their office, or else their organisation; may be empty.
    pub office: String,
    pub organisation: String,
    /// "said yes on Wed 25 Nov (phone) to “Will you be our guest?”".
    pub says: String,
    /// What they wrote with it; may be empty.
    pub note: String,
}

/// Those who said yes, or that somebody comes for them, to a question of a kind
/// about a date of the event: each once, with the newest question, but for what
/// `is_listed` knows.
///
/// # Errors
/// The store's.
pub async fn unlisted(
    db: &mut SqliteConnection,
    event: &Event,
    kind: Kind,
    is_listed: impl Fn(&Request) -> bool + Send,
    now: OffsetDateTime,
) -> Result<Vec<Unlisted>> {
    let mut requests = store::of_event(&mut *db, event.id).await?;
    requests.retain(|request| request.kind == kind && !request.is_withdrawn && !is_listed(request));
    let mut seen = HashSet::new();
    let mut found = Vec::new();
    for request in requests.iter().rev() {
        let said = request.live().filter_map(super::Ask::stands);
        let yes = said.filter(|answer| matches!(answer.said, Said::Yes | Said::Deputy));
        let Some(answer) = yes.max_by_key(|answer| answer.at) else { continue };
        if !seen.insert(request.person_id) {
            continue;
        }
        let Some(person) = people::find(&mut *db, request.person_id).await? else { continue };
        let day = words::near_day(event.details.zone.wall(answer.at).date(), event.today(now));
        found.push(Unlisted {
            person_id: person.id,
            request_id: request.id,
            says: format!("said {} on {day} ({}) to “{}”", answer.said, answer.way, request.question),
            note: answer.note.clone(),
            name: person.details.name,
            office: person.details.office,
            organisation: person.details.organisation,
        });
    }
    found.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(found)
}
