//! The talk on a page, and the starter.

use super::drawing::Chart;
use super::mends::Mend;
use super::mends::mends;
use super::page::{event, href, page};
use super::parts::ShownPart;
use super::snapshot::TalkSnapshot;
use super::summary::{Grade, grades, smog, verdict};
use super::timeline::{Timed, timeline};
use super::{MOST_LINES, MessagesChanged, lesson, lines, objectives, pace, parts, practice, print, says, store};
use crate::accounts::{SignedIn, Worker};
use crate::error::Result;
use crate::fire;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::{flash, words};
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};

/// The pages of the talk.
pub fn router(changed: MessagesChanged) -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/talk", get(index))
        .route("/events/{id}/burn-day/talk/start", post(start))
        .merge(pace::router())
        .merge(lines::router())
        .merge(lesson::router())
        .merge(objectives::router())
        .merge(practice::router())
        .merge(print::router())
        .layer(Extension(changed))
}

#[derive(Template)]
#[template(path = "talk/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    may: bool,
    decides: &'static str,
    /// Nothing is written yet.
    is_bare: bool,
    is_full: bool,
    /// "ready", "waiting", or "missing".
    clock: &'static str,
    plan: String,
    /// How many fires the plan has: "2,000".
    count: String,
    verdict: Vec<String>,
    chart: Option<Chart>,
    mends: Vec<Mend>,
    summary: String,
    parts: Vec<ShownPart>,
    branches: Vec<ShownPart>,
    timeline: Vec<Timed>,
    grades: Vec<Grade>,
    smog: String,
    pace: String,
    practiced: String,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = TalkSnapshot::load(&app, id).await?;
    let page = page(&app, &visit, &snapshot.event, "The talk").await?;
    show(&Index::of(&snapshot, page, visit.user.works()))
}

impl Index {
    fn of(snapshot: &TalkSnapshot, page: Page, may: bool) -> Self {
        let mends = mends(snapshot);
        let of = |grade| mends.iter().filter(|mend| mend.grade == grade).count();
        let (parts, branches) = parts::parts(snapshot);
        let fires = snapshot.fires();
        let speed = &snapshot.settings.pace;
        Self {
            page,
            event_id: snapshot.event.id,
            may,
            decides: fire::DECIDES,
            is_bare: snapshot.lines.is_empty(),
            is_full: snapshot.lines.len() >= MOST_LINES,
            clock: says::has_clock(&snapshot.clock),
            plan: fires.map(|fires| fires.plan.clone()).unwrap_or_default(),
            count: fires.map(|fires| words::grouped(fires.times.len())).unwrap_or_default(),
            verdict: verdict(snapshot),
            chart: Chart::of(snapshot),
            summary: words::to_fix(of("wrong"), of("look")),
            mends: if snapshot.lines.is_empty() { Vec::new() } else { mends },
            parts,
            branches,
            timeline: timeline(snapshot),
            grades: grades(snapshot),
            smog: smog(snapshot),
            pace: format!(
                "{} words a minute to children, {} to adults, and {} % for pauses and echo; lines for all at the slower pace.",
                speed.children, speed.adults, speed.pauses
            ),
            practiced: match snapshot.practices.len() {
                0 => "Not practiced yet".to_owned(),
                count => format!("Practiced {}", words::count(count, "time", "times")),
            },
        }
    }
}

async fn start(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    let (now, actor, event) = (app.clock.now(), visit.user.actor(), event(&app, id).await?);
    let format = event.details.format;
    let started =
        app.db.write(move |tx| Box::pin(async move { store::start(tx, actor, id, format, now).await })).await?;
    let said = if started {
        "The starter talk is here. Change it until it is yours."
    } else {
        "There is a talk already. Nothing was changed."
    };
    Ok(flash::redirect(&href(id), said))
}
