//! What the countdown shows about guests.

use super::next_step::{Step, next};
use super::record::GuestRecord;
use super::snapshot::GuestSnapshot;
use super::status::GuestStatus;
use crate::calc::calendar::Calendar;
use crate::closed_days;
use crate::countdown::{Call, CountdownItems, Due, OnRainDate, Owner, Ready, Strand};
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::words;
use futures_util::future::BoxFuture;
use std::collections::BTreeMap;
use time::{Date, Duration, OffsetDateTime};

/// The countdown shows what is due within this time.
const AHEAD: Duration = Duration::days(7);

/// Who is responsible; none for the education officer.
type Chaser = Option<(i64, String)>;

/// For the countdown: how ready the guests are, and what is due.
#[must_use]
pub fn countdown_items(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        let calendar = closed_days::calendar(&app).await?;
        let snapshot = GuestSnapshot::load(&mut *app.db.read().acquire().await?, &event).await?;
        Ok(items(&snapshot, &calendar, event.today(now)))
    })
}

fn items(snapshot: &GuestSnapshot, calendar: &Calendar, today: Date) -> CountdownItems {
    let event = &snapshot.event;
    let on = event.details.burn_on;
    let many = |on: Date, wanted: fn(GuestStatus) -> bool| {
        snapshot.guests.iter().filter(|known| wanted(known.status(on))).count()
    };
    let ready = Ready {
        name: "Guests",
        href: format!("/events/{}/guests", event.id),
        done: many(on, GuestStatus::is_expected),
        waiting: many(on, |status| matches!(status, GuestStatus::Maybe | GuestStatus::Waiting)),
        open: many(on, |status| status == GuestStatus::NotAsked),
        what: "guests coming",
        rain: event.details.rain_on.filter(|_| today <= on).map(|rain| OnRainDate {
            on: rain,
            done: many(rain, GuestStatus::is_expected),
            all: many(rain, |status| status != GuestStatus::StaysAway),
        }),
    };
    if today > on {
        return CountdownItems { strand: Some(Strand::Guests), ready: vec![ready], ..CountdownItems::default() };
    }
    let mut groups: BTreeMap<(Step, Chaser), (Date, Vec<&GuestRecord>)> = BTreeMap::new();
    for known in &snapshot.guests {
        // Sending briefings is already a task in the plan.
        if let Some((step, day)) = next(snapshot, known, on, calendar)
            && step != Step::Brief
            && day <= today + AHEAD
        {
            let (first, guests) = groups.entry((step, known.responsible.clone())).or_insert((day, Vec::new()));
            *first = day.min(*first);
            guests.push(known);
        }
    }
    let due = groups.into_iter().map(|((step, person), (day, guests))| Due {
        title: title(step, &guests),
        beneath: guests.iter().map(|known| known.called()).collect::<Vec<_>>().join(", "),
        said: String::new(),
        href: match (step, guests.as_slice()) {
            (Step::Invite, _) => format!("/events/{}/guests/invite", event.id),
            (_, [one]) => format!("/events/{}/guests/{}", event.id, one.guest.id),
            _ => format!("/events/{}/guests", event.id),
        },
        person,
        owner: Owner::EducationOfficer,
        on: day,
        call: match step {
            Step::Ring | Step::AskName => Call::People(guests.iter().map(|known| known.person.id).collect()),
            Step::Invite | Step::Brief => Call::NoOne,
        },
        is_problem: false,
    });
    CountdownItems { strand: Some(Strand::Guests), ready: vec![ready], due: due.collect(), ..CountdownItems::default() }
}

fn title(step: Step, guests: &[&GuestRecord]) -> String {
    let many = guests.len();
    match step {
        Step::Invite => format!("Invite {}", words::count(many, "guest", "guests")),
        Step::Ring => format!("Call {} for a reply", words::count(many, "guest", "guests")),
        Step::AskName => format!("Get the pronunciation of {}", words::count(many, "name", "names")),
        Step::Brief => format!("Send {}", words::count(many, "briefing", "briefings")),
    }
}
