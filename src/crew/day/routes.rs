//! The check-in table on a phone: who is on site and who is still expected.

use super::{Attendance, store};
use crate::accounts::{Private, Role, SignedIn, User, Visit, Worker};
use crate::crew::editor::{CrewEditor, event, keeps_crew};
use crate::crew::home::{page, snapshot};
use crate::crew::snapshot::{CrewSnapshot, ReplyStatus};
use crate::error::{Error, Result};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use std::collections::BTreeSet;
use time::{Date, Duration, OffsetDateTime, Time};

/// At most this many people are listed by a search.
const MOST_PEOPLE: i64 = 20;

pub(in crate::crew) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/crew", get(show_page))
        .route("/events/{id}/burn-day/crew/{person}/in", post(come_in))
        .route("/events/{id}/burn-day/crew/{person}/out", post(go_out))
        .route("/events/{id}/crew/times/{attendance}", get(ask_times).merge(post(put_right)))
}

#[derive(Template)]
#[template(path = "crew/day.html")]
struct DayPage {
    page: Page,
    event_id: i64,
    day: String,
    is_today: bool,
    here: Vec<Line>,
    awaited: Vec<Line>,
    gone: Vec<Line>,
    others: Vec<Line>,
    /// People who said yes, but not again in the last two days.
    not_sure: Vec<(String, String)>,
    words: String,
    found: Vec<(i64, String, String)>,
    may_sign: bool,
    keeps: bool,
}

struct Line {
    person_id: i64,
    name: String,
    posts: String,
    phone: String,
    /// Their times.
    says: String,
    /// Times that can be edited.
    times: Vec<(i64, String)>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct LookFor {
    words: String,
}

async fn show_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(wanted): Query<LookFor>,
) -> Result<Response> {
    let snapshot = snapshot(&app, id).await?;
    let found = if wanted.words.trim().is_empty() {
        Vec::new()
    } else {
        people::look_up(&mut *app.db.read().acquire().await?, &wanted.words, 0, MOST_PEOPLE).await?.0
    };
    let page = page(&app, &visit, &snapshot.event, "Crew check-in").await?;
    show(&view(page, &visit, &snapshot, (wanted.words, &found), app.clock.now()))
}

fn view(
    page: Page,
    visit: &Visit,
    snapshot: &CrewSnapshot,
    (words, found): (String, &[Person]),
    now: OffsetDateTime,
) -> DayPage {
    let on = snapshot.event.details.burn_on;
    let line = |person: &&Person| line(snapshot, person, &visit.user);
    let is_in = |id: i64| snapshot.attendances.iter().any(|one| one.person_id == id && one.out_at.is_none());
    let was_in = |id: i64| snapshot.attendances.iter().any(|one| one.person_id == id);
    let mut all: Vec<&Person> = snapshot.people.values().collect();
    all.sort_by_cached_key(|person| person.listing());
    let coming: BTreeSet<i64> = snapshot.coming(on).iter().map(|person| person.id).collect();
    let pick = |wanted: &dyn Fn(i64) -> bool| all.iter().filter(|person| wanted(person.id)).map(line).collect();
    let assigned = |id: i64| snapshot.assigned.iter().any(|one| one.person_id == id);
    let unsure = all.iter().filter(|person| coming.contains(&person.id) && !snapshot.reconfirmed(person.id));
    let days = (on - snapshot.event.today(now)).whole_days();
    let choice = |person: &Person| (person.id, person.details.name.clone(), person.place());
    DayPage {
        page,
        event_id: snapshot.event.id,
        day: Reader::App.near_day(on, snapshot.event.today(now)),
        is_today: days == 0,
        here: pick(&is_in),
        awaited: pick(&|id| coming.contains(&id) && !was_in(id)),
        gone: pick(&|id| was_in(id) && !is_in(id)),
        others: pick(&|id| assigned(id) && !coming.contains(&id) && !was_in(id)),
        not_sure: unsure
            .filter(|person| (0..=2).contains(&days) && !was_in(person.id))
            .map(|person| (person.details.name.clone(), visit.user.shown(Private::Contact, &person.details.phone)))
            .collect(),
        words,
        found: found.iter().filter(|person| !is_in(person.id)).map(choice).collect(),
        may_sign: visit.user.role != Role::Reader,
        keeps: keeps_crew(&visit.user),
    }
}

fn line(snapshot: &CrewSnapshot, person: &Person, user: &User) -> Line {
    let zone = &snapshot.event.details.zone;
    let clock = |at: OffsetDateTime| Reader::App.time(zone.wall(at).time());
    let times: Vec<&Attendance> = snapshot.attendances.iter().filter(|one| one.person_id == person.id).collect();
    let says = |one: &&Attendance| match one.out_at {
        Some(out) => format!("{} to {}", clock(one.in_at), clock(out)),
        None => format!("signed in at {}", clock(one.in_at)),
    };
    let posts = snapshot.posts_of(person.id).into_iter();
    let on = snapshot.event.details.burn_on;
    let posts = posts.filter(|(one, _)| snapshot.status(one, on) != ReplyStatus::Declined);
    Line {
        person_id: person.id,
        name: person.details.name.clone(),
        posts: posts.map(|(_, post)| post.details.name.as_str()).collect::<Vec<_>>().join(", "),
        phone: user.shown(Private::Contact, &person.details.phone),
        says: times.iter().map(says).collect::<Vec<_>>().join(", "),
        times: times.iter().map(|one| (one.id, says(one))).collect(),
    }
}

/// Someone to sign in or out at an event.
async fn found(app: &App, event_id: i64, id: i64) -> Result<Person> {
    event(app, event_id).await?;
    people::find(&mut *app.db.read().acquire().await?, id).await?.ok_or(Error::NotFound)
}

async fn come_in(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, person)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let person = found(&app, id, person).await?;
    let (actor, name) = (visit.user.actor(), person.details.name.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move { store::come_in(tx, actor, (id, person.id, &person.details.name), now).await })
    });
    let said = if write.await? { format!("{name} is signed in.") } else { format!("{name} was already signed in.") };
    Ok(flash::redirect(&format!("/events/{id}/burn-day/crew"), &said))
}

async fn go_out(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, person)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let person = found(&app, id, person).await?;
    let (actor, name) = (visit.user.actor(), person.details.name.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move { store::go_out(tx, actor, (id, person.id, &person.details.name), now).await })
    });
    let said = if write.await? { format!("{name} is signed out.") } else { format!("{name} wasn't signed in.") };
    Ok(flash::redirect(&format!("/events/{id}/burn-day/crew"), &said))
}

#[derive(Template)]
#[template(path = "crew/times.html")]
struct TimesPage {
    page: Page,
    event_id: i64,
    id: i64,
    name: String,
    day: String,
    form: TimesForm,
    mistakes: Mistakes,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct TimesForm {
    came: String,
    /// Empty while they are here.
    left: String,
    reason: String,
    version: i64,
}

impl TimesForm {
    /// Times are on the day they came. A sign-out before the sign-in is on the next day.
    fn read(&self, old: &Attendance, snapshot: &CrewSnapshot, now: OffsetDateTime) -> Result<Attendance, Mistakes> {
        let zone = &snapshot.event.details.zone;
        let day = zone.wall(old.in_at).date();
        let mut mistakes = Mistakes::default();
        let came = mistakes.note("came", form::time_of_day(&self.came));
        let left = if self.left.trim().is_empty() { Ok(None) } else { form::time_of_day(&self.left).map(Some) };
        let left = mistakes.note("left", left);
        let reason = form::line(&self.reason, 200)
            .map_err(|_| "Say why you are changing the times, in 200 characters or less.".to_owned());
        let reason = mistakes.note("reason", reason);
        let at = |on: Date, at: Time| zone.instant(on, at);
        let in_at = came.and_then(|came| at(day, came));
        let out_at = match (came, left.flatten()) {
            (Some(came), Some(left)) if left < came => at(day + Duration::DAY, left),
            (_, Some(left)) => at(day, left),
            _ => None,
        };
        for (field, at) in [("came", in_at), ("left", out_at)] {
            if at.is_some_and(|at| at > now) {
                mistakes.add(field, "This time hasn't come yet. Enter the time it happened.");
            }
        }
        match (in_at, reason, mistakes.is_empty()) {
            (Some(in_at), Some(reason), true) => {
                Ok(Attendance { in_at, out_at, reason, version: self.version, ..old.clone() })
            }
            (None, _, true) => {
                mistakes.add("came", "There is no such time on that day, because clocks change. Enter another time.");
                Err(mistakes)
            }
            _ => Err(mistakes),
        }
    }
}

/// A time on site at this event.
async fn time(app: &App, event_id: i64, id: i64) -> Result<(CrewSnapshot, Attendance, String)> {
    let snapshot = snapshot(app, event_id).await?;
    let one = snapshot.attendances.iter().find(|one| one.id == id).cloned().ok_or(Error::NotFound)?;
    let name = snapshot
        .people
        .get(&one.person_id)
        .map_or("someone whose data was erased", |person| person.details.name.as_str());
    let name = name.to_owned();
    Ok((snapshot, one, name))
}

async fn times_page(
    app: &App,
    visit: &Visit,
    (snapshot, one, name): (&CrewSnapshot, &Attendance, String),
    (form, mistakes): (TimesForm, Mistakes),
) -> Result<TimesPage> {
    let day = Reader::App.day(snapshot.event.details.zone.wall(one.in_at).date());
    let page = page(app, visit, &snapshot.event, "Edit times").await?;
    let page = page.under(format!("/events/{}/burn-day/crew", snapshot.event.id), "Crew check-in");
    Ok(TimesPage { page, event_id: snapshot.event.id, id: one.id, name, day, form, mistakes })
}

async fn ask_times(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, attendance)): Path<(i64, i64)>,
) -> Result<Response> {
    let (snapshot, one, name) = time(&app, id, attendance).await?;
    let clock = |at: OffsetDateTime| words::iso_time(snapshot.event.details.zone.wall(at).time());
    let form = TimesForm {
        came: clock(one.in_at),
        left: one.out_at.map(clock).unwrap_or_default(),
        reason: one.reason.clone(),
        version: one.version,
    };
    show(&times_page(&app, &visit, (&snapshot, &one, name), (form, Mistakes::default())).await?)
}

async fn put_right(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, attendance)): Path<(i64, i64)>,
    Form(form): Form<TimesForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, old, name) = time(&app, id, attendance).await?;
    let new = match form.read(&old, &snapshot, now) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = times_page(&app, &visit, (&snapshot, &old, name), (form, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, zone) = (visit.user.actor(), snapshot.event.details.zone.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let seen = Attendance { version: new.version, ..old };
            store::correct(tx, actor, (&seen, &name, &zone), &new, now).await
        })
    });
    if write.await? {
        return Ok(flash::redirect(&format!("/events/{id}/burn-day/crew"), "Times saved."));
    }
    let (snapshot, one, name) = time(&app, id, attendance).await?;
    let mut mistakes = Mistakes::default();
    let changed = "Someone changed these times in the meantime, or they would be signed in twice. Check the times, then \
                   save again.";
    mistakes.add("came", changed);
    let page =
        times_page(&app, &visit, (&snapshot, &one, name), (TimesForm { version: one.version, ..form }, mistakes));
    show_as(StatusCode::CONFLICT, &page.await?)
}
