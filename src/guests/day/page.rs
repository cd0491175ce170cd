//! The page for checking guests in.

use super::deputy_form::DeputyForm;
use crate::accounts::{Private, Role, SignedIn, User};
use crate::error::Result;
use crate::guests::record::GuestRecord;
use crate::guests::snapshot::GuestSnapshot;
use crate::guests::{called, page};
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/guests", get(show_page))
}

/// A form for a deputy that had mistakes; without a guest if none had.
#[derive(Default)]
pub(super) struct Refused {
    pub guest: i64,
    pub form: DeputyForm,
    pub mistakes: Mistakes,
}

#[derive(Template)]
#[template(path = "guests/day.html")]
pub(super) struct DayPage {
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
        name: called::headed(known),
        place: called::subtitle(snapshot, known),
        said: known.person.details.said.clone(),
        deputy: called::deputy(known, on),
        reached: user.shown(Private::Contact, &known.deputy_reached(on)),
        is_here: known.guest.day(on).and_then(|day| day.is_here),
        status: known.status(on).says(),
    }
}

pub(super) fn day_page(
    page: Page,
    snapshot: &GuestSnapshot,
    user: &User,
    now: OffsetDateTime,
    Refused { guest, form, mistakes }: Refused,
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
        may_tick: user.role != Role::Reader,
        here: expected.iter().filter(|line| line.is_here == Some(true)).count(),
        awaited: expected.iter().filter(|line| line.is_here.is_none()).count(),
        expected,
        missed: lines(&is_missed, false),
        others: lines(&|known| !known.is_counted_on(on) && !is_missed(known), false),
        wrong: guest,
        form,
        mistakes,
    }
}

async fn show_page(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let page = page::page(&app, &visit, &snapshot.event, "Guest check-in").await?;
    show(&day_page(page, &snapshot, &visit.user, now, Refused::default()))
}
