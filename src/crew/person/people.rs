//! Everyone in the crew, with their positions and qualifications.

use super::skill_line::SkillLine;
use crate::accounts::SignedIn;
use crate::crew::page::{page, snapshot};
use crate::error::Result;
use crate::people::Person;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew/people", get(index))
}

#[derive(Template)]
#[template(path = "crew/people.html")]
struct Index {
    page: Page,
    event_id: i64,
    lines: Vec<IndexLine>,
}

struct IndexLine {
    id: i64,
    name: String,
    posts: String,
    skills: Vec<SkillLine>,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = snapshot(&app, id).await?;
    let today = snapshot.event.today(app.clock.now());
    let mut people: Vec<&Person> = snapshot.people.values().collect();
    people.sort_by_cached_key(|person| person.listing());
    let line = |person: &&Person| {
        let posts: Vec<&str> =
            snapshot.posts_of(person.id).iter().map(|(_, post)| post.details.name.as_str()).collect();
        IndexLine {
            id: person.id,
            name: person.details.listed(),
            posts: posts.join(", "),
            skills: snapshot.held(person.id).map(|held| SkillLine::of(&snapshot, held, &visit.user, today)).collect(),
        }
    };
    show(&Index {
        page: page(&app, &visit, &snapshot.event, "Crew members").await?,
        event_id: id,
        lines: people.iter().map(line).collect(),
    })
}
