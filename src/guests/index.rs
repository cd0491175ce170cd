//! The guest list.

use super::groups::{Group, groups};
use super::guest::Side;
use super::page;
use super::record::GuestRecord;
use super::snapshot::GuestSnapshot;
use super::status::GuestStatus;
use crate::accounts::{Private, SignedIn, Visit};
use crate::asks::{self, Unlisted};
use crate::closed_days;
use crate::error::Result;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests", get(index))
}

#[derive(Template)]
#[template(path = "guests/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    /// People who said yes and aren't on the list, and what they would be added as.
    unlisted: Vec<(Unlisted, Side)>,
    day: String,
    dates: Vec<Pips>,
    groups: Vec<Group>,
    /// Officials whose office isn't on the list: number, name, explanation.
    unplaced: Vec<(i64, String, String)>,
    /// The department's location isn't set.
    lacks_home: bool,
    total: usize,
    to_invite: usize,
}

/// How many guests have each status, for one date.
#[derive(Debug)]
struct Pips {
    day: String,
    href: String,
    is_here: bool,
    done: usize,
    waiting: usize,
    open: usize,
}

impl Pips {
    /// Without its link.
    fn of(snapshot: &GuestSnapshot, on: Date) -> Self {
        let many =
            |wanted: fn(GuestStatus) -> bool| snapshot.guests.iter().filter(|known| wanted(known.status(on))).count();
        Self {
            day: String::new(),
            href: String::new(),
            is_here: false,
            done: many(GuestStatus::is_expected),
            waiting: many(|status| matches!(status, GuestStatus::Maybe | GuestStatus::Waiting)),
            open: many(|status| status == GuestStatus::NotAsked),
        }
    }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Shown {
    date: String,
}

async fn index(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(shown): Query<Shown>,
) -> Result<Response> {
    let snapshot = page::snapshot(&app, id).await?;
    let details = &snapshot.event.details;
    let on = details.rain_on.filter(|_| shown.date == "rain").unwrap_or(details.burn_on);
    show(&view(&app, &visit, &snapshot, on).await?)
}

async fn view(app: &App, visit: &Visit, snapshot: &GuestSnapshot, on: Date) -> Result<Index> {
    let now = app.clock.now();
    let calendar = closed_days::calendar(app).await?;
    let mut unlisted = unlisted(app, snapshot, now).await?;
    for (one, _) in &mut unlisted {
        one.note = visit.user.shown(Private::Notes, &one.note);
    }
    let is_to_invite = |known: &&GuestRecord| known.status(snapshot.event.details.burn_on) == GuestStatus::NotAsked;
    let is_official = |known: &GuestRecord| known.guest.details.side == Side::Official;
    Ok(Index {
        page: page::page(app, visit, &snapshot.event, "Guests").await?,
        event_id: snapshot.event.id,
        unlisted,
        day: Reader::App.near_day(on, snapshot.event.today(now)),
        dates: dates(snapshot, on, now),
        groups: groups(snapshot, on, &calendar, now),
        unplaced: unplaced(snapshot),
        lacks_home: snapshot.settings.home.is_empty() && snapshot.guests.iter().any(is_official),
        total: snapshot.guests.len(),
        to_invite: snapshot.guests.iter().filter(is_to_invite).count(),
    })
}

/// Both dates of the event, of which the page shows one.
fn dates(snapshot: &GuestSnapshot, shown: Date, now: OffsetDateTime) -> Vec<Pips> {
    let (details, today) = (&snapshot.event.details, snapshot.event.today(now));
    let here = format!("/events/{}/guests", snapshot.event.id);
    let pips = |name: &str, on: Date, href: String| {
        let day = format!("{name}, {}", Reader::App.near_day(on, today));
        Pips { day, href, is_here: on == shown, ..Pips::of(snapshot, on) }
    };
    let rain = details.rain_on.map(|on| pips("Rain date", on, format!("{here}?date=rain")));
    [pips("Burn day", details.burn_on, here)].into_iter().chain(rain).collect()
}

/// People who said yes to being a guest and aren't on the list.
async fn unlisted(app: &App, snapshot: &GuestSnapshot, now: OffsetDateTime) -> Result<Vec<(Unlisted, Side)>> {
    let is_listed = |request: &asks::Request| snapshot.guests.iter().any(|known| known.person.id == request.person_id);
    let mut db = app.db.read().acquire().await?;
    let found = asks::unlisted(&mut db, &snapshot.event, asks::Kind::Guest, is_listed, now).await?;
    // Anyone with an office is an official; everyone else starts as a partner.
    let sided = |one: Unlisted| {
        let side = if one.office.is_empty() { Side::Partner } else { Side::Official };
        (one, side)
    };
    Ok(found.into_iter().map(sided).collect())
}

/// Officials whose office isn't on the list.
fn unplaced(snapshot: &GuestSnapshot) -> Vec<(i64, String, String)> {
    let line = |known: &GuestRecord| Some((known.guest.id, known.addressed(), snapshot.unplaced(known)?.says()));
    snapshot.guests.iter().filter_map(line).collect()
}
