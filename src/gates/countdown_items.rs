//! What the countdown shows about gates.

use super::page::href;
use super::snapshot::GateSnapshot;
use crate::countdown::{Call, CountdownItems, Due, Owner};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::words;
use futures_util::future::BoxFuture;
use time::{Duration, OffsetDateTime};

/// Limits are adopted this many days before burn day, so that there is time to change them.
/// Common practice, no source.
const ADOPTED: i64 = 14;

/// Limits that the safety officer hasn't adopted, in one line.
#[must_use]
pub fn countdown_items(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        let snapshot = GateSnapshot::of(&mut *app.db.read().acquire().await?, event, now).await?;
        let open = snapshot.unadopted().count();
        if open == 0 {
            return Ok(CountdownItems::default());
        }
        let href = href(snapshot.event.id);
        let due = Due {
            title: format!("Adopt the limits of {}", words::count(open, "gate", "gates")),
            beneath: "Until then they count as missing, and nobody can sign go.".to_owned(),
            said: String::new(),
            href,
            person: None,
            owner: Owner::SafetyOfficer,
            on: snapshot.event.details.burn_on - Duration::days(ADOPTED),
            call: Call::NoOne,
            is_problem: false,
        };
        Ok(CountdownItems { due: vec![due], ..CountdownItems::default() })
    })
}
