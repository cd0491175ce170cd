//! People who said yes to a general question but aren't on the list it is about.

use super::{Kind, Request, Said, store};
use crate::error::Result;
use crate::events::Event;
use crate::people::{self, Person};
use crate::web::words::Reader;
use sqlx::SqliteConnection;
use std::collections::{HashMap, HashSet};
use time::OffsetDateTime;

/// Someone to add to a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unlisted {
    pub person_id: i64,
    pub request_id: i64,
    pub name: String,
    /// Either may be empty.
    pub office: String,
    pub organization: String,
    /// "said yes to “Will you be our guest at the live burn?” (Wed, Nov 25, by phone)".
    pub says: String,
    /// The note they added. May be empty.
    pub note: String,
    /// May be empty.
    pub phone: String,
}

/// The people who said yes, or that they are sending someone else, to a question of this
/// kind about a date of the event: each person once, with their newest question, leaving
/// out the questions that `is_listed` knows.
pub async fn unlisted(
    db: &mut SqliteConnection,
    event: &Event,
    kind: Kind,
    is_listed: impl Fn(&Request) -> bool + Send,
    now: OffsetDateTime,
) -> Result<Vec<Unlisted>> {
    let mut requests = store::of_event(&mut *db, event.id).await?;
    requests.retain(|request| request.kind == kind && !request.is_withdrawn && !is_listed(request));
    let ids: Vec<i64> = requests.iter().map(|request| request.person_id).collect();
    let people: HashMap<i64, Person> =
        people::some(&mut *db, &ids).await?.into_iter().map(|person| (person.id, person)).collect();
    let mut seen = HashSet::new();
    let mut found: Vec<((String, i64), Unlisted)> = Vec::new();
    for request in requests.iter().rev() {
        let said = request.live().filter_map(super::Ask::stands);
        let yes = said.filter(|answer| matches!(answer.said, Said::Yes | Said::Deputy));
        let Some(answer) = yes.max_by_key(|answer| answer.at) else { continue };
        if !seen.insert(request.person_id) {
            continue;
        }
        let Some(person) = people.get(&request.person_id) else { continue };
        let day = Reader::App.near_day(event.details.zone.wall(answer.at).date(), event.today(now));
        let reply = match answer.said {
            Said::Deputy => format!("is {}, asked", answer.says()),
            said => format!("said {said} to"),
        };
        let unlisted = Unlisted {
            person_id: person.id,
            request_id: request.id,
            says: format!("{reply} “{}” ({day}, {})", request.question, answer.way.how()),
            note: answer.note.clone(),
            phone: person.details.phone.clone(),
            name: person.details.name.clone(),
            office: person.details.office.clone(),
            organization: person.details.organization.clone(),
        };
        found.push((person.listing(), unlisted));
    }
    found.sort_by(|(one, _), (other, _)| one.cmp(other));
    Ok(found.into_iter().map(|(_, unlisted)| unlisted).collect())
}
