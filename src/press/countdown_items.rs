//! What Press shows in the countdown, and what a change of the event does to it.

use super::log::{Entry, open_follow_ups};
use super::outlet_status::OutletStatus;
use super::snapshot::PressSnapshot;
use super::{day, facts, papers};
use crate::accounts;
use crate::countdown::{Call, CountdownItems, Due, MoveLine, Owner, Ready, Strand};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::state::App;
use futures_util::future::BoxFuture;
use time::OffsetDateTime;

/// A pip for each outlet on the list, and follow-ups and releases that are due.
#[must_use]
pub fn countdown_items(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        let known = PressSnapshot::load(&app, &event).await?;
        let (papers, needs) = papers::due(&app, &event, now).await?;
        let mut due = follow_ups(&known, &event);
        due.extend(papers);
        let ready = vec![outlets(&known, &event)];
        Ok(CountdownItems { strand: Some(Strand::Press), ready, due, needs, ..CountdownItems::default() })
    })
}

/// How many outlets on the list will cover the burn.
fn outlets(known: &PressSnapshot, event: &Event) -> Ready {
    let all: Vec<OutletStatus> = known.listed().map(|(_, outlet)| known.status(outlet.id, event)).collect();
    let many = |wanted: &[OutletStatus]| all.iter().filter(|status| wanted.contains(status)).count();
    Ready {
        name: Strand::Press.as_str(),
        href: format!("/events/{}/press", event.id),
        done: many(&[OutletStatus::Comes, OutletStatus::Ran]),
        waiting: many(&[OutletStatus::Approached, OutletStatus::Replied, OutletStatus::Perhaps]),
        open: many(&[OutletStatus::Open]),
        what: "outlets coming",
        rain: None,
    }
}

/// Who is waiting to hear from us.
fn follow_ups(known: &PressSnapshot, event: &Event) -> Vec<Due> {
    let owner = |entry: &Entry| {
        let listing = known.listings.iter().find(|listing| listing.outlet_id == entry.outlet_id)?;
        listing.owner_id.zip(listing.owner.clone())
    };
    let due = open_follow_ups(&known.entries).into_iter().map(|(entry, on)| Due {
        title: format!("Follow up with {}, {}", entry.person, entry.outlet),
        beneath: "then log the contact in Press".to_owned(),
        said: String::new(),
        href: format!("/events/{}/press", event.id),
        person: entry.follow_up_by.clone().or_else(|| owner(entry)),
        owner: Owner::InformationOfficer,
        on,
        call: Call::People(vec![entry.person_id]),
        is_problem: false,
    });
    due.collect()
}

/// What the change makes wrong: releases that are approved or already sent, press facts
/// with a date or time in them, and media added to the burn day list by hand, who are
/// sent no question.
#[must_use]
pub fn moves(app: App, event: Event, to: Details, now: OffsetDateTime) -> BoxFuture<'static, Result<Vec<MoveLine>>> {
    Box::pin(async move {
        let department = accounts::department(app.db.read()).await?.unwrap_or_default().name;
        let mut db = app.db.read().acquire().await?;
        let mut lines = papers::moves(&mut db, &event, &to, (&department, now)).await?;
        lines.extend(facts::moves(&mut db, &event, &to).await?);
        lines.extend(day::moves(&mut db, &event, &to).await?);
        Ok(lines)
    })
}
