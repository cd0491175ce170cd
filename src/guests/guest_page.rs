//! The page of a guest.

use super::facts::facts;
use super::guest::Side;
use super::order::{Order, home, placed};
use super::place_form::PlaceForm;
use super::record::GuestRecord;
use super::snapshot::{GuestSnapshot, Unplaced};
use super::status::GuestStatus;
use super::{called, next_step, page};
use crate::accounts::{Private, Role, SignedIn, Visit};
use crate::asks::{self, Way};
use crate::closed_days;
use crate::db::journal;
use crate::error::Result;
use crate::state::App;
use crate::web::form::{self, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/{guest}", get(guest_page))
}

#[derive(Template)]
#[template(path = "guests/guest.html")]
pub(super) struct GuestPage {
    page: Page,
    event_id: i64,
    id: i64,
    person_id: i64,
    request_id: i64,
    name: String,
    place: String,
    said: String,
    deputy: String,
    /// How to reach the deputy, for those allowed to see it.
    deputy_reached: String,
    /// Each date with the status, and since when.
    stands: Vec<Stand>,
    /// They answered for a date that has changed.
    is_stale: bool,
    next: String,
    /// The same for `data-` marks: the step and the date.
    step: &'static str,
    due_on: String,
    is_late: bool,
    responsible: String,
    phone: String,
    /// What to arrange for them, for those allowed to see it.
    needs: String,
    facts: Vec<(String, String)>,
    /// How many seconds the program leaves them to speak; none if they don't speak.
    speaks: Option<u32>,
    own: String,
    /// The same for `data-` marks: where, and how it was decided.
    home: &'static str,
    told_by: &'static str,
    since: String,
    why: String,
    order: Order,
    unplaced: Option<Unplaced>,
    is_by_hand: bool,
    place_number: String,
    place_reason: String,
    mistakes: Mistakes,
    can_ring: bool,
    can_invite: bool,
    may_work: bool,
    history: Vec<HistoryLine>,
}

/// A guest's status for one date.
#[derive(Debug)]
struct Stand {
    label: String,
    says: String,
    /// The date, and its state for marks.
    on: String,
    state: &'static str,
}

async fn guest_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, guest)): Path<(i64, i64)>,
) -> Result<Response> {
    let snapshot = page::snapshot(&app, id).await?;
    let known = page::found(&snapshot, guest)?;
    show(&guest_view(&app, &visit, &snapshot, known, (PlaceForm::of(&known.guest), Mistakes::default())).await?)
}

pub(super) async fn guest_view(
    app: &App,
    visit: &Visit,
    snapshot: &GuestSnapshot,
    known: &GuestRecord,
    (form, mistakes): (PlaceForm, Mistakes),
) -> Result<GuestPage> {
    let now = app.clock.now();
    let (event, today) = (&snapshot.event, snapshot.event.today(now));
    let on = event.details.burn_on;
    let calendar = closed_days::calendar(app).await?;
    let next = next_step::next(snapshot, known, on, &calendar);
    let status = known.status(on);
    let history = journal::of(app.db.read(), "guest", known.guest.id).await?;
    let details = &known.guest.details;
    let placed = placed(snapshot, known, on);
    Ok(GuestPage {
        page: page::page(app, visit, event, known.called()).await?,
        event_id: event.id,
        id: known.guest.id,
        person_id: if visit.user.sees_people() { known.person.id } else { 0 },
        request_id: known.request.as_ref().map_or(0, |request| request.id),
        name: called::headed(known),
        place: called::subtitle(snapshot, known),
        said: known.person.details.said.clone(),
        deputy: called::deputy(known, on),
        deputy_reached: visit.user.shown(Private::Contact, &known.deputy_reached(on)),
        stands: stands(snapshot, known, now),
        is_stale: known.request.as_ref().is_some_and(asks::Request::is_stale),
        step: next.map_or("", |(step, _)| step.as_str()),
        due_on: next.map(|(_, day)| words::iso(day)).unwrap_or_default(),
        next: next
            .map(|(step, day)| format!("{} by {}", step.says(), Reader::App.near_day(day, today)))
            .unwrap_or_default(),
        is_late: next.is_some_and(|(_, day)| day < today),
        responsible: known.responsible.as_ref().map(|(_, name)| name.clone()).unwrap_or_default(),
        phone: visit.user.shown(Private::Contact, &known.person.details.phone),
        needs: visit.user.shown(Private::Needs, &needs(known, on)),
        facts: facts(snapshot, known),
        speaks: snapshot.program.slot(snapshot, known).seconds(),
        own: own(snapshot, known).to_owned(),
        home: home(snapshot, known),
        told_by: if details.in_own.is_some() { "hand" } else { "jurisdiction" },
        since: match form::day(&details.since) {
            Ok(day) => Reader::App.day(day),
            Err(_) => details.since.clone(),
        },
        why: placed.as_ref().map(|placed| words::capital(&placed.why)).unwrap_or_default(),
        order: placed.as_ref().map(|placed| Order::of(snapshot, known, placed)).unwrap_or_default(),
        is_by_hand: placed.is_some_and(|placed| placed.is_by_hand),
        unplaced: snapshot.unplaced(known),
        place_number: form.number,
        place_reason: form.reason,
        mistakes,
        can_ring: matches!(status, GuestStatus::Waiting | GuestStatus::Maybe),
        can_invite: status == GuestStatus::NotAsked,
        may_work: visit.user.role != Role::Reader,
        history: app.history.lines(visit.user.shown_history(history), &event.details.zone),
    })
}

/// Whether an official is in their own jurisdiction, and how that was decided; empty for
/// other guests.
fn own(snapshot: &GuestSnapshot, known: &GuestRecord) -> &'static str {
    let details = &known.guest.details;
    match (details.side, snapshot.is_own(known), details.in_own.is_some()) {
        (Side::Official, true, false) => "Yes, by jurisdiction",
        (Side::Official, true, true) => "Yes, set by hand",
        (Side::Official, false, false) if snapshot.settings.home.is_empty() => {
            "No, because your department's location isn't set"
        }
        (Side::Official, false, false) => "No, outside your area",
        (Side::Official, false, true) => "No, set by hand",
        _ => "",
    }
}

/// What to arrange, from the contact record and from the answer.
fn needs(known: &GuestRecord, on: Date) -> String {
    let said = known.answer(on).map(|answer| answer.access_needs.clone()).unwrap_or_default();
    let mut needs = vec![known.person.details.access_needs.clone(), said];
    needs.retain(|text| !text.is_empty());
    needs.dedup();
    needs.join("; ")
}

/// The answer for each date, how it came, and when.
fn stands(snapshot: &GuestSnapshot, known: &GuestRecord, now: OffsetDateTime) -> Vec<Stand> {
    let (details, today) = (&snapshot.event.details, snapshot.event.today(now));
    let dates = [("Burn day", Some(details.burn_on)), ("Rain date", details.rain_on)];
    let mut lines = Vec::new();
    for (label, on) in dates.into_iter().filter_map(|(label, on)| Some((label, on?))) {
        let status = known.status(on);
        let mut says = status.says().to_owned();
        if let Some(answer) = known.answer(on) {
            let day = Reader::App.near_day(details.zone.wall(answer.at).date(), today);
            says = format!("{says} ({}, {day})", way(answer.way));
            let wants =
                answer.wants_to_speak.map(|wants| if wants { "would like to speak" } else { "doesn't need to speak" });
            for more in [wants.map(str::to_owned), answer.party.map(|party| format!("party of {party}"))] {
                says.extend(more.map(|more| format!("; {more}")));
            }
        }
        let label = format!("{label}, {}", Reader::App.near_day(on, today));
        lines.push(Stand { label, says, on: words::iso(on), state: status.as_str() });
    }
    lines
}

fn way(way: Way) -> &'static str {
    match way {
        Way::Link => "online",
        Way::Phone => "by phone",
        Way::InPerson => "in person",
        Way::Letter => "by letter",
        Way::Mail => "by email",
    }
}
