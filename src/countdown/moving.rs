//! Changing the date of an event: the rain date with one button, other days that are
//! possible, and one confirmation after a preview.

use super::changing::{self, Decided};
use super::items::Moves;
use super::planning::{EarliestSays, earliest_says};
use super::preview::Preview;
use super::{Outlook, explain};
use crate::accounts::{Officer, Visit};
use crate::calc::calendar::Basis;
use crate::error::{Error, Result};
use crate::events::{self, Details, Event, Refused};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
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
use serde::Deserialize;
use time::{Date, Duration, OffsetDateTime, Weekday};

/// The most days that are suggested, and how far ahead of the first possible one they are.
const MOST_SUGGESTED: usize = 4;
const LOOK_AHEAD: i64 = 12 * 7;

pub(super) fn router() -> Router<App> {
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

/// A day that the plan can meet.
struct Suggestion {
    on: String,
    day: String,
    slack: String,
    /// The address of its preview.
    href: String,
}

#[derive(Debug, Deserialize, Default, Clone)]
#[serde(default)]
pub(super) struct MoveForm {
    pub burn_on: String,
    pub rain_on: String,
    pub version: i64,
    /// IDs of done tasks to do again.
    pub redo: Vec<i64>,
    /// "yes" once the page had the checkboxes for them.
    pub chosen: String,
    /// Are people who were asked about the old day asked again?
    pub again: String,
    /// "yes" to use a weekday that isn't one of the event's.
    pub anyway: String,
}

async fn move_page(
    State(app): State<App>,
    Extension(moves): Extension<Moves>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(form): Query<MoveForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Change the date");
    let outlook = Outlook::load(&app, &event, now).await?;
    if form.burn_on.is_empty() {
        return show(&view(page, &event, &outlook, form));
    }
    match read_move(&form, &event, event.today(now)) {
        Ok(to) => {
            let preview = Preview::load(&app, &moves, (&event, &outlook), (&to, &form), now).await?;
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
    let (holds, held_by) = (explain::holds(outlook, found.held_by), explain::holder(outlook, found.held_by));
    MovePage {
        page,
        event_id: event.id,
        version: event.version,
        burn_day: Reader::App.day(details.burn_on),
        rain_day: details.rain_on.map(|on| Reader::App.day(on)).unwrap_or_default(),
        rain_on: details.rain_on.filter(|on| *on >= outlook.today).map(words::iso).unwrap_or_default(),
        odd_weekday: odd_weekday(&form, event).map(|day| day.to_string()).unwrap_or_default(),
        earliest: earliest_says(&found, title, outlook.today, (condition, &holds, &held_by)),
        suggestions: suggestions(event, outlook, found.on),
        form,
        mistakes: Mistakes::default(),
        preview: None,
        is_stale: false,
    }
}

/// The next days on the event's weekdays that the plan can meet, even if everything that
/// depends on the date has to be done again. Each has a rain date as far behind it as now, if that
/// is on one of those weekdays, too.
fn suggestions(event: &Event, outlook: &Outlook, first: Date) -> Vec<Suggestion> {
    let details = &event.details;
    let apart = details.rain_on.map(|rain_on| rain_on - details.burn_on);
    let is_other = |on: &Date| *on != details.burn_on && Some(*on) != details.rain_on;
    let days = (0..LOOK_AHEAD).filter_map(|ahead| first.checked_add(Duration::days(ahead)));
    let allowed = days.filter(|on| details.weekdays.contains(on.weekday())).filter(is_other);
    let suggestion = |on: Date| {
        let dates = (details.burn_on, on);
        let slack = u32::try_from(outlook.plan.moved(&outlook.calendar, outlook.today, dates, &[]).spare).ok()?;
        let rain_on = apart.and_then(|apart| on.checked_add(apart)).filter(|on| is_usual_rain_date(event, *on));
        let rain_on = rain_on.map(words::iso).unwrap_or_default();
        let on_iso = words::iso(on);
        Some(Suggestion {
            day: Reader::App.near_day(on, outlook.today),
            slack: format!("{} of slack", words::days(slack, Basis::Calendar)),
            href: format!("/events/{}/move?burn_on={on_iso}&rain_on={rain_on}", event.id),
            on: on_iso,
        })
    };
    allowed.filter_map(suggestion).take(MOST_SUGGESTED).collect()
}

fn read_move(form: &MoveForm, event: &Event, today: Date) -> Result<Details, Mistakes> {
    let mut mistakes = Mistakes::default();
    let burn_on = mistakes.note("burn_on", form::day(&form.burn_on));
    let rain_on = if form.rain_on.trim().is_empty() {
        Some(None)
    } else {
        mistakes.note("rain_on", form::day(&form.rain_on).map(Some))
    };
    if burn_on == Some(event.details.burn_on) {
        mistakes.add("burn_on", "This is already burn day. Choose another day.");
    }
    if burn_on.is_some_and(|on| on < today) {
        mistakes.add("burn_on", "This day has passed. Choose a later one.");
    }
    if let (Some(burn_on), Some(Some(rain_on))) = (burn_on, rain_on)
        && rain_on <= burn_on
    {
        mistakes.add("rain_on", "The rain date must be after burn day. Choose a later day.");
    }
    if form.anyway != "yes" {
        let odd = |on: Date| {
            let usual = event.details.weekdays;
            format!(
                "{} isn't a weekday that works for this burn ({usual}). Choose another day, or check the box to use it \
                 anyway.",
                on.weekday()
            )
        };
        if let Some(on) = burn_on.filter(|on| !is_usual_burn_day(event, *on)) {
            mistakes.add("burn_on", odd(on));
        }
        if let Some(on) = rain_on.flatten().filter(|on| !is_usual_rain_date(event, *on)) {
            mistakes.add("rain_on", odd(on));
        }
    }
    match (burn_on, rain_on) {
        (Some(burn_on), Some(rain_on)) if mistakes.is_empty() => {
            Ok(Details { burn_on, rain_on, ..event.details.clone() })
        }
        _ => Err(mistakes),
    }
}

/// The rain date was agreed on, whatever its weekday.
fn is_usual_burn_day(event: &Event, on: Date) -> bool {
    event.details.weekdays.contains(on.weekday()) || event.details.rain_on == Some(on)
}

/// So was its weekday, for another one.
fn is_usual_rain_date(event: &Event, on: Date) -> bool {
    let is_like_now = event.details.rain_on.is_some_and(|now| now.weekday() == on.weekday());
    event.details.weekdays.contains(on.weekday()) || is_like_now
}

/// The weekday to ask about, if a date that was typed is on one that isn't the event's.
fn odd_weekday(form: &MoveForm, event: &Event) -> Option<Weekday> {
    let burn_on = form::day(&form.burn_on).ok().filter(|on| !is_usual_burn_day(event, *on));
    let rain_on = form::day(&form.rain_on).ok().filter(|on| !is_usual_rain_date(event, *on));
    burn_on.or(rain_on).map(Date::weekday)
}

async fn move_burn_day(
    State(app): State<App>,
    Extension(moves): Extension<Moves>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<MoveForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    if form.version != event.version {
        return stale(&app, &visit, id, form, now).await;
    }
    let to = match read_move(&form, &event, event.today(now)) {
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
    match changing::carry_out(&app, &moves, &visit, &event, decided, now).await? {
        Ok(count) => {
            let said = format!("Burn day is now {day}. {}", changing::told(count));
            Ok(flash::redirect(&event.href(), said.trim_end()))
        }
        Err(Refused::Stale) => stale(&app, &visit, id, form, now).await,
        Err(Refused::Gone) => Err(Error::NotFound),
    }
}

/// Someone else changed the event in the meantime, so the preview no longer holds. What was
/// chosen is still there, to preview again.
async fn stale(app: &App, visit: &Visit, id: i64, form: MoveForm, now: OffsetDateTime) -> Result<Response> {
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let page = events::page(app, visit, Some(&event), now).await?.titled("Change the date");
    let outlook = Outlook::load(app, &event, now).await?;
    let page = MovePage { is_stale: true, ..view(page, &event, &outlook, form) };
    show_as(StatusCode::CONFLICT, &page)
}
