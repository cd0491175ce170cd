//! The crew on one page: posts, seats, who stands for which date.

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
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::{Date, OffsetDateTime};

/// So many names of posts stand in the sentence on top.
const MOST_NAMED: usize = 4;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew", get(index))
}

/// The crew of an event.
pub(super) async fn book(app: &App, id: i64) -> Result<Book> {
    let event = event(app, id).await?;
    Book::load(&mut *app.db.read().acquire().await?, &event).await
}

/// A page of this place.
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
    /// Assigned, and not asked about a date.
    to_ask: usize,
    format: &'static str,
    stewards: u16,
    audience: String,
}

/// A date over the columns.
pub(super) struct DateLine {
    pub label: &'static str,
    pub day: String,
    pub iso: String,
    pub seats: Seats,
    /// What is missing, in a sentence.
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

/// Somebody at a post.
pub(super) struct PersonLine {
    pub assignment_id: i64,
    pub person_id: i64,
    pub name: String,
    pub is_standby: bool,
    /// Against a rule, why and by whom.
    pub all_the_same: String,
    pub cells: Vec<Cell>,
}

/// How somebody stands for a date.
pub(super) struct Cell {
    pub day: String,
    pub iso: String,
    pub state: &'static str,
    pub sign: &'static str,
    pub says: String,
    /// What they said and when; to which question, if it named no post.
    pub said: String,
    /// Rules that are broken, each with its basis,
    pub against: Vec<(String, String)>,
    /// and of what kinds they are.
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
                day: words::near_day(on, today),
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
            let day = words::near_day(book.event.details.zone.wall(decided.at).date(), today);
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

/// "Said yes Wed 25 Nov (phone) to “Can you help at the gate?”", or since when
/// they are asked that.
fn said(book: &Book, one: &Assigned<'_>, on: Date, today: Date) -> String {
    let Some(request) = book.question(one.assignment, on) else { return String::new() };
    let day = |at: OffsetDateTime| words::near_day(book.event.details.zone.wall(at).date(), today);
    let general = book.is_general(request);
    match request.stands_for(on) {
        Some(answer) if general => {
            format!("Said {} {} ({}) to “{}”", answer.says(), day(answer.at), answer.way, request.question)
        }
        Some(answer) => format!("Said {} {} ({})", answer.says(), day(answer.at), answer.way),
        None if general => format!("Asked {}: “{}”", day(request.asked_at), request.question),
        None => String::new(),
    }
}

impl DateLine {
    pub fn of(book: &Book, on: Date, today: Date) -> Self {
        let is_rain = on != book.event.details.burn_on;
        Self {
            label: if is_rain { "Rain date" } else { "Burn day" },
            day: words::near_day(on, today),
            iso: words::iso(on),
            seats: book.all_seats(on),
            missing: missing(book, on, is_rain),
        }
    }
}

/// "For burn day, 3 of 30 seats are open: Pump operators (1), Parking (2). 4
/// wait for an answer."
pub(super) fn missing(book: &Book, on: Date, is_rain: bool) -> String {
    let date = if is_rain { "the rain date" } else { "burn day" };
    let all = book.all_seats(on);
    let waits = match all.waiting {
        0 => String::new(),
        1 => " One waits for an answer.".to_owned(),
        many => format!(" {many} wait for an answer."),
    };
    if all.open == 0 {
        return if all.waiting == 0 {
            format!("For {date} every seat is filled.")
        } else {
            format!("For {date} every seat has somebody.{waits}")
        };
    }
    let mut short: Vec<(&Post, usize)> = book.posts.iter().map(|post| (post, book.seats(post, on).open)).collect();
    short.retain(|(_, open)| *open > 0);
    short.sort_by_key(|(post, _)| !post.details.is_critical);
    let names = short.iter().take(MOST_NAMED).map(|(post, open)| format!("{} ({open})", post.details.name));
    let mut names: Vec<String> = names.collect();
    if short.len() > MOST_NAMED {
        names.push(format!("and {}", words::count(short.len() - MOST_NAMED, "more post", "more posts")));
    }
    let seats = all.filled + all.waiting + all.open;
    let is = if all.open == 1 { "is" } else { "are" };
    format!("For {date}, {} of {seats} seats {is} open: {}.{waits}", all.open, names.join(", "))
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
        audience: details.audience.map(|people| format!("{people} people")).unwrap_or_default(),
    })
}

impl Book {
    /// Those who are assigned and not asked about each date, by person.
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
