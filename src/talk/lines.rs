//! The lines of the talk: added, changed, moved, removed.

use super::line_form::{FIELDS, LineForm};
use super::page::{Version, event, href, page, under};
use super::store::Past;
use super::{MOST_LINES, Objective, TalkLine, says, store};
use crate::accounts::{Visit, Worker};
use crate::calc::talk::{Audience, Part};
use crate::error::{Error, Result};
use crate::events::Event;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Both, Form, Mistakes, in_pieces};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/talk/lines/new", get(new).merge(post(add)))
        .route("/events/{id}/burn-day/talk/lines/{line}", get(edit).merge(post(save)))
        .route("/events/{id}/burn-day/talk/lines/{line}/move", post(shift))
        .route("/events/{id}/burn-day/talk/lines/{line}/remove", post(remove))
}

#[derive(Template)]
#[template(path = "talk/line.html")]
struct LinePage {
    page: Page,
    event_id: i64,
    /// 0 for a new one.
    id: i64,
    version: i64,
    form: LineForm,
    mistakes: Mistakes,
    /// Each part's key and name.
    parts: Vec<(&'static str, &'static str)>,
    branches: Vec<(&'static str, &'static str)>,
    objectives: Vec<(String, String)>,
}

async fn line_page(
    app: &App,
    visit: &Visit,
    event: &Event,
    (id, version): (i64, i64),
    (form, mistakes): (LineForm, Mistakes),
) -> Result<LinePage> {
    let format = event.details.format;
    let objectives = store::objectives(&mut *app.db.read().acquire().await?, event.id).await?;
    let named = |part: &Part| (part.as_str(), says::name(*part, format));
    let mut parts: Vec<_> = Part::sequence(format == crate::events::Format::BothAtOnce).iter().map(named).collect();
    // A line of the other format keeps its part until someone moves it.
    let own = form.part.parse::<Part>().ok().filter(|part| !part.is_branch());
    parts.extend(
        own.iter().map(named).filter(|(key, _)| !parts.iter().any(|(known, _)| known == key)).collect::<Vec<_>>(),
    );
    Ok(LinePage {
        page: under(app, visit, event, if id == 0 { "Add a line" } else { "Change a line" }).await?,
        event_id: event.id,
        id,
        version,
        parts,
        branches: Part::BRANCHES.iter().map(named).collect(),
        objectives: objectives.into_iter().map(|one| (one.id.to_string(), one.text)).collect(),
        form,
        mistakes,
    })
}

#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Where {
    part: String,
}

async fn new(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Query(Where { part }): Query<Where>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let part = part.parse().unwrap_or(Part::Before);
    let form = LineForm { part: part.to_string(), audience: Audience::All.to_string(), ..LineForm::default() };
    show(&line_page(&app, &visit, &event, (0, 0), (form, Mistakes::default())).await?)
}

async fn objectives(app: &App, id: i64) -> Result<Vec<Objective>> {
    store::objectives(&mut *app.db.read().acquire().await?, id).await
}

async fn find(app: &App, id: i64, line: i64) -> Result<TalkLine> {
    let all = store::lines(&mut *app.db.read().acquire().await?, id).await?;
    all.into_iter().find(|one| one.id == line).ok_or(Error::NotFound)
}

fn saved(event_id: i64, line: i64, said: &str) -> Response {
    flash::redirect(&format!("{}#line-{line}", href(event_id)), said)
}

async fn add(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Form(typed): Form<LineForm>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let new = match typed.read((0, 0), &objectives(&app, id).await?) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = line_page(&app, &visit, &event, (0, 0), (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if store::lines(tx, id).await?.len() >= MOST_LINES {
                return Ok(None);
            }
            store::add_line(tx, actor, id, &new, now).await.map(Some)
        })
    });
    if let Some(line) = write.await? {
        return Ok(saved(id, line, "Line added."));
    }
    let mut mistakes = Mistakes::default();
    mistakes.add("words", format!("The talk has {MOST_LINES} lines already. Remove one first."));
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &line_page(&app, &visit, &event, (0, 0), (typed, mistakes)).await?)
}

async fn edit(State(app): State<App>, Worker(visit): Worker, Path((id, line)): Path<(i64, i64)>) -> Result<Response> {
    let event = event(&app, id).await?;
    let line = find(&app, id, line).await?;
    let form = (LineForm::of(&line), Mistakes::default());
    show(&line_page(&app, &visit, &event, (line.id, line.version), form).await?)
}

async fn save(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, line)): Path<(i64, i64)>,
    Both(typed, Version { version }): Both<LineForm, Version>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    find(&app, id, line).await?;
    let new = match typed.read((line, version), &objectives(&app, id).await?) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = line_page(&app, &visit, &event, (line, version), (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| Box::pin(async move { store::put_line(tx, actor, id, &new, now).await }));
    if write.await? {
        return Ok(saved(id, line, "Line saved."));
    }
    let theirs = find(&app, id, line).await?;
    let mut conflict = Conflict::new("Line of the talk", format!("{}/lines/{line}", href(id)), theirs.version);
    let shown = LineForm::of(&theirs);
    for (name, label, of) in FIELDS {
        conflict.field(name, label, of(&shown), of(&typed));
    }
    conflict::show(page(&app, &visit, &event, "The talk").await?, &conflict)
}

/// Which line it is moved past: the one above or below it on the page.
#[derive(Debug, Deserialize)]
struct Shift {
    above: Option<i64>,
    below: Option<i64>,
}

async fn shift(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, line)): Path<(i64, i64)>,
    Form(Shift { above, below }): Form<Shift>,
) -> Result<Response> {
    find(&app, id, line).await?;
    let past = above.map(Past::Above).or(below.map(Past::Below)).ok_or_else(in_pieces)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write =
        app.db.write(move |tx| Box::pin(async move { store::move_line(tx, actor, id, (line, past), now).await }));
    let said = if write.await? {
        "Line moved."
    } else {
        "Nothing was moved: someone just moved one of these lines. Look, then try again."
    };
    Ok(saved(id, line, said))
}

async fn remove(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, line)): Path<(i64, i64)>,
    Form(Version { version }): Form<Version>,
) -> Result<Response> {
    event(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write =
        app.db.write(move |tx| Box::pin(async move { store::remove_line(tx, actor, id, (line, version), now).await }));
    let said = if write.await? {
        "Line removed. History has its words."
    } else {
        "Nothing was removed: someone just changed this line. Look, then try again."
    };
    Ok(flash::redirect(&href(id), said))
}
