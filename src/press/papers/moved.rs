//! What a change of the event does to releases and to the press.

use super::before_sending::names_own_times;
use super::marks::{PaperFacts, changes_say};
use super::{holders, store};
use crate::accounts;
use crate::countdown::MoveLine;
use crate::error::Result;
use crate::events::{Details, Event};
use crate::press::day;
use crate::press::facts::{self, FIELDS};
use crate::state::App;
use crate::web::words;
use sqlx::SqliteConnection;
use std::future::Future;
use std::pin::Pin;
use time::OffsetDateTime;

/// What the change makes wrong: releases that are approved or already sent, press facts
/// with a date or time in them, and media added to the burn day list by hand, who are
/// sent no question.
#[must_use]
pub fn moved(
    app: App,
    event: Event,
    to: Details,
    now: OffsetDateTime,
) -> Pin<Box<dyn Future<Output = Result<Vec<MoveLine>>> + Send>> {
    Box::pin(async move {
        let department = accounts::department(app.db.read()).await?.unwrap_or_default().name;
        let mut db = app.db.read().acquire().await?;
        let mut lines = papers(&mut db, &event, &to, (&department, now)).await?;
        lines.extend(facts_and_visits(&mut db, &event, &to, now).await?);
        Ok(lines)
    })
}

async fn papers(
    db: &mut SqliteConnection,
    event: &Event,
    to: &Details,
    (department, at): (&str, OffsetDateTime),
) -> Result<Vec<MoveLine>> {
    let known = facts::of_event(db, event.id).await?;
    let now = PaperFacts::of(&event.details, department, &known, at);
    let then = PaperFacts::of(to, department, &known, at);
    let moved = Event {
        details: to.clone(),
        date_revision: event.date_revision + i64::from(to.burn_on != event.details.burn_on),
        ..event.clone()
    };
    let holders = holders::of_event(db, event.id).await?;
    let mut lines = Vec::new();
    for paper in store::of_event(db, event.id).await? {
        let href = format!("/events/{}/press/releases/{}", event.id, paper.id);
        for version in &paper.versions {
            let changes = version.changes(&moved, &then);
            let have = holders.iter().filter(|holder| holder.version_id == version.id).count();
            let is_newest = paper.newest().is_some_and(|newest| newest.id == version.id);
            // What is wrong already is on the list of corrections.
            if changes.is_empty() || changes == version.changes(event, &now) || (have == 0 && !is_newest) {
                continue;
            }
            let beneath = match have {
                0 => "No one has it yet. Have it approved again.".to_owned(),
                _ => format!("{} it and will need a correction.", words::count(have, "contact has", "contacts have")),
            };
            lines.push(MoveLine {
                what: format!("The {} will be out of date: {}", version.called(), changes_say(&changes)),
                beneath,
                href: href.clone(),
                is_open: false,
            });
        }
    }
    Ok(lines)
}

async fn facts_and_visits(
    db: &mut SqliteConnection,
    event: &Event,
    to: &Details,
    at: OffsetDateTime,
) -> Result<Vec<MoveLine>> {
    let known = facts::of_event(db, event.id).await?;
    let from = &event.details;
    let is_when = (from.burn_on, from.burn_time) != (to.burn_on, to.burn_time);
    let is_changed = is_when || from.site != to.site;
    let now = PaperFacts::of(from, "", &known, at);
    let mut lines = Vec::new();
    for field in FIELDS.iter().filter(|field| is_when && names_own_times(&now, (field.of)(&known))) {
        lines.push(MoveLine {
            what: format!("Check the press fact “{}”: it has a date or time in it", field.label.to_lowercase()),
            beneath: (field.of)(&known).clone(),
            href: format!("/events/{}/press/facts", event.id),
            is_open: false,
        });
    }
    let by_hand: Vec<String> = day::of_event(db, event.id)
        .await?
        .into_iter()
        .filter(|visit| visit.by_hand)
        .map(|visit| visit.person)
        .collect();
    if is_changed && !by_hand.is_empty() {
        lines.push(MoveLine {
            what: format!("Call {} on the burn day media list", words::count(by_hand.len(), "person", "people")),
            beneath: format!("They were added by hand and get no email: {}", by_hand.join(", ")),
            href: format!("/events/{}/burn-day/press", event.id),
            is_open: false,
        });
    }
    Ok(lines)
}
