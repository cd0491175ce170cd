//! The guest list, and each guest.

use super::form::{GuestForm, New, NewForm};
use super::snapshot::{GuestRecord, GuestSnapshot, GuestStatus};
use super::store;
use super::views::{self, Edit, GuestPage, Index, NewPage, Order, Pips, Stand};
use super::{Details, Guest, GuestSettings, Level, Side, due, follow};
use crate::accounts::{self, Officer, Private, Role, SignedIn, Visit, Worker};
use crate::asks::{self, Unlisted, Way};
use crate::calc::offices::{self, Found};
use crate::closed_days;
use crate::db::Tx;
use crate::db::journal::{self, Actor};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::choosing::{self, Chooser, Find, Line, Settled, who_is_it};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Both, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/guests", get(index))
        .route("/events/{id}/guests/new", get(new).merge(post(create)))
        .route("/events/{id}/guests/{guest}", get(guest_page))
        .route("/events/{id}/guests/{guest}/edit", get(edit).merge(post(save)))
        .route("/events/{id}/guests/{guest}/place", post(place))
        .route("/events/{id}/guests/{guest}/rules", post(by_rules))
        .route("/events/{id}/guests/{guest}/called", post(rang))
        .route("/events/{id}/guests/{guest}/remove", post(remove))
}

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

/// All guests of an event.
pub(super) async fn snapshot(app: &App, id: i64) -> Result<GuestSnapshot> {
    let event = event(app, id).await?;
    GuestSnapshot::load(&mut *app.db.read().acquire().await?, &event).await
}

/// A page under Guests.
pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?;
    Ok(page.titled(title))
}

/// People who can be responsible for an office: everyone with an account.
async fn candidates(app: &App) -> Result<Vec<(i64, String)>> {
    let accounts = accounts::list(app.db.read()).await?;
    Ok(accounts.into_iter().map(|account| (account.person_id, account.name)).collect())
}

fn ids(candidates: &[(i64, String)]) -> Vec<i64> {
    candidates.iter().map(|(id, _)| *id).collect()
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
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let calendar = closed_days::calendar(&app).await?;
    let details = &snapshot.event.details;
    let on = details.rain_on.filter(|_| shown.date == "rain").unwrap_or(details.burn_on);
    let here = format!("/events/{id}/guests");
    let today = snapshot.event.today(now);
    let day = |on| Reader::App.near_day(on, today);
    let mut dates = vec![(details.burn_on, format!("Burn day, {}", day(details.burn_on)), here.clone())];
    dates.extend(details.rain_on.map(|on| (on, format!("Rain date, {}", day(on)), format!("{here}?date=rain"))));
    let dates = dates.into_iter().map(|(day, says, href)| Pips::of(&snapshot, day, (says, href, day == on)));
    let mut unlisted = unlisted(&app, &snapshot, now).await?;
    for (one, _) in &mut unlisted {
        one.note = visit.user.shown(Private::Notes, &one.note);
    }
    show(&Index {
        page: page(&app, &visit, &snapshot.event, "Guests").await?,
        event_id: id,
        unlisted,
        day: day(on),
        dates: dates.collect(),
        groups: views::groups(&snapshot, on, &calendar, now),
        unplaced: views::unplaced(&snapshot),
        lacks_home: snapshot.settings.home.is_empty()
            && snapshot.guests.iter().any(|k| k.guest.details.side == Side::Official),
        total: snapshot.guests.len(),
        to_invite: snapshot
            .guests
            .iter()
            .filter(|known| known.status(details.burn_on) == GuestStatus::NotAsked)
            .count(),
    })
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

async fn new(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(find): Query<Find>,
) -> Result<Response> {
    let form = NewForm { side: Side::Official.to_string(), ..NewForm::default() };
    let snapshot = snapshot(&app, id).await?;
    show(&new_page(&app, &visit, &snapshot, (form, Mistakes::default(), Vec::new()), &find).await?)
}

async fn new_page(
    app: &App,
    visit: &Visit,
    snapshot: &GuestSnapshot,
    (form, mistakes, known): (NewForm, Mistakes, Vec<Line>),
    find: &Find,
) -> Result<NewPage> {
    let mut db = app.db.read().acquire().await?;
    let here = format!("/events/{}/guests/new", snapshot.event.id);
    let guests: Vec<i64> = snapshot.guests.iter().map(|known| known.person.id).collect();
    let chooser = Chooser::load(&mut db, here, find, &form.person, &guests, Person::place).await?;
    drop(db);
    Ok(NewPage {
        page: page(app, visit, &snapshot.event, "Add guests").await?,
        event_id: snapshot.event.id,
        settings: snapshot.settings.clone(),
        candidates: candidates(app).await?,
        chooser,
        part: form.part(&mistakes, find.is_looking()),
        known,
        form,
        mistakes,
    })
}

async fn create(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Both(form, find): Both<NewForm, Find>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    if find.is_looking() {
        return show(&new_page(&app, &visit, &snapshot, (form, Mistakes::default(), Vec::new()), &find).await?);
    }
    let new = match form.read(&snapshot.settings, &ids(&candidates(&app).await?)) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = new_page(&app, &visit, &snapshot, (form, mistakes, Vec::new()), &find).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, settings) = (visit.user.actor(), snapshot.settings.clone());
    let write = app.db.write(move |tx| Box::pin(async move { add_all(tx, actor, id, &new, &settings, now).await }));
    let (added, about) = match write.await? {
        Ok(added) => added,
        Err(known) => {
            let page = new_page(&app, &visit, &snapshot, (form, who_is_it(), known), &find).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let said = match added.as_slice() {
        [] => format!("No one was added: they were already on the list.{about}"),
        [_] => format!("Added 1 guest.{about} Check the details, then send the invitation."),
        many => format!("Added {} guests.{about} Check the details of each, then send the invitations.", many.len()),
    };
    let to = match added.as_slice() {
        [one] => format!("/events/{id}/guests/{one}"),
        _ => format!("/events/{id}/guests"),
    };
    Ok(flash::redirect(&to, &said))
}

/// The guests who were added, and what to say about someone new; or the people the new one
/// may be.
type Added = std::result::Result<(Vec<i64>, String), Vec<Line>>;

async fn add_all(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    new: &New,
    settings: &GuestSettings,
    now: OffsetDateTime,
) -> Result<Added> {
    let (mut people, mut about) = (new.people.clone(), String::new());
    if let Some(fresh) = &new.fresh {
        match choosing::settle(tx, actor, fresh, now).await? {
            Settled::Person { id, said } => {
                people.push(id);
                about = said;
            }
            Settled::Unsure(known) => return Ok(Err(known)),
        }
    }
    let mut added = Vec::new();
    for id in people {
        let Some(person) = people::find(tx, id).await? else { continue };
        let details = first_details(new, &person, settings);
        added.extend(store::add(tx, actor, (event_id, id, &person.details.name), &details, now).await?);
    }
    Ok(Ok((added, about)))
}

/// A new guest's settings, from their contact record.
fn first_details(new: &New, person: &Person, settings: &GuestSettings) -> Details {
    let plain = |level| Details { responsible: new.responsible, ..Details::of(new.side, level) };
    if new.side != Side::Official {
        return Details { sponsor_level: new.sponsor_level, ..plain(Level::Sponsor) };
    }
    let (office, jurisdiction) = (&person.details.office, &person.details.jurisdiction);
    let (_, is_former) = offices::read(office, jurisdiction);
    match settings.find_office(office, jurisdiction) {
        Found::At(place) => {
            let office = &settings.offices[place];
            let address = office.address.clone();
            Details { office: Some(office.id), address, is_former, ..plain(office.level) }
        }
        // The guest's page says so and offers the closest: no one is placed by a guess.
        Found::Perhaps(_) => Details { is_former, ..plain(Level::Local) },
    }
}

/// A guest of this event.
fn found(snapshot: &GuestSnapshot, id: i64) -> Result<&GuestRecord> {
    snapshot.find(id).ok_or(Error::NotFound)
}

async fn guest_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, guest)): Path<(i64, i64)>,
) -> Result<Response> {
    let snapshot = snapshot(&app, id).await?;
    let known = found(&snapshot, guest)?;
    show(&guest_view(&app, &visit, &snapshot, known, (PlaceForm::of(&known.guest), Mistakes::default())).await?)
}

async fn guest_view(
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
    let next = due::next(snapshot, known, on, &calendar);
    let status = known.status(on);
    let history = journal::of(app.db.read(), "guest", known.guest.id).await?;
    let details = &known.guest.details;
    let own = match (details.side, snapshot.is_own(known), details.in_own.is_some()) {
        (Side::Official, true, false) => "Yes, by jurisdiction",
        (Side::Official, true, true) => "Yes, set by hand",
        (Side::Official, false, false) if snapshot.settings.home.is_empty() => {
            "No, because your department's location isn't set"
        }
        (Side::Official, false, false) => "No, outside your area",
        (Side::Official, false, true) => "No, set by hand",
        _ => "",
    };
    let placed = views::placed(snapshot, known, on);
    Ok(GuestPage {
        page: page(app, visit, event, known.called()).await?,
        event_id: event.id,
        id: known.guest.id,
        person_id: if visit.user.sees_people() { known.person.id } else { 0 },
        request_id: known.request.as_ref().map_or(0, |request| request.id),
        name: views::headed(known),
        place: views::subtitle(snapshot, known),
        said: known.person.details.said.clone(),
        deputy: views::deputy(known, on),
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
        facts: views::facts(snapshot, known),
        speaks: snapshot.program.slot(snapshot, known).seconds(),
        own: own.to_owned(),
        home: views::home(snapshot, known),
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

/// An office to show in the form before it is saved.
#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    office: Option<i64>,
}

async fn edit(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, guest)): Path<(i64, i64)>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let snapshot = snapshot(&app, id).await?;
    let known = found(&snapshot, guest)?;
    let mut form = GuestForm::of(&known.guest.details, known.guest.version);
    if let Some(office) = wanted.office.and_then(|id| snapshot.settings.offices.iter().find(|office| office.id == id)) {
        form.office = office.id.to_string();
        form.level = office.level.to_string();
        form.address.clone_from(&office.address);
    }
    show(&edit_page(&app, &visit, &snapshot, known, (form, Mistakes::default())).await?)
}

async fn edit_page(
    app: &App,
    visit: &Visit,
    snapshot: &GuestSnapshot,
    known: &GuestRecord,
    (form, mistakes): (GuestForm, Mistakes),
) -> Result<Edit> {
    let mut candidates = candidates(app).await?;
    if let Some(responsible) =
        known.responsible.clone().filter(|(id, _)| candidates.iter().all(|(other, _)| other != id))
    {
        candidates.push(responsible);
    }
    let ours = snapshot.is_own_by_rule(known);
    Ok(Edit {
        page: page(app, visit, &snapshot.event, "Edit guest")
            .await?
            .under(format!("/events/{}/guests/{}", snapshot.event.id, known.guest.id), known.called()),
        event_id: snapshot.event.id,
        id: known.guest.id,
        person_id: known.person.id,
        name: known.person.details.name.clone(),
        place: known.person.place(),
        by_jurisdiction: if ours { "yes" } else { "no" },
        settings: snapshot.settings.clone(),
        candidates,
        form,
        mistakes,
    })
}

async fn save(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, guest)): Path<(i64, i64)>,
    Form(form): Form<GuestForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let known = found(&snapshot, guest)?;
    let mut may = ids(&candidates(&app).await?);
    may.extend(known.guest.details.responsible);
    let new = match form.read(&snapshot.settings, &may) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = edit_page(&app, &visit, &snapshot, known, (form, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, name) = (visit.user.actor(), known.person.details.name.clone());
    let old = Guest { version: form.version, ..known.guest.clone() };
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if !store::save(tx, actor, (&old, &name), &new, now).await? {
                return Ok(None);
            }
            Ok(Some(follow::refresh(tx, id, now).await?))
        })
    });
    let Some(outdated) = write.await? else { return differs(&app, &visit, id, guest, &form).await };
    let said = format!("Saved.{}", asks::tell_next(outdated));
    Ok(flash::redirect(&format!("/events/{id}/guests/{guest}"), &said))
}

/// The name of a list entry, by its number.
fn named(all: &[(i64, String)], number: &str) -> String {
    let chosen = all.iter().find(|(id, _)| id.to_string() == number);
    chosen.map_or("none".to_owned(), |(_, name)| name.clone())
}

async fn differs(app: &App, visit: &Visit, id: i64, guest: i64, mine: &GuestForm) -> Result<Response> {
    let snapshot = snapshot(app, id).await?;
    let known = found(&snapshot, guest)?;
    let theirs = GuestForm::of(&known.guest.details, known.guest.version);
    let action = format!("/events/{id}/guests/{guest}/edit");
    let mut conflict = Conflict::new(&known.person.details.name, action, known.guest.version);
    let fields = |form: &GuestForm| {
        [
            ("side", "Invited as", form.side.clone()),
            ("level", "Level", form.level.clone()),
            ("address", "Title before the name", form.address.clone()),
            ("in_own", "Own jurisdiction", form.in_own.clone()),
            ("since", "In office since", form.since.clone()),
            ("former", "No longer in office", form.former.clone()),
            ("minutes", "Minutes to speak", form.minutes.clone()),
            ("gives", "When time is short", form.gives.clone()),
            ("least", "Minutes at least", form.least.clone()),
            ("priority", "Priority", form.priority.clone()),
            ("microphone", "Microphone", form.microphone.clone()),
            ("met_by", "Met at the door by", form.met_by.clone()),
            ("seat", "Seat", form.seat.clone()),
            ("arrives", "Arrives", form.arrives.clone()),
            ("parking", "Parking", form.parking.clone()),
            ("clothing", "Clothing", form.clothing.clone()),
            ("press", "Press", form.press.clone()),
            ("also_comes", "Who else is coming", form.also_comes.clone()),
        ]
    };
    for ((name, label, theirs), (_, _, mine)) in fields(&theirs).into_iter().zip(fields(mine)) {
        conflict.field(name, label, &theirs, &mine);
    }
    // Chosen from lists: sent as numbers, shown as names.
    let offices: Vec<_> = snapshot.settings.offices.iter().map(|office| (office.id, office.name.clone())).collect();
    let levels: Vec<_> = snapshot.settings.levels.iter().map(|level| (level.id, level.name.clone())).collect();
    for (name, label, all, theirs, mine) in [
        ("office", "Office", offices, &theirs.office, &mine.office),
        ("sponsor_level", "Sponsor level", levels, &theirs.sponsor_level, &mine.sponsor_level),
        ("responsible", "Responsible", candidates(app).await?, &theirs.responsible, &mine.responsible),
    ] {
        conflict.silent(name, mine);
        conflict.compare(label, &named(&all, theirs), &named(&all, mine));
    }
    conflict::show(page(app, visit, &snapshot.event, "Guests").await?, &conflict)
}

/// A place set by hand.
#[derive(Deserialize, Default)]
#[serde(default)]
struct PlaceForm {
    number: String,
    reason: String,
}

impl PlaceForm {
    fn of(guest: &Guest) -> Self {
        let place = guest.place.clone();
        place.map(|(number, reason)| Self { number: number.to_string(), reason }).unwrap_or_default()
    }
}

async fn place(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, guest)): Path<(i64, i64)>,
    Form(form): Form<PlaceForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let known = found(&snapshot, guest)?;
    let mut mistakes = Mistakes::default();
    let number = mistakes.note("number", form::number(&form.number, 1usize, 999));
    let reason = mistakes.note("reason", form::line(&form.reason, 200));
    let (Some(number), Some(reason)) = (number, reason) else {
        let page = guest_view(&app, &visit, &snapshot, known, (form, mistakes)).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let (actor, guest, name) = (visit.user.actor(), known.guest.clone(), known.person.details.name.clone());
    let to = format!("/events/{id}/guests/{}", guest.id);
    let write = app.db.write(move |tx| {
        Box::pin(async move { store::set_place(tx, actor, (&guest, &name), Some((number, &reason)), now).await })
    });
    write.await?;
    Ok(flash::redirect(&to, "Place set by hand. Everyone else moves around it."))
}

async fn by_rules(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, guest)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let known = found(&snapshot, guest)?;
    let (actor, guest, name) = (visit.user.actor(), known.guest.clone(), known.person.details.name.clone());
    let to = format!("/events/{id}/guests/{}", guest.id);
    let write =
        app.db.write(move |tx| Box::pin(async move { store::set_place(tx, actor, (&guest, &name), None, now).await }));
    write.await?;
    Ok(flash::redirect(&to, "The rules decide this place again."))
}

async fn rang(State(app): State<App>, Worker(visit): Worker, Path((id, guest)): Path<(i64, i64)>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let known = found(&snapshot, guest)?;
    let (actor, today) = (visit.user.actor(), snapshot.event.today(now));
    let (guest, name) = (known.guest.clone(), known.person.details.name.clone());
    let to = format!("/events/{id}/guests/{}", guest.id);
    let write =
        app.db.write(move |tx| Box::pin(async move { store::rang(tx, actor, (&guest, &name), today, now).await }));
    write.await?;
    Ok(flash::redirect(&to, "Saved: you called today. If they gave an answer, record the reply too."))
}

async fn remove(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, guest)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let known = found(&snapshot, guest)?;
    let to = format!("/events/{id}/guests");
    if let Some(request) = &known.request {
        let said = "This guest was invited. Withdraw the question first, so they hear about it. Then remove them.";
        return Ok(flash::redirect(&format!("/events/{id}/replies/{}", request.id), said));
    }
    let (actor, guest, name) = (visit.user.actor(), known.guest.clone(), known.person.details.name.clone());
    let write = app.db.write(move |tx| Box::pin(async move { store::remove(tx, actor, (&guest, &name), now).await }));
    write.await?;
    Ok(flash::redirect(&to, "Removed from the guest list. The contact record stays."))
}
