//! All releases of an event, and starting one.

use super::first_text::Start;
use super::kind::{PAPER_KINDS, PaperKind};
use super::line::PaperLine;
use super::snapshot::known;
use super::store;
use crate::accounts::{SignedIn, Visit};
use crate::error::Result;
use crate::events::{self, Event};
use crate::press::editor::{PressEditor, event};
use crate::press::facts;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/releases", get(index).merge(post(begin)))
}

#[derive(Template)]
#[template(path = "press/papers.html")]
struct Index {
    page: Page,
    event_id: i64,
    keeps: bool,
    lines: Vec<PaperLine>,
    /// Each with its label.
    kinds: Vec<(&'static str, &'static str)>,
    mistakes: Mistakes,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    show(&index_view(&app, &visit, &event(&app, id).await?, Mistakes::default()).await?)
}

async fn index_view(app: &App, visit: &Visit, event: &Event, mistakes: Mistakes) -> Result<Index> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled("Releases");
    let facts = known(app, event).await?;
    let papers = store::of_event(&mut *app.db.read().acquire().await?, event.id).await?;
    let lines = papers.iter().map(|paper| PaperLine::of(paper, event, &facts)).collect();
    let keeps = visit.user.keeps_people();
    let kinds = PAPER_KINDS.into_iter().zip(PaperKind::ALL.map(PaperKind::label)).collect();
    Ok(Index { page, event_id: event.id, keeps, lines, kinds, mistakes })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct BeginForm {
    kind: String,
}

async fn begin(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<BeginForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let mut mistakes = Mistakes::default();
    let Some(kind) = mistakes.note("kind", form.kind.parse::<PaperKind>()) else {
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &index_view(&app, &visit, &event, mistakes).await?);
    };
    let facts = facts::of_event(&mut *app.db.read().acquire().await?, id).await?;
    let start = Start { home: &visit.user.department.home, today: event.today(now) };
    let (headline, text) = kind.first_text(&facts, &start);
    let by = visit.user.account_id;
    let begin = app
        .db
        .write(move |tx| Box::pin(async move { store::new_paper(tx, by, id, kind, (&headline, &text), now).await }));
    let paper = begin.await?;
    Ok(flash::redirect(
        &format!("/events/{id}/press/releases/{paper}"),
        "Your draft is ready. It starts with the press facts.",
    ))
}
