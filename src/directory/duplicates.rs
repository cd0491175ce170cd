//! Pairs of people who may be the same person, and marking two as different people.

use super::found::found;
use super::{doubles, store};
use crate::accounts::{PeopleKeeper, PeopleReader};
use crate::error::{Error, Result};
use crate::events;
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{Page, show};
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use std::collections::HashMap;

pub(super) fn router() -> Router<App> {
    Router::new().route(PATH, get(duplicates)).route("/people/duplicates/two", post(say_two))
}

const PATH: &str = "/people/duplicates";
/// How many pairs the page shows, the likeliest first.
const MOST: usize = 50;

#[derive(Template)]
#[template(path = "directory/duplicates.html")]
struct Duplicates {
    page: Page,
    keeps: bool,
    pairs: Vec<PairLine>,
    count: usize,
}

struct PairLine {
    sides: [Side; 2],
    reasons: String,
    /// The same for a `data-` mark.
    marks: String,
}

/// One of the two, in a few words.
struct Side {
    id: i64,
    name: String,
    place: String,
    reached: String,
}

impl Side {
    fn of(person: &Person) -> Self {
        let details = &person.details;
        let ways = [details.mail.clone(), words::phone(&details.phone)];
        let reached: Vec<String> = ways.into_iter().filter(|way| !way.is_empty()).collect();
        Self { id: person.id, name: details.name.clone(), place: person.place(), reached: reached.join(" · ") }
    }
}

async fn duplicates(State(app): State<App>, PeopleReader(visit): PeopleReader) -> Result<Response> {
    let page = events::page(&app, &visit, None, app.clock.now()).await?.titled("Possible duplicates");
    let mut db = app.db.read().acquire().await?;
    let (people, two) = (people::everyone(&mut db).await?, store::not_doubles(&mut db).await?);
    drop(db);
    let looking = app.heavy.run(move |stop| {
        let pairs = doubles::pairs(&people, &two, || stop.is_set())?;
        let by_id: HashMap<i64, &Person> = people.iter().map(|person| (person.id, person)).collect();
        let line = |pair: &doubles::Pair| PairLine {
            sides: [pair.one, pair.other].map(|id| Side::of(by_id[&id])),
            reasons: pair.reasons.iter().map(|reason| reason.says()).collect::<Vec<_>>().join(", "),
            marks: pair.reasons.iter().map(|reason| reason.as_str()).collect::<Vec<_>>().join(" "),
        };
        Some((pairs.iter().take(MOST).map(line).collect(), pairs.len()))
    });
    let (pairs, count) = looking.await?;
    show(&Duplicates { page, keeps: visit.user.keeps_people(), pairs, count })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct TwoForm {
    one: i64,
    other: i64,
}

async fn say_two(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Form(form): Form<TwoForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (one, other) = (found(&app, form.one).await?, found(&app, form.other).await?);
    if one.id == other.id {
        return Err(Error::NotFound);
    }
    let said = format!("Saved: {} and {} are two different people.", one.details.name, other.details.name);
    let (actor, account) = (visit.user.actor(), visit.user.account_id);
    let write =
        app.db.write(move |tx| Box::pin(async move { store::say_two(tx, actor, account, &one, &other, now).await }));
    write.await?;
    Ok(flash::redirect(PATH, &said))
}
