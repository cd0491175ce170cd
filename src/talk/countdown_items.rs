//! What the countdown shows about the talk.

use super::mends;
use super::page::href;
use super::snapshot::TalkSnapshot;
use crate::countdown::{Call, CountdownItems, Due, Owner, Strand};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::words;
use futures_util::future::BoxFuture;
use time::{Duration, OffsetDateTime};

/// The talk fits this many days before burn day, so that it can be practiced. Common practice,
/// no source.
const SETTLED: i64 = 7;

/// What is wrong with the talk, in one line.
#[must_use]
pub fn countdown_items(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        if event.today(now) > event.details.burn_on {
            return Ok(CountdownItems::default());
        }
        let snapshot = TalkSnapshot::of(&mut *app.db.read().acquire().await?, event).await?;
        let wrong: Vec<_> = mends::mends(&snapshot).into_iter().filter(|mend| mend.grade == "wrong").collect();
        if snapshot.lines.is_empty() || wrong.is_empty() {
            return Ok(CountdownItems::default());
        }
        let href = href(snapshot.event.id);
        let due = Due {
            title: format!("Fix {} in the talk", words::count(wrong.len(), "problem", "problems")),
            beneath: wrong[0].title.clone(),
            said: String::new(),
            href: href.clone(),
            person: None,
            owner: Owner::EducationOfficer,
            on: snapshot.event.details.burn_on - Duration::days(SETTLED),
            call: Call::NoOne,
            is_problem: true,
        };
        Ok(CountdownItems {
            strand: Some(Strand::Teaching),
            due: vec![due],
            problems: vec![href; wrong.len()],
            ..CountdownItems::default()
        })
    })
}
