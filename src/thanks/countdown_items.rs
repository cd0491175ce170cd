//! What the countdown shows for thanks.

use super::dates::{begins_at, due_on};
use super::owed::count;
use super::reasons::all_owed;
use super::store;
use crate::closed_days;
use crate::countdown::{Call, CountdownItems, Due, Owner, Strand};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::words;
use futures_util::future::BoxFuture;
use time::OffsetDateTime;

/// What the countdown shows for thanks: one line, once the burn starts.
#[must_use]
pub fn countdown_items(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        if now < begins_at(&event) {
            return Ok(CountdownItems::default());
        }
        let calendar = closed_days::calendar(&app).await?;
        let mut db = app.db.read().acquire().await?;
        let (owed, _) = all_owed(&mut db, &event).await?;
        let thanked = store::thanked(&mut db, event.id).await?;
        let (open, due) = count(&owed, &thanked);
        let line = Due {
            title: format!("Thank {}", words::count(open, "person", "people")),
            beneath: format!("{} of {} thanked", due - open, words::count(due, "person", "people")),
            said: String::new(),
            href: format!("{}/guests/thanks", event.href()),
            person: None,
            owner: Owner::EducationOfficer,
            on: due_on(event.details.burn_on, &calendar),
            call: Call::NoOne,
            is_problem: false,
        };
        let due = Some(line).filter(|_| open > 0).into_iter().collect();
        Ok(CountdownItems { strand: Some(Strand::Afterwards), due, ..CountdownItems::default() })
    })
}
