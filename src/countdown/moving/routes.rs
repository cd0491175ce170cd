//! The page that changes the date, and confirming it.

use super::form::MoveForm;
use super::preview::{Change, Preview};
use super::suggestions::{Suggestion, suggestions};
use crate::accounts::{Officer, Visit};
use crate::countdown::Outlook;
use crate::countdown::changing::{Decided, carry_out, told};
use crate::countdown::earliest::{EarliestSays, Holding, earliest_says};
use crate::countdown::moves::Moves;
use crate::error::{Error, Result};
use crate::events::{self, Event, Refused};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use time::OffsetDateTime;

pub(in crate::countdown) fn router() -> Router<App> {
    Router::new().route("/events/{id}/move", get(move_page).merge(post(move_burn_day)))
}

#[derive(Template)]
#[template(path = "countdown/move.html")]
struct MovePage {
    page: Page,
    event_id: i64,
    version: i64,
    burn_day: String,
    rain_day: String,
    /// The rain date in ISO form; empty without one, or once it has passed.
    rain_on: String,
    form: MoveForm,
    mistakes: Mistakes,
    /// "Tuesday", if a date is on a weekday that isn't one of the event's.
    odd_weekday: String,
    earliest: EarliestSays,
    suggestions: Vec<Suggestion>,
    preview: Option<Preview>,
    /// Someone else changed the event before this was confirmed.
    is_stale: bool,
}

async fn move_page(
    State(app): State<App>,
    Extension(moves): Extension<Moves>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(form): Query<MoveForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlook) = Outlook::find(&app, id, now).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Change the date");
    if form.burn_on.is_empty() {
        return show(&view(page, &event, &outlook, form));
    }
    match form.read(&event, event.today(now)) {
        Ok(to) => {
            let change = Change { event: &event, outlook: &outlook, to: &to, form: &form };
            let preview = Preview::load(&app, &moves, change, now).await?;
            show(&MovePage { preview: Some(preview), ..view(page, &event, &outlook, form) })
        }
        Err(mistakes) => {
            show_as(StatusCode::UNPROCESSABLE_ENTITY, &MovePage { mistakes, ..view(page, &event, &outlook, form) })
        }
    }
}

/// The page before anything is previewed.
fn view(page: Page, event: &Event, outlook: &Outlook, form: MoveForm) -> MovePage {
    let details = &event.details;
    let found = outlook.plan.earliest(&outlook.calendar, outlook.today, &details.weekdays.days());
    let title = |task: usize| outlook.tasks[task].details.title.as_str();
    let condition = "With the plan as it is today";
    let holding = Holding::of(outlook, found.held_by);
    MovePage {
        page,
        event_id: event.id,
        version: event.version,
        burn_day: Reader::App.day(details.burn_on),
        rain_day: details.rain_on.map(|on| Reader::App.day(on)).unwrap_or_default(),
        rain_on: details.rain_on.filter(|on| *on >= outlook.today).map(words::iso).unwrap_or_default(),
        odd_weekday: form.odd_weekday(event).map(|day| day.to_string()).unwrap_or_default(),
        earliest: earliest_says(condition, &found, title, holding, outlook.today),
        suggestions: suggestions(event, outlook, found.on),
        form,
        mistakes: Mistakes::default(),
        preview: None,
        is_stale: false,
    }
}

async fn move_burn_day(
    State(app): State<App>,
    Extension(moves): Extension<Moves>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<MoveForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = events::found(app.db.read(), id).await?;
    if form.version != event.version {
        return stale(&app, &visit, id, form, now).await;
    }
    let to = match form.read(&event, event.today(now)) {
        Ok(to) => to,
        Err(mistakes) => {
            let page = events::page(&app, &visit, Some(&event), now).await?.titled("Change the date");
            let outlook = Outlook::load(&app, &event, now).await?;
            let page = MovePage { mistakes, ..view(page, &event, &outlook, form) };
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let day = Reader::App.day(to.burn_on);
    let redo = form.redo.clone();
    let decided = Decided { details: to, again: form.again == "yes", moves_times: false, redo };
    match carry_out(&app, &moves, &visit, &event, decided, now).await? {
        Ok(count) => {
            let said = format!("Burn day is now {day}. {}", told(count));
            Ok(flash::redirect(&event.href(), said.trim_end()))
        }
        Err(Refused::Stale) => stale(&app, &visit, id, form, now).await,
        Err(Refused::Gone) => Err(Error::NotFound),
    }
}

/// Someone else changed the event in the meantime, so the preview no longer holds. What was
/// chosen is still there, to preview again.
async fn stale(app: &App, visit: &Visit, id: i64, form: MoveForm, now: OffsetDateTime) -> Result<Response> {
    let (event, outlook) = Outlook::find(app, id, now).await?;
    let page = events::page(app, visit, Some(&event), now).await?.titled("Change the date");
    let page = MovePage { is_stale: true, ..view(page, &event, &outlook, form) };
    show_as(StatusCode::CONFLICT, &page)
}
