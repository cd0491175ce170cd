//! What there is to do and to take along on burn day.

use crate::accounts::SignedIn;
use crate::asks::{self, Kind, Request, Said};
use crate::crew;
use crate::error::Result;
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day", get(index))
}

#[derive(Template)]
#[template(path = "burn_day/index.html")]
struct Index {
    page: Page,
    day: String,
    first_fire: String,
    site: String,
    rain: String,
    /// Is it burn day?
    is_today: bool,
    check_ins: Vec<Line>,
    papers: Vec<Line>,
}

/// A page for the day, with what it holds.
struct Line {
    href: String,
    name: &'static str,
    /// A mark for scripts and tests.
    mark: &'static str,
    /// How many people are expected, where the page checks people in.
    expected: Option<usize>,
    says: String,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let event = events::found(app.db.read(), id).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Burn day");
    let mut db = app.db.read().acquire().await?;
    let requests = asks::of_event(&mut db, id).await?;
    let snapshot = crew::CrewSnapshot::load(&mut db, &event).await?;
    drop(db);
    let (on, today) = (event.details.burn_on, event.today(now));
    let seats = snapshot.all_seats(on);
    let sees_contacts = visit.user.sees_people();
    show(&Index {
        page,
        day: Reader::App.near_day(on, today),
        first_fire: Reader::App.time(event.details.burn_time),
        site: event.details.site.clone(),
        rain: event.details.rain_on.map(|rain| Reader::App.near_day(rain, today)).unwrap_or_default(),
        is_today: on == today,
        check_ins: check_ins(&event, &requests, &snapshot),
        papers: papers(&event, seats, sees_contacts),
    })
}

/// How many people of a kind said they would come on burn day.
fn coming(event: &Event, requests: &[Request], kind: Kind) -> usize {
    let comes = |request: &&Request| {
        let answer = request.stands_for(event.details.burn_on);
        request.kind == kind && answer.is_some_and(|answer| matches!(answer.said, Said::Yes | Said::Deputy))
    };
    requests.iter().filter(comes).count()
}

fn check_ins(event: &Event, requests: &[Request], snapshot: &crew::CrewSnapshot) -> Vec<Line> {
    let line = |page: &str, name, mark, number: usize, says: String| Line {
        href: format!("{}/burn-day/{page}", event.href()),
        name,
        mark,
        expected: Some(number),
        says,
    };
    let crew = snapshot.coming(event.details.burn_on).len();
    let here = snapshot.attendances.iter().filter(|one| one.out_at.is_none()).count();
    let (guests, media) = (coming(event, requests, Kind::Guest), coming(event, requests, Kind::Coverage));
    vec![
        line(
            "crew",
            "Crew check-in",
            "crew",
            crew,
            format!("{} confirmed, {here} on site now", words::count(crew, "person", "people")),
        ),
        line(
            "guests",
            "Guest check-in",
            "guests",
            guests,
            format!("{} coming", words::count(guests, "guest", "guests")),
        ),
        line(
            "press",
            "Media check-in",
            "press",
            media,
            format!("{} coming", words::count(media, "media contact", "media contacts")),
        ),
    ]
}

fn papers(event: &Event, seats: crew::Seats, sees_contacts: bool) -> Vec<Line> {
    let line = |page: &str, name, mark, says: &str| Line {
        href: format!("{}/burn-day/{page}", event.href()),
        name,
        mark,
        expected: None,
        says: says.to_owned(),
    };
    let filled = format!(
        "One page per person. {} of {} filled.",
        seats.filled,
        words::count(seats.filled + seats.waiting + seats.open, "position", "positions")
    );
    let mut all = vec![
        line("presenter", "Presenter's sheet", "presenter", "The program minute by minute, and the names in order."),
        line("cards", "Cue cards", "cards", "One card per guest, to read aloud."),
        line("call-sheets", "Call sheets", "call-sheets", &filled),
    ];
    if sees_contacts {
        all.push(line(
            "contacts",
            "Contact list",
            "contacts",
            "Who to call on burn day, on paper in case phones fail.",
        ));
    }
    all
}
