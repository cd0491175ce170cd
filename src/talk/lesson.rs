//! The lesson plan: what people should learn, by which message, and how it is measured.

use super::routes::{Version, event, href, page, under};
use super::snapshot::TalkSnapshot;
use super::{MessagesChanged, OBJECTIVES, Objective, says, store};
use crate::accounts::{SignedIn, Visit, Worker};
use crate::calc::talk::Part;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Both, Form, Mistakes, in_pieces};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/talk/lesson", get(index))
        .route("/events/{id}/burn-day/talk/lesson/new", get(new).merge(post(add)))
        .route("/events/{id}/burn-day/talk/lesson/{objective}", get(edit).merge(post(save)))
        .route("/events/{id}/burn-day/talk/lesson/{objective}/remove", post(remove))
}

fn lesson(event_id: i64) -> String {
    format!("{}/lesson", href(event_id))
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
    use crate::calc::talk::Phase;
    let objective = &snapshot.objectives[at];
    let lines = |phase| {
        let of = |(number, timed): (usize, &super::snapshot::TimedLine)| {
            let is_spoken = Part::sequence(snapshot.is_both()).contains(&timed.line.part);
            let is_wanted = timed.line.objective == Some(objective.id) && timed.line.part.phase() == Some(phase);
            (is_spoken && is_wanted).then(|| (number + 1).to_string())
        };
        let numbers: Vec<String> = snapshot.lines.iter().enumerate().filter_map(of).collect();
        crate::web::words::and(&numbers)
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

/// An objective as it is typed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Default)]
#[serde(default)]
struct ObjectiveForm {
    text: String,
    message: String,
    source: String,
    edition: String,
    item: String,
    is_for_press: String,
}

type Field = (&'static str, &'static str, fn(&ObjectiveForm) -> &String);

const FIELDS: [Field; 6] = [
    ("text", "Objective", |form| &form.text),
    ("message", "Message", |form| &form.message),
    ("source", "Source", |form| &form.source),
    ("edition", "Edition", |form| &form.edition),
    ("item", "Survey question", |form| &form.item),
    ("is_for_press", "For the press", |form| &form.is_for_press),
];

impl ObjectiveForm {
    fn of(objective: &Objective) -> Self {
        Self {
            text: objective.text.clone(),
            message: objective.message.clone(),
            source: objective.source.clone(),
            edition: objective.edition.clone(),
            item: objective.item.clone(),
            is_for_press: if objective.is_for_press { "yes".to_owned() } else { String::new() },
        }
    }

    fn read(&self, id: i64, version: i64) -> Result<Objective, Mistakes> {
        let mut wrong = Mistakes::default();
        let new = Objective {
            id,
            text: wrong.note("text", form::line(&self.text, 200)).unwrap_or_default(),
            message: wrong.note("message", form::line(&self.message, 200)).unwrap_or_default(),
            source: wrong.note("source", form::optional_line(&self.source, 200)).unwrap_or_default(),
            edition: wrong.note("edition", form::optional_line(&self.edition, 60)).unwrap_or_default(),
            item: wrong.note("item", form::optional_line(&self.item, 300)).unwrap_or_default(),
            is_for_press: !self.is_for_press.is_empty(),
            version,
        };
        if new.is_for_press && wrong.is_empty() {
            const MISSING: &str = "The press gets only messages with a source and its edition.";
            for (field, text) in [("source", &new.source), ("edition", &new.edition)] {
                if text.is_empty() {
                    wrong.add(field, MISSING);
                }
            }
        }
        if wrong.is_empty() { Ok(new) } else { Err(wrong) }
    }
}

#[derive(Template)]
#[template(path = "talk/objective.html")]
struct ObjectivePage {
    page: Page,
    event_id: i64,
    id: i64,
    version: i64,
    form: ObjectiveForm,
    mistakes: Mistakes,
}

async fn objective_page(
    app: &App,
    visit: &Visit,
    event: &Event,
    (id, version): (i64, i64),
    (form, mistakes): (ObjectiveForm, Mistakes),
) -> Result<ObjectivePage> {
    let title = if id == 0 { "Add an objective" } else { "Change an objective" };
    let page = page(app, visit, event, title).await?.under(lesson(event.id), "Lesson plan");
    Ok(ObjectivePage { page, event_id: event.id, id, version, form, mistakes })
}

/// What the press prints is changed by those who keep the press's facts.
fn may_change(visit: &Visit, is_for_press: bool) -> Result<()> {
    if !is_for_press || visit.user.keeps_people() {
        return Ok(());
    }
    Err(Error::Forbidden(
        "Only the education officer or the information officer can change a message that the press may have. Ask one of \
         them, or go back.",
    ))
}

async fn all(app: &App, id: i64) -> Result<Vec<Objective>> {
    store::objectives(&mut *app.db.read().acquire().await?, id).await
}

async fn find(app: &App, id: i64, objective: i64) -> Result<Objective> {
    all(app, id).await?.into_iter().find(|one| one.id == objective).ok_or(Error::NotFound)
}

async fn new(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let form = (ObjectiveForm::default(), Mistakes::default());
    show(&objective_page(&app, &visit, &event, (0, 0), form).await?)
}

async fn add(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Extension(changed): Extension<MessagesChanged>,
    Form(typed): Form<ObjectiveForm>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let new = match typed.read(0, 0) {
        Ok(new) => {
            may_change(&visit, new.is_for_press)?;
            new
        }
        Err(mistakes) => {
            let page = objective_page(&app, &visit, &event, (0, 0), (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if store::objectives(tx, id).await?.len() >= *OBJECTIVES.end() {
                return Ok(false);
            }
            store::add_objective(tx, actor, id, &new, now).await?;
            changed(tx, id, now).await?;
            Ok(true)
        })
    });
    if !write.await? {
        let mut mistakes = Mistakes::default();
        mistakes.add("text", format!("There are {} objectives already. Remove or change one.", OBJECTIVES.end()));
        let page = objective_page(&app, &visit, &event, (0, 0), (typed, mistakes)).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    Ok(flash::redirect(&lesson(id), "Objective added. Choose it in the lines that teach it."))
}

async fn edit(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, objective)): Path<(i64, i64)>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let known = find(&app, id, objective).await?;
    let form = (ObjectiveForm::of(&known), Mistakes::default());
    show(&objective_page(&app, &visit, &event, (known.id, known.version), form).await?)
}

async fn save(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, objective)): Path<(i64, i64)>,
    Extension(changed): Extension<MessagesChanged>,
    Both(typed, Version { version }): Both<ObjectiveForm, Version>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    let old = find(&app, id, objective).await?;
    let new = match typed.read(objective, version) {
        Ok(new) => {
            may_change(&visit, old.is_for_press || new.is_for_press)?;
            new
        }
        Err(mistakes) => {
            let page = objective_page(&app, &visit, &event, (objective, version), (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let is_saved = store::put_objective(tx, actor, id, &new, now).await?;
            changed(tx, id, now).await?;
            Ok(is_saved)
        })
    });
    if write.await? {
        return Ok(flash::redirect(&lesson(id), "Objective saved."));
    }
    let theirs = find(&app, id, objective).await?;
    let mut conflict = Conflict::new("Objective", format!("{}/{objective}", lesson(id)), theirs.version);
    let shown = ObjectiveForm::of(&theirs);
    for (name, label, of) in FIELDS {
        conflict.field(name, label, of(&shown), of(&typed));
    }
    conflict::show(page(&app, &visit, &event, "Lesson plan").await?, &conflict)
}

async fn remove(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, objective)): Path<(i64, i64)>,
    Extension(changed): Extension<MessagesChanged>,
    Form(Version { version }): Form<Version>,
) -> Result<Response> {
    event(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    let is_for_press = all(&app, id).await?.iter().any(|one| one.id == objective && one.is_for_press);
    may_change(&visit, is_for_press)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let is_removed = store::remove_objective(tx, actor, id, (objective, version), now).await?;
            changed(tx, id, now).await?;
            Ok(is_removed)
        })
    });
    let said = if write.await? {
        "Objective removed. Its lines are still in the talk."
    } else {
        "Nothing was removed: someone just changed this objective. Look, then try again."
    };
    Ok(flash::redirect(&lesson(id), said))
}
