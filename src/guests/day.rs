//! Check-in on burn day, on a phone: who is here, and who came as a deputy.

use super::snapshot::{GuestRecord, GuestSnapshot};
use super::{Day, routes, store, views};
use crate::accounts::{Private, Role, SignedIn, User, Worker};
use crate::asks::{self, Confirm, Given, Said, Way};
use crate::calc::precedence::ordinal;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::link::LinkKey;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/guests", get(show_page))
        .route("/events/{id}/guests/{guest}/here", post(here))
        .route("/events/{id}/guests/{guest}/deputy", post(deputy))
}

#[derive(Template)]
#[template(path = "guests/day.html")]
struct DayPage {
    page: Page,
    event_id: i64,
    day: String,
    is_today: bool,
    may_tick: bool,
    here: usize,
    awaited: usize,
    /// In order of introduction.
    expected: Vec<DayLine>,
    missed: Vec<DayLine>,
    /// Those who haven't said they are coming.
    others: Vec<DayLine>,
    /// The guest whose form had a mistake.
    wrong: i64,
    form: DeputyForm,
    mistakes: Mistakes,
}

struct DayLine {
    id: i64,
    number: String,
    name: String,
    place: String,
    said: String,
    deputy: String,
    /// How to reach the deputy, for those allowed to see it.
    reached: String,
    is_here: Option<bool>,
    status: &'static str,
}

fn line(snapshot: &GuestSnapshot, known: &GuestRecord, number: String, on: Date, user: &User) -> DayLine {
    DayLine {
        id: known.guest.id,
        number,
        name: views::headed(known),
        place: views::subtitle(snapshot, known),
        said: known.person.details.said.clone(),
        deputy: views::deputy(known, on),
        reached: user.shown(Private::Contact, &known.deputy_reached(on)),
        is_here: known.guest.day(on).and_then(|day| day.is_here),
        status: known.status(on).says(),
    }
}

fn day_page(
    page: Page,
    snapshot: &GuestSnapshot,
    (may_tick, user): (bool, &User),
    now: OffsetDateTime,
    (wrong, form, mistakes): (i64, DeputyForm, Mistakes),
) -> DayPage {
    let on = snapshot.event.details.burn_on;
    let is_missed = |known: &GuestRecord| known.guest.day(on).and_then(|day| day.is_here) == Some(false);
    let lines = |who: &dyn Fn(&GuestRecord) -> bool, numbered: bool| -> Vec<DayLine> {
        let placed = snapshot.order(on, who).into_iter();
        placed
            .map(|placed| {
                let number = if numbered { placed.place.to_string() } else { String::new() };
                line(snapshot, &snapshot.guests[placed.of], number, on, user)
            })
            .collect()
    };
    let expected = lines(&|known| known.is_counted_on(on), true);
    DayPage {
        page,
        event_id: snapshot.event.id,
        day: Reader::App.day(on),
        is_today: snapshot.event.today(now) == on,
        may_tick,
        here: expected.iter().filter(|line| line.is_here == Some(true)).count(),
        awaited: expected.iter().filter(|line| line.is_here.is_none()).count(),
        expected,
        missed: lines(&is_missed, false),
        others: lines(&|known| !known.is_counted_on(on) && !is_missed(known), false),
        wrong,
        form,
        mistakes,
    }
}

async fn show_page(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let page = routes::page(&app, &visit, &snapshot.event, "Guest check-in").await?;
    let may_tick = visit.user.role != Role::Reader;
    let may = (may_tick, &visit.user);
    show(&day_page(page, &snapshot, may, now, (0, DeputyForm::default(), Mistakes::default())))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct HereForm {
    /// `yes`, `no` or `unknown`.
    here: String,
}

async fn here(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, guest)): Path<(i64, i64)>,
    Form(form): Form<HereForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let known = snapshot.find(guest).ok_or(Error::NotFound)?;
    let is_here = match form.here.as_str() {
        "yes" => Some(true),
        "no" => Some(false),
        "unknown" => None,
        _ => return Err(Error::BadRequest("Use one of the buttons on the page. Nothing was changed.".to_owned())),
    };
    let on = snapshot.event.details.burn_on;
    let day = known.guest.day(on).cloned().unwrap_or_default();
    let new = Day { on: Some(on), is_here, ..day };
    let (actor, guest, name) = (visit.user.actor(), known.guest.clone(), known.person.details.name.clone());
    let said = match is_here {
        Some(true) => format!("{} is here.", known.called()),
        Some(false) => format!("{} isn't here. The order and the program are updated.", known.called()),
        None => format!("Undone. {} isn't checked in.", known.called()),
    };
    let write =
        app.db.write(move |tx| Box::pin(async move { store::tick(tx, actor, (&guest, &name), &new, now).await }));
    write.await?;
    Ok(flash::redirect(&format!("/events/{id}/burn-day/guests"), &said))
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct DeputyForm {
    deputy: String,
    deputy_title: String,
    deputy_phone: String,
    deputy_mail: String,
}

async fn deputy(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, guest)): Path<(i64, i64)>,
    Form(form): Form<DeputyForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let known = snapshot.find(guest).ok_or(Error::NotFound)?;
    let mut mistakes = Mistakes::default();
    let name = form::name(&form.deputy, 100).map_err(|told| {
        if form.deputy.trim().is_empty() { "Enter the name of the person who came.".to_owned() } else { told }
    });
    let name = mistakes.note("deputy", name);
    let title = mistakes.note("deputy_title", form::optional_line(&form.deputy_title, 100));
    let reached = asks::deputy_reached(&form.deputy_phone, &form.deputy_mail, &mut mistakes);
    let (Some(name), Some(title), Some((phone, mail))) = (name, title, reached) else {
        let page = routes::page(&app, &visit, &snapshot.event, "Guest check-in").await?;
        let page = day_page(page, &snapshot, (true, &visit.user), now, (guest, form, mistakes));
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let actor = visit.user.actor();
    let known = known.clone();
    let at = Reader::App.time(snapshot.event.details.zone.wall(now).time());
    let (on, who) = (snapshot.event.details.burn_on, known.called().to_owned());
    let said = format!("{name} is here on behalf of {who}.");
    let day = Day {
        on: Some(on),
        is_here: Some(true),
        deputy: name,
        deputy_title: title,
        deputy_phone: phone,
        deputy_mail: mail,
    };
    let (event, key) = (snapshot.event, app.link_key.clone());
    let write = app
        .db
        .write(move |tx| Box::pin(async move { stand_in(tx, actor, (&event, &key), (&known, &day), &at, now).await }));
    write.await?;
    let place = order_now(&app, id, guest).await?.map(|place| format!(" Introduce them {}.", ordinal(place)));
    Ok(flash::redirect(&format!("/events/{id}/burn-day/guests"), &format!("{said}{}", place.unwrap_or_default())))
}

async fn order_now(app: &App, id: i64, guest: i64) -> Result<Option<usize>> {
    let snapshot = routes::snapshot(app, id).await?;
    let on = snapshot.event.details.burn_on;
    let order = snapshot.order(on, |known| known.is_counted_on(on));
    Ok(order.iter().find(|placed| snapshot.guests[placed.of].guest.id == guest).map(|placed| placed.place))
}

/// A deputy is here. That is an answer like any other if the guest was asked about this
/// day, and is saved with the guest in any case.
async fn stand_in(
    tx: &mut Tx,
    actor: Actor,
    (event, key): (&Event, &LinkKey),
    (known, day): (&GuestRecord, &Day),
    at: &str,
    now: OffsetDateTime,
) -> Result<()> {
    if let Some(request) = &known.request
        && let Some(ask) = request.live().find(|ask| Some(ask.for_on) == day.on)
    {
        let given = Given {
            deputy: day.deputy.clone(),
            deputy_title: day.deputy_title.clone(),
            deputy_phone: day.deputy_phone.clone(),
            deputy_mail: day.deputy_mail.clone(),
            wants_to_speak: ask.stands().and_then(|answer| answer.wants_to_speak),
            evidence: format!("said on arrival at {at}"),
            ..Given::of(Said::Deputy, Way::InPerson)
        };
        asks::answer(tx, actor, (event, request), (ask.id, &given), Confirm::Not, now).await?;
        asks::tell_deputies(tx, event, request, key, now).await?;
    }
    store::tick(tx, actor, (&known.guest, &known.person.details.name), day, now).await
}
