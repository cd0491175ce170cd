//! The lesson plan: what people should learn, by which message, and how it is measured.

use super::page::under;
use super::snapshot::{TalkSnapshot, TimedLine};
use super::{OBJECTIVES, says};
use crate::accounts::SignedIn;
use crate::calc::talk::{Part, Phase};
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

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/talk/lesson", get(index))
}

/// An objective in the lesson plan.
struct Shown {
    id: i64,
    text: String,
    message: String,
    cited: String,
    is_for_press: bool,
    item: String,
    /// Where it is taught: the numbers of its lines before, during, and after the fire.
    taught: Vec<(&'static str, String)>,
    is_covered: bool,
}

#[derive(Template)]
#[template(path = "talk/lesson.html")]
struct LessonPage {
    page: Page,
    event_id: i64,
    may: bool,
    event_line: String,
    printed: String,
    objectives: Vec<Shown>,
    is_full: bool,
    /// How many are wanted.
    range: String,
    /// Parts of the talk with their lengths.
    parts: Vec<(&'static str, usize, String)>,
    /// Lines that teach none of the objectives.
    others: usize,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = TalkSnapshot::load(&app, id).await?;
    let page = under(&app, &visit, &snapshot.event, "Lesson plan").await?;
    let spoken: Vec<_> = Part::sequence(snapshot.is_both()).to_vec();
    let parts = spoken.iter().map(|part| {
        let name = says::name(*part, snapshot.event.details.format);
        (name, snapshot.of_part(*part).count(), says::lasts(snapshot.seconds(*part)))
    });
    let others =
        snapshot.lines.iter().filter(|timed| spoken.contains(&timed.line.part) && timed.line.objective.is_none());
    show(&LessonPage {
        event_id: id,
        may: visit.user.works(),
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        printed: Reader::App.moment(snapshot.event.details.zone.wall(now)),
        is_full: snapshot.objectives.len() >= *OBJECTIVES.end(),
        range: format!("{} to {}", OBJECTIVES.start(), OBJECTIVES.end()),
        parts: parts.collect(),
        others: others.count(),
        objectives: (0..snapshot.objectives.len()).map(|at| shown(&snapshot, at)).collect(),
        page,
    })
}

fn shown(snapshot: &TalkSnapshot, at: usize) -> Shown {
    let objective = &snapshot.objectives[at];
    let lines = |phase| {
        let of = |(number, timed): (usize, &TimedLine)| {
            let is_spoken = Part::sequence(snapshot.is_both()).contains(&timed.line.part);
            let is_wanted = timed.line.objective == Some(objective.id) && timed.line.part.phase() == Some(phase);
            (is_spoken && is_wanted).then(|| (number + 1).to_string())
        };
        let numbers: Vec<String> = snapshot.lines.iter().enumerate().filter_map(of).collect();
        words::and(&numbers)
    };
    let phases = [("before", Phase::Before), ("during", Phase::During), ("after", Phase::After)];
    let taught = phases.into_iter().map(|(name, phase)| (name, lines(phase))).filter(|(_, lines)| !lines.is_empty());
    Shown {
        id: objective.id,
        text: objective.text.clone(),
        message: objective.message.clone(),
        cited: objective.cited(),
        is_for_press: objective.is_for_press,
        item: objective.item.clone(),
        taught: taught.collect(),
        is_covered: snapshot.coverage[at].is_covered(),
    }
}
