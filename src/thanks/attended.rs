//! Who came to the burn.

use super::Deputy;
use crate::asks::{self, Kind, Request, Said};
use crate::error::Result;
use crate::events::Event;
use crate::guests::{self, GuestStatus};
use crate::people::Person;
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::Date;

/// A guest, as far as thanks go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invited {
    /// Which invitation it is.
    pub id: i64,
    pub person_id: i64,
    pub name: String,
    /// The answer that counts for burn day.
    pub said: Option<Said>,
    /// The deputy; an empty name if there is none.
    pub deputy: Deputy,
    pub spoke: bool,
    /// Whether they or their deputy checked in on the day; none if no one recorded it.
    pub is_here: Option<bool>,
}

impl Invited {
    /// Whether they or their deputy came. Check-in outweighs the answer.
    #[must_use]
    pub fn came(&self) -> bool {
        self.is_here.unwrap_or(matches!(self.said, Some(Said::Yes | Said::Deputy)))
    }
}

/// The guests by their answers for burn day.
pub(super) fn invited(burn_on: Date, requests: &[Request], names: &HashMap<i64, Person>) -> Vec<Invited> {
    let guests = requests.iter().filter(|request| request.kind == Kind::Guest && !request.is_withdrawn);
    let deputy = |answer: &asks::Answer| Deputy { name: answer.deputy.clone(), title: answer.deputy_title.clone() };
    let guest = |request: &Request| {
        let stands = request.stands_for(burn_on);
        Invited {
            id: request.id,
            person_id: request.person_id,
            name: names.get(&request.person_id).map(|person| person.details.in_full()).unwrap_or_default(),
            said: stands.map(|answer| answer.said),
            deputy: stands.map(deputy).unwrap_or_default(),
            spoke: false,
            is_here: None,
        }
    };
    guests.map(guest).collect()
}

/// The guests by their status and check-in, and people who were asked to come as a guest
/// but aren't on the list.
pub(super) async fn attended(
    db: &mut SqliteConnection,
    event: &Event,
    requests: &[Request],
    people: &HashMap<i64, Person>,
) -> Result<Vec<Invited>> {
    let known = guests::of_event(db, event.id).await?;
    let guest = |attending: guests::Attending| {
        let minutes = known.iter().find(|guest| guest.id == attending.guest_id).is_some_and(|g| g.details.seconds > 0);
        let said = match attending.status {
            GuestStatus::Comes => Some(Said::Yes),
            GuestStatus::SendsDeputy => Some(Said::Deputy),
            GuestStatus::Maybe => Some(Said::Maybe),
            GuestStatus::StaysAway => Some(Said::No),
            GuestStatus::Waiting | GuestStatus::NotAsked => None,
        };
        let name = people.get(&attending.person_id).map_or(attending.name, |person| person.details.in_full());
        let deputy = attending.deputy.map(|(name, title)| Deputy { name, title });
        Invited {
            id: attending.guest_id,
            person_id: attending.person_id,
            name,
            said,
            deputy: deputy.unwrap_or_default(),
            // Minutes on the program only show that a speech was planned.
            spoke: minutes && attending.is_here == Some(true),
            is_here: attending.is_here,
        }
    };
    let mut all: Vec<Invited> = guests::attending(db, event).await?.into_iter().map(guest).collect();
    let others: Vec<Invited> = invited(event.details.burn_on, requests, people)
        .into_iter()
        .filter(|invited| !known.iter().any(|guest| guest.person_id == invited.person_id))
        // Their numbers are those of questions, not guests.
        .map(|invited| Invited { id: -invited.id, ..invited })
        .collect();
    all.extend(others);
    Ok(all)
}
