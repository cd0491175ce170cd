//! The page of a person.

use super::found::found;
use super::store;
use super::story::{self, StoryLine};
use super::warnings::Warnings;
use crate::accounts::{self, PeopleReader, Visit};
use crate::crew;
use crate::db::journal::{self, JournalEntry};
use crate::error::{Error, Result};
use crate::events;
use crate::mail::{Plain, plainly};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use crate::zone::Zone;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::{IntoResponse, Redirect, Response};

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/{id}", get(person))
}

#[derive(Template)]
#[template(path = "directory/person.html")]
struct PersonPage {
    page: Page,
    keeps: bool,
    person: Person,
    place: String,
    /// Why email to them came back.
    refused: Plain,
    warnings: Warnings,
    /// The role of their account; empty if they have none.
    account: String,
    story: Vec<StoryLine>,
    merges: Vec<MergeLine>,
    /// Their crew positions: the address, the event, the position.
    posts: Vec<(String, String, String)>,
    qualifications: Vec<String>,
    history: Vec<HistoryLine>,
}

/// A merge that can be undone.
struct MergeLine {
    entry: i64,
    name: String,
    when: String,
}

async fn person(State(app): State<App>, PeopleReader(visit): PeopleReader, Path(id): Path<i64>) -> Result<Response> {
    if let Some(now) = people::merged_into(app.db.read(), id).await? {
        return Ok(Redirect::to(&format!("/people/{now}")).into_response());
    }
    let person = found(&app, id).await?;
    show(&view(&app, &visit, person).await?)
}

async fn view(app: &App, visit: &Visit, person: Person) -> Result<PersonPage> {
    let id = person.id;
    let page = events::page(app, visit, None, app.clock.now()).await?.titled(&person.details.name);
    let zone = Zone::named(&visit.user.department.zone).ok_or(Error::NotFound)?;
    let mut history = journal::of(app.db.read(), "person", id).await?;
    let merges = merges(app, id, &history, &zone).await?;
    if let Some(import) = store::import_of(app.db.read(), id).await? {
        history.extend(journal::of(app.db.read(), "file", import).await?);
    }
    let (posts, qualifications) = in_crews(app, id).await?;
    Ok(PersonPage {
        page,
        keeps: visit.user.keeps_people(),
        place: person.place(),
        refused: plainly(&person.refused),
        warnings: Warnings::of(&person),
        account: account(app, id).await?,
        story: story::of(app, id, &zone).await?,
        merges,
        posts,
        qualifications,
        history: app.history.lines(history, &zone),
        person,
    })
}

/// The role of someone's account; empty if they have none.
async fn account(app: &App, id: i64) -> Result<String> {
    let account = accounts::of_person(&mut *app.db.read().acquire().await?, id).await?;
    let says = account.map(|account| {
        let disabled = if account.disabled { ", disabled" } else { "" };
        format!("{}{disabled}", account.role)
    });
    Ok(says.unwrap_or_default())
}

/// Someone's crew positions, and their qualifications.
async fn in_crews(app: &App, id: i64) -> Result<(Vec<(String, String, String)>, Vec<String>)> {
    let mut db = app.db.read().acquire().await?;
    let posts = crew::posts_of(&mut db, id).await?.into_iter();
    let posts = posts.map(|(event, name, post)| (format!("/events/{event}/crew/people/{id}"), name, post)).collect();
    Ok((posts, crew::qualifications_of(&mut db, id).await?))
}

/// The merges into this record that can be undone.
async fn merges(app: &App, id: i64, history: &[JournalEntry], zone: &Zone) -> Result<Vec<MergeLine>> {
    let today = zone.today(app.clock.now());
    let mut db = app.db.read().acquire().await?;
    let same = people::same_as(&mut db, id).await?;
    let mut lines = Vec::new();
    for history in history.iter().filter(|history| history.verb == "merged") {
        let Some((_, before)) = journal::kept(&mut db, history.id, "person", "merged").await? else { continue };
        let still = before["undo"]["gone"].as_i64().is_some_and(|gone| same.contains(&gone));
        let name = history.changes.iter().find(|change| change.field == "was also");
        let name = name.map(|change| change.after.clone()).unwrap_or_default();
        if still && !lines.iter().any(|line: &MergeLine| line.name == name) {
            lines.push(MergeLine {
                entry: history.id,
                name,
                when: Reader::App.near_moment(zone.wall(history.at), today),
            });
        }
    }
    Ok(lines)
}
