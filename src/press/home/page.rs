//! The front page of Press: what is due, logging a contact, outlets, releases and press
//! tasks.

use super::advice::advice;
use super::conflicts::{ConflictLine, conflicts};
use super::follow_ups::{DueLine, due};
use super::lines::{self, ListLine};
use super::said_yes::unlisted;
use super::split::Split;
use super::steps::{self, StepLine};
use crate::accounts::{Private, SignedIn, Visit};
use crate::asks::Unlisted;
use crate::closed_days;
use crate::countdown::Outlook;
use crate::error::Result;
use crate::events::{self, Event};
use crate::people::{self, Name};
use crate::press::editor::event;
use crate::press::log::{Choices, LogForm};
use crate::press::papers::{self, PaperLine};
use crate::press::snapshot::PressSnapshot;
use crate::press::timeline::Schedule;
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press", get(index))
}

#[derive(Template)]
#[template(path = "press/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    keeps: bool,
    due: Vec<DueLine>,
    lines: Split<ListLine>,
    outlets_known: usize,
    papers: Split<PaperLine>,
    steps: Split<StepLine>,
    conflicts: Vec<ConflictLine>,
    /// The subject, and the advice.
    advice: Vec<(&'static str, String)>,
    form: LogForm,
    mistakes: Mistakes,
    choices: Choices,
    action: String,
    /// Who said they will cover it and has no outlet, with the number of the outlet they
    /// seem to work for.
    unlisted: Vec<(Unlisted, i64)>,
    outlets: Vec<Name>,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    show(&view(&app, &visit, &event, app.clock.now()).await?)
}

async fn view(app: &App, visit: &Visit, event: &Event, now: OffsetDateTime) -> Result<Index> {
    let known = PressSnapshot::load(app, event).await?;
    let outlook = Outlook::load(app, event, now).await?;
    let calendar = closed_days::calendar(app).await?;
    let mut db = app.db.read().acquire().await?;
    let people = people::everyone(&mut db).await?;
    let written = papers::of_event(&mut db, event.id).await?;
    drop(db);
    let facts = papers::known(app, event).await?;
    let today = event.today(now);
    let to_come = steps::to_come(&outlook);
    let schedule = Schedule { calendar: &calendar, burn_on: event.details.burn_on, today };
    Ok(Index {
        page: events::page(app, visit, Some(event), now).await?.titled("Press"),
        event_id: event.id,
        keeps: visit.user.keeps_people(),
        due: due(&known, today, &visit.user, &people),
        lines: lines::outlets(&known, event),
        outlets_known: known.outlets.len(),
        papers: lines::papers(&written, &known, event, &facts),
        steps: steps::steps(&outlook, today),
        conflicts: conflicts(&known, event, &to_come, &schedule),
        advice: advice(&to_come, event, today),
        form: LogForm::default(),
        mistakes: Mistakes::default(),
        choices: Choices::load(app, event.id).await?,
        action: format!("/events/{}/press/log", event.id),
        unlisted: said_yes(app, visit, event, &known, now).await?,
        outlets: known.outlet_names(),
    })
}

/// Who said they will cover it and has no outlet, for this user.
async fn said_yes(
    app: &App,
    visit: &Visit,
    event: &Event,
    known: &PressSnapshot,
    now: OffsetDateTime,
) -> Result<Vec<(Unlisted, i64)>> {
    let mut unlisted = unlisted(app, event, known, now).await?;
    for (one, _) in &mut unlisted {
        one.note = visit.user.shown(Private::Notes, &one.note);
    }
    Ok(unlisted)
}
