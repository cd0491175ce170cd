//! Everyone, searched by any word.

use super::warnings::Warnings;
use crate::accounts::PeopleReader;
use crate::error::Result;
use crate::events;
use crate::people::{self, Channel, Details, Person};
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::query::query_escape;
use crate::web::routes::get;
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/people", get(index))
}

/// How many people one page shows.
const MOST: usize = 100;
/// The longest search text.
const LONGEST: usize = 200;

#[derive(Template)]
#[template(path = "directory/index.html")]
struct Index {
    page: Page,
    keeps: bool,
    looked_for: String,
    found: String,
    /// How many people were found.
    count: usize,
    lines: Vec<Line>,
    /// The pages before and after; empty if there are none.
    before: String,
    further: String,
}

struct Line {
    id: i64,
    /// "Ortiz, Ray".
    name: String,
    place: String,
    reached: Vec<String>,
    warnings: Warnings,
}

impl Line {
    fn of(person: &Person) -> Self {
        Self {
            id: person.id,
            place: person.place(),
            reached: reached(&person.details),
            warnings: Warnings::of(person),
            name: person.details.listed(),
        }
    }
}

/// How to contact someone: their preferred way first, then the others.
fn reached(details: &Details) -> Vec<String> {
    let mut ways = vec![details.mail.clone(), words::phone(&details.phone)];
    match details.channel {
        Channel::Mail => {}
        Channel::Phone => ways.reverse(),
        Channel::Letter => ways.insert(0, "by letter".to_owned()),
        Channel::InPerson => ways.insert(0, "in person".to_owned()),
    }
    ways.retain(|way| !way.is_empty());
    ways
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct LookUp {
    q: String,
    page: usize,
}

async fn index(
    State(app): State<App>,
    PeopleReader(visit): PeopleReader,
    Query(query): Query<LookUp>,
) -> Result<Response> {
    let looked_for: String = query.q.chars().take(LONGEST).collect();
    let number = query.page.clamp(1, 10_000);
    let skip = i64::try_from((number - 1) * MOST)?;
    let page = events::page(&app, &visit, None, app.clock.now()).await?.titled("People");
    let mut db = app.db.read().acquire().await?;
    let (people, count) = people::look_up(&mut db, &looked_for, skip, i64::try_from(MOST)?).await?;
    let found = match (looked_for.trim(), count) {
        ("", 0) => "No one yet.".to_owned(),
        ("", count) => words::count(count, "person", "people"),
        (looked_for, 0) => format!("No one matches “{looked_for}”."),
        (looked_for, count) => format!("{} “{looked_for}”", words::count(count, "person matches", "people match")),
    };
    let at = |number: usize| format!("/people?q={}&page={number}", query_escape(&looked_for));
    let further = if number * MOST < count { at(number + 1) } else { String::new() };
    let before = if number > 1 { at(number - 1) } else { String::new() };
    let lines = people.iter().map(Line::of).collect();
    show(&Index { page, keeps: visit.user.keeps_people(), looked_for, found, count, lines, before, further })
}
