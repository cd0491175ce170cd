//! The crew on one page: positions, how many are filled, and who answered what for which date.

use super::book::{Assigned, Book, Seat, Seats, Standing};
use super::keeper::{event, keeps_crew};
use super::posts::Post;
use crate::accounts::{SignedIn, Visit};
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
use time::{Date, OffsetDateTime};

/// At most this many positions are named in the sentence at the top.
const MOST_NAMED: usize = 4;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew", get(index))
}

/// The crew of an event.
pub(super) async fn book(app: &App, id: i64) -> Result<Book> {
    let event = event(app, id).await?;
    Book::load(&mut *app.db.read().acquire().await?, &event).await
}

/// A page of the Crew place.
pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?;
    Ok(page.titled(title).at("Crew"))
}

#[derive(Template)]
#[template(path = "crew/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    dates: Vec<DateLine>,
    posts: Vec<PostLine>,
    keeps: bool,
    /// People assigned but not asked about a date.
    to_ask: usize,
    format: &'static str,
    stewards: u16,
    audience: String,
}

/// A date at the head of a column.
pub(super) struct DateLine {
    pub label: &'static str,
    pub day: String,
    pub iso: String,
    pub seats: Seats,
    /// What is open, in a sentence.
    pub missing: String,
}

struct PostLine {
    id: i64,
    name: String,
    hours: String,
    spot: String,
    is_critical: bool,
    seats: Vec<Seats>,
    people: Vec<PersonLine>,
}

/// A person in a position.
pub(super) struct PersonLine {
    pub assignment_id: i64,
    pub person_id: i64,
    pub name: String,
    pub is_standby: bool,
    /// The rule that was overridden, why, and by whom.
    pub all_the_same: String,
    pub cells: Vec<Cell>,
}

/// A person's status for a date.
pub(super) struct Cell {
    pub day: String,
    pub iso: String,
    pub state: &'static str,
    pub sign: &'static str,
    pub says: String,
    /// What they answered and when, and to which question if it named no position.
    pub said: String,
    /// Rules that are broken, each with its source.
    pub against: Vec<(String, String)>,
    /// The kinds of those rules.
    pub why: String,
}

impl PersonLine {
    pub fn of(book: &Book, one: &Assigned<'_>, now: OffsetDateTime) -> Self {
        let today = book.event.today(now);
        let cell = |on: Date| {
            let standing = book.standing(one.assignment, on);
            let broken = book.broken(one.assignment, on);
            let is_short = !broken.is_empty() && standing != Standing::Declined;
            Cell {
                day: Reader::App.near_day(on, today),
                iso: words::iso(on),
                state: standing.as_str(),
                sign: if is_short { "late" } else { standing.sign() },
                says: standing.says(today),
                said: said(book, one, on, today),
                why: broken.iter().map(|rule| rule.why.as_str()).collect::<Vec<_>>().join(" "),
                against: broken.into_iter().map(|rule| (rule.words, rule.basis)).collect(),
            }
        };
        let assignment = one.assignment;
        let all_the_same = assignment.all_the_same.as_ref().map(|decided| {
            let day = Reader::App.near_day(book.event.details.zone.wall(decided.at).date(), today);
            format!("Overridden: {} {} ({}, {day})", decided.rules.join(" "), decided.reason, decided.by)
        });
        Self {
            assignment_id: assignment.id,
            person_id: one.person.id,
            name: one.person.details.name.clone(),
            is_standby: assignment.is_standby,
            all_the_same: all_the_same.unwrap_or_default(),
            cells: book.dates().map(cell).collect(),
        }
    }
}

/// "Answered yes by phone, Wed, Nov 25, to “Can you help at the gate?”", or when they
/// were asked that.
fn said(book: &Book, one: &Assigned<'_>, on: Date, today: Date) -> String {
    let Some(request) = book.question(one.assignment, on) else { return String::new() };
    let day = |at: OffsetDateTime| Reader::App.near_day(book.event.details.zone.wall(at).date(), today);
    let general = book.is_general(request);
    match request.stands_for(on) {
        Some(answer) if general => {
            let (said, way) = (answer.says(), answer.way.how());
            format!("Answered {said} {way}, {}, to “{}”", day(answer.at), request.question)
        }
        Some(answer) => format!("Answered {} {}, {}", answer.says(), answer.way.how(), day(answer.at)),
        None if general => format!("Asked {}: “{}”", day(request.asked_at), request.question),
        None => String::new(),
    }
}

impl DateLine {
    pub fn of(book: &Book, on: Date, today: Date) -> Self {
        let is_rain = on != book.event.details.burn_on;
        Self {
            label: if is_rain { "Rain date" } else { "Burn day" },
            day: Reader::App.near_day(on, today),
            iso: words::iso(on),
            seats: book.all_seats(on),
            missing: missing(book, on, is_rain),
        }
    }
}

/// "Burn day has 3 of 30 positions open: Pump operators (1), Parking (2). 4 more aren't
/// confirmed yet."
pub(super) fn missing(book: &Book, on: Date, is_rain: bool) -> String {
    let date = if is_rain { "The rain date" } else { "Burn day" };
    let all = book.all_seats(on);
    let places = all.filled + all.waiting + all.open;
    if all.open == 0 {
        return match all.waiting {
            0 => format!("{date} has all {} filled.", words::count(places, "position", "positions")),
            1 => format!("{date} has no open positions. 1 of {places} isn't confirmed yet."),
            many => format!("{date} has no open positions. {many} of {places} aren't confirmed yet."),
        };
    }
    let mut short: Vec<(&Post, usize)> = book.posts.iter().map(|post| (post, book.seats(post, on).open)).collect();
    short.retain(|(_, open)| *open > 0);
    short.sort_by_key(|(post, _)| !post.details.is_critical);
    let names = short.iter().take(MOST_NAMED).map(|(post, open)| format!("{} ({open})", post.details.name));
    let mut names: Vec<String> = names.collect();
    if short.len() > MOST_NAMED {
        names.push(format!("and {} more", short.len() - MOST_NAMED));
    }
    let waits = match all.waiting {
        0 => String::new(),
        1 => " 1 more isn't confirmed yet.".to_owned(),
        many => format!(" {many} more aren't confirmed yet."),
    };
    let places = words::count(places, "position", "positions");
    format!("{date} has {} of {places} open: {}.{waits}", all.open, names.join(", "))
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let book = book(&app, id).await?;
    let (details, today) = (&book.event.details, book.event.today(now));
    let post = |post: &Post| PostLine {
        id: post.id,
        name: post.details.name.clone(),
        hours: post.details.hours.says(),
        spot: post.details.spot.clone(),
        is_critical: post.details.is_critical,
        seats: book.dates().map(|on| book.seats(post, on)).collect(),
        people: book.at(post.id, details.burn_on).iter().map(|one| PersonLine::of(&book, one, now)).collect(),
    };
    show(&Index {
        page: page(&app, &visit, &book.event, "Crew").await?,
        event_id: id,
        dates: book.dates().map(|on| DateLine::of(&book, on, today)).collect(),
        posts: book.posts.iter().map(post).collect(),
        keeps: keeps_crew(&visit.user),
        to_ask: book.to_ask().len(),
        format: details.format.as_str(),
        stewards: super::posts::template::stewards(details.audience),
        audience: details.audience.map(|people| words::count(people as usize, "person", "people")).unwrap_or_default(),
    })
}

impl Book {
    /// The people who are assigned but not asked about every date.
    pub(super) fn to_ask(&self) -> Vec<i64> {
        let open = |one: &&super::Assignment| {
            self.people.contains_key(&one.person_id)
                && self.dates().any(|on| matches!(self.standing(one, on), Standing::NotAsked | Standing::OtherDate(_)))
                && self.seat(one, self.event.details.burn_on) != Seat::Filled
        };
        let mut people: Vec<i64> = self.assigned.iter().filter(open).map(|one| one.person_id).collect();
        people.sort_unstable();
        people.dedup();
        people
    }
}
