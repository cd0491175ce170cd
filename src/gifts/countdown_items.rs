//! What the countdown shows for gifts.

use super::store::of_event;
use super::{Gift, GiftStatus};
use crate::countdown::{Call, CountdownItems, Due, Owner, Strand};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::words::Reader;
use futures_util::future::BoxFuture;
use time::OffsetDateTime;

/// What the countdown shows for gifts: each promise on its due date.
#[must_use]
pub fn countdown_items(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        let gifts = of_event(&mut *app.db.read().acquire().await?, event.id).await?;
        let today = event.today(now);
        let due = |gift: &Gift| {
            let on = gift.details.promised_by.filter(|_| gift.details.status == GiftStatus::Promised)?;
            let by = Reader::App.near_day(on, today);
            Some(Due {
                title: format!("Gift due: {}", gift.details.what.title()),
                beneath: format!("{} promised it for {by}. Call if it isn't here.", gift.giver_in_full()),
                said: String::new(),
                href: gift.href(),
                person: None,
                owner: Owner::EducationOfficer,
                on,
                call: Call::People(vec![gift.details.person_id]),
                is_problem: false,
            })
        };
        let due = gifts.iter().filter_map(due).collect();
        Ok(CountdownItems { strand: Some(Strand::Guests), due, ..CountdownItems::default() })
    })
}
