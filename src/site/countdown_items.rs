//! What the countdown shows about the site.

use super::snapshot::SiteSnapshot;
use crate::calc::site::Grade;
use crate::countdown::{Call, CountdownItems, Due, Owner, Strand};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::words;
use futures_util::future::BoxFuture;
use time::{Duration, OffsetDateTime};

/// The site is settled this many days before burn day, so that maps can be printed and sent.
/// Common practice.
const SETTLED: i64 = 14;

/// What is wrong on the drawing, in one line.
#[must_use]
pub fn countdown_items(app: App, event: Event, _now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        let snapshot = SiteSnapshot::of(&mut *app.db.read().acquire().await?, event).await?;
        let wrong = snapshot.open().filter(|shown| shown.grade == Grade::Wrong).count();
        if wrong == 0 {
            return Ok(CountdownItems::default());
        }
        let href = super::page::href(snapshot.event.id);
        let due = Due {
            title: format!("Fix {} on the site's drawing", words::count(wrong, "finding", "findings")),
            beneath: snapshot.open().next().map(|shown| shown.title.clone()).unwrap_or_default(),
            said: String::new(),
            href: href.clone(),
            person: None,
            owner: Owner::SafetyOfficer,
            on: snapshot.event.details.burn_on - Duration::days(SETTLED),
            call: Call::NoOne,
            is_problem: true,
        };
        Ok(CountdownItems {
            strand: Some(Strand::Rooms),
            due: vec![due],
            problems: vec![href; wrong],
            ..CountdownItems::default()
        })
    })
}
