//! Who attended, for the thank-you letters.

use super::guest::Side;
use super::snapshot::GuestSnapshot;
use super::status::GuestStatus;
use crate::calc::precedence::Placed;
use crate::error::Result;
use crate::events::Event;
use sqlx::SqliteConnection;

/// What is known about a guest on burn day, for the thank-you letters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attending {
    pub guest_id: i64,
    pub person_id: i64,
    pub side: Side,
    /// With what goes before it: "The Honorable Marguerite Vance".
    pub name: String,
    /// Pronunciation; may be empty.
    pub said: String,
    /// "Mayor, City of Alder Bend", or the organization.
    pub office: String,
    /// The deputy's name and title.
    pub deputy: Option<(String, String)>,
    /// Here on burn day or not; none before anyone checked.
    pub is_here: Option<bool>,
    /// The answer for burn day.
    pub status: GuestStatus,
}

impl Attending {
    /// Here, or expected and not marked absent.
    #[must_use]
    pub fn is_counted_on(&self) -> bool {
        self.is_here.unwrap_or(self.status.is_expected())
    }
}

/// All guests of an event, in the order they would be introduced.
pub async fn attending(db: &mut SqliteConnection, event: &Event) -> Result<Vec<Attending>> {
    let snapshot = GuestSnapshot::load(db, event).await?;
    let on = event.details.burn_on;
    let one = |placed: Placed| {
        let known = &snapshot.guests[placed.of];
        Attending {
            guest_id: known.guest.id,
            person_id: known.person.id,
            side: known.guest.details.side,
            name: known.addressed(),
            said: known.person.details.said.clone(),
            office: known.place(),
            deputy: known.deputy(on),
            is_here: known.guest.day(on).and_then(|day| day.is_here),
            status: known.status(on),
        }
    };
    Ok(snapshot.order(on, |_| true).into_iter().map(one).collect())
}
