//! The check-in table on a phone: who is on site and who is still expected.

use super::{Attendance, store};
use crate::accounts::{Private, Role, SignedIn, User, Visit, Worker};
use crate::crew::editor::keeps_crew;
use crate::crew::page::{event, page, snapshot};
use crate::crew::reply_status::ReplyStatus;
use crate::crew::snapshot::CrewSnapshot;
use crate::error::{Error, Result};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use std::collections::BTreeSet;
use time::OffsetDateTime;

/// At most this many people are listed by a search.
const MOST_PEOPLE: i64 = 20;

pub(in crate::crew) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/crew", get(show_page))
        .route("/events/{id}/burn-day/crew/{person}/in", post(come_in))
        .route("/events/{id}/burn-day/crew/{person}/out", post(go_out))
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
        Box::pin(async move { store::come_in(tx, actor, id, (person.id, &person.details.name), now).await })
    });
    let said = if write.await? { "is signed in" } else { "was already signed in" };
    Ok(flash::redirect(&format!("/events/{id}/burn-day/crew"), &format!("{name} {said}.")))
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
        Box::pin(async move { store::go_out(tx, actor, id, (person.id, &person.details.name), now).await })
    });
    let said = if write.await? { "is signed out" } else { "wasn't signed in" };
    Ok(flash::redirect(&format!("/events/{id}/burn-day/crew"), &format!("{name} {said}.")))
}
