//! The crew on one page: what is wrong on each date, and then one line a position.

use super::editor::keeps_crew;
use super::page::{page, snapshot};
use super::posts::Post;
use super::problems::{DateProblems, Problem, Trouble};
use super::proposal;
use super::reply_status::Seats;
use super::snapshot::{Assigned, CrewSnapshot};
use crate::accounts::SignedIn;
use crate::error::Result;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use std::collections::BTreeSet;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew", get(index))
}

#[derive(Template)]
#[template(path = "crew/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    /// There are no positions yet.
    is_bare: bool,
    dates: Vec<DateProblems>,
    /// Positions with a problem, the worst first.
    problems: Vec<PostLine>,
    filled: Vec<PostLine>,
    /// How many people those need.
    filled_places: usize,
    keeps: bool,
    /// People assigned but not asked about a date.
    to_ask: usize,
    format: &'static str,
    stewards: u16,
    audience: String,
}

/// A position in one line.
struct PostLine {
    id: i64,
    name: String,
    hours: String,
    needed: usize,
    is_critical: bool,
    problems: Vec<Problem>,
    /// For each date, the day and how many are filled.
    dates: Vec<(String, Seats)>,
    /// Says on which dates no one could take over. Empty if someone could.
    lacks: String,
    /// Those dates, as a mark.
    lacks_on: String,
    people: Vec<InPost>,
}

/// Someone in it.
struct InPost {
    person_id: i64,
    name: String,
    is_standby: bool,
    days: Vec<DayNote>,
}

/// What is to be said about them for a date.
struct DayNote {
    iso: String,
    state: &'static str,
    /// The kinds of rules that are broken.
    why: String,
    /// Empty if all is well, or if it was said for the other date.
    says: String,
}

impl PostLine {
    /// Its line, given the positions without a backup on each date.
    fn of(snapshot: &CrewSnapshot, post: &Post, alone: &[(Date, BTreeSet<i64>)], today: Date) -> Self {
        let lacks: Vec<Date> = alone.iter().filter(|(_, posts)| posts.contains(&post.id)).map(|(on, _)| *on).collect();
        let days = lacks.iter().map(|on| Reader::App.near_day(*on, today)).collect::<Vec<_>>().join(" and ");
        let people = snapshot.at(post.id, snapshot.event.details.burn_on);
        Self {
            id: post.id,
            name: post.details.name.clone(),
            hours: post.details.hours.says(),
            needed: post.details.needed.into(),
            is_critical: post.details.is_critical,
            problems: Problem::of(snapshot, post, lacks.is_empty()),
            dates: snapshot.dates().map(|on| (Reader::App.near_day(on, today), snapshot.seats(post, on))).collect(),
            lacks: match lacks.len() {
                0 => String::new(),
                all if all == alone.len() => "No backup".to_owned(),
                _ => format!("No backup on {days}"),
            },
            lacks_on: lacks.into_iter().map(words::iso).collect::<Vec<_>>().join(" "),
            people: people.iter().map(|one| InPost::of(snapshot, one)).collect(),
        }
    }

    /// The kinds of problems, as a mark.
    fn marks(&self) -> String {
        self.problems.iter().map(|problem| problem.as_str()).collect::<Vec<_>>().join(" ")
    }

    fn is_open(&self) -> bool {
        self.problems.contains(&Problem::Open)
    }
}

impl InPost {
    fn of(snapshot: &CrewSnapshot, one: &Assigned<'_>) -> Self {
        let troubles: Vec<(Date, Option<Trouble>)> =
            snapshot.dates().map(|on| (on, Trouble::of(snapshot, one.assignment, on))).collect();
        let is_same = troubles.windows(2).all(|two| two[0].1 == two[1].1);
        let note = |(place, (on, trouble)): (usize, &(Date, Option<Trouble>))| {
            let broken = snapshot.broken(one.assignment, *on);
            let says = |trouble: &Trouble| match broken.first() {
                Some(rule) if *trouble == Trouble::Rule => rule.why.says(),
                _ => trouble.says(),
            };
            let date = if *on == snapshot.event.details.burn_on { "burn day" } else { "rain date" };
            DayNote {
                iso: words::iso(*on),
                state: snapshot.status(one.assignment, *on).as_str(),
                why: broken.iter().map(|rule| rule.why.as_str()).collect::<Vec<_>>().join(" "),
                says: match trouble {
                    Some(trouble) if is_same && place == 0 => says(trouble).to_owned(),
                    Some(trouble) if !is_same => format!("{date}: {}", says(trouble)),
                    _ => String::new(),
                },
            }
        };
        Self {
            person_id: one.person.id,
            name: one.person.details.name.clone(),
            is_standby: one.assignment.is_standby,
            days: troubles.iter().enumerate().map(note).collect(),
        }
    }
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = snapshot(&app, id).await?;
    let (details, today) = (&snapshot.event.details, snapshot.event.today(app.clock.now()));
    let alone: Vec<(Date, BTreeSet<i64>)> =
        snapshot.dates().map(|on| (on, proposal::without_backup(&snapshot, on))).collect();
    let lines = snapshot.posts.iter().map(|post| PostLine::of(&snapshot, post, &alone, today));
    let (mut problems, filled): (Vec<_>, Vec<_>) = lines.partition(|line| !line.problems.is_empty());
    problems.sort_by_key(|line| (line.problems.first().copied(), !line.is_critical));
    show(&Index {
        page: page(&app, &visit, &snapshot.event, "Crew").await?,
        event_id: id,
        is_bare: snapshot.posts.is_empty(),
        dates: snapshot.dates().map(|on| DateProblems::of(&snapshot, on, today)).collect(),
        problems,
        filled_places: filled.iter().map(|line| line.needed).sum(),
        filled,
        keeps: keeps_crew(&visit.user),
        to_ask: snapshot.to_ask().len(),
        format: details.format.as_str(),
        stewards: super::posts::template::stewards(details.audience),
        audience: details.audience.map(|people| words::count(people as usize, "person", "people")).unwrap_or_default(),
    })
}
