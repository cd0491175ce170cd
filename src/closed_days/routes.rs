//! The list of closed days, and changing it.

use super::store::{self, ClosedDay};
use crate::accounts::{Officer, SignedIn, Visit};
use crate::calc::calendar::federal_holidays;
use crate::error::Result;
use crate::events;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::{Date, Duration};

const PATH: &str = "/settings/closed-days";

/// The list of closed days, and adding to and removing from it.
pub fn router() -> Router<App> {
    Router::new().route(PATH, get(index).merge(post(add))).route("/settings/closed-days/remove", post(remove))
}

/// The most closed days that can be added at once.
const MOST_DAYS: i64 = 60;

#[derive(Template)]
#[template(path = "closed_days/index.html")]
struct Index {
    page: Page,
    days: Vec<Line>,
    holidays: Vec<Line>,
    form: DayForm,
    mistakes: Mistakes,
}

struct Line {
    iso: String,
    day: String,
    reason: String,
    /// A holiday observed on a different day than its own.
    is_shifted: bool,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct DayForm {
    on: String,
    until: String,
    reason: String,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn) -> Result<Response> {
    show(&view(&app, &visit, DayForm::default(), Mistakes::default()).await?)
}

async fn view(app: &App, visit: &Visit, form: DayForm, mistakes: Mistakes) -> Result<Index> {
    let now = app.clock.now();
    let page = events::page(app, visit, None, now).await?.titled("Closed days");
    let zone = Zone::named(&visit.user.department.zone);
    let today = zone.map_or_else(|| now.date(), |zone| zone.today(now));
    let line = |on: Date, reason: String, is_shifted: bool| Line {
        iso: words::iso(on),
        day: Reader::App.day(on),
        reason,
        is_shifted,
    };
    let days = store::list(app.db.read()).await?.into_iter().map(|day| line(day.on, day.reason, false)).collect();
    let holidays = (today.year()..=today.year() + 1)
        .flat_map(federal_holidays)
        .filter(|holiday| holiday.observed_on >= today)
        .map(|holiday| {
            let is_shifted = holiday.on != holiday.observed_on;
            let shifted = if is_shifted { ", observed" } else { "" };
            line(holiday.observed_on, format!("{}{shifted}", holiday.name), is_shifted)
        })
        .take(11)
        .collect();
    Ok(Index { page, days, holidays, form, mistakes })
}

async fn add(State(app): State<App>, Officer(visit): Officer, Form(form): Form<DayForm>) -> Result<Response> {
    let now = app.clock.now();
    let days = match form.read() {
        Ok(days) => days,
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, form, mistakes).await?);
        }
    };
    let actor = visit.user.actor();
    let add = app.db.write(move |tx| {
        Box::pin(async move {
            let mut added = 0;
            for day in &days {
                added += usize::from(store::add(tx, actor, day, now).await?);
            }
            Ok(added)
        })
    });
    Ok(flash::redirect(PATH, &added_says(add.await?)))
}

fn added_says(added: usize) -> String {
    match added {
        0 => "Every day was already on the list. Nothing changed.".to_owned(),
        added => {
            format!("{} added. All deadlines are updated.", words::count(added, "closed day is", "closed days are"))
        }
    }
}

impl DayForm {
    /// The days from the first to the last one, with the same reason.
    fn read(&self) -> Result<Vec<ClosedDay>, Mistakes> {
        let mut mistakes = Mistakes::default();
        let on = mistakes.note("on", form::day(&self.on));
        let until = if self.until.trim().is_empty() { Ok(None) } else { form::day(&self.until).map(Some) };
        let until = mistakes.note("until", until);
        let reason = mistakes.note("reason", form::optional_line(&self.reason, 100));
        if let (Some(on), Some(Some(until))) = (on, until)
            && !(0..MOST_DAYS).contains(&(until - on).whole_days())
        {
            let most = format!("Choose a last day on or after the first one, at most {MOST_DAYS} days in all.");
            mistakes.add("until", most);
        }
        let (Some(on), Some(until), Some(reason), true) = (on, until, reason, mistakes.is_empty()) else {
            return Err(mistakes);
        };
        let ahead = 0..=(until.unwrap_or(on) - on).whole_days();
        Ok(ahead.map(|days| ClosedDay { on: on + Duration::days(days), reason: reason.clone() }).collect())
    }
}

async fn remove(State(app): State<App>, Officer(visit): Officer, Form(form): Form<DayForm>) -> Result<Response> {
    let now = app.clock.now();
    let Ok(on) = form::day(&form.on) else {
        return Ok(flash::redirect(PATH, "No day was chosen. Nothing changed."));
    };
    let actor = visit.user.actor();
    let removed = app.db.write(move |tx| Box::pin(async move { store::remove(tx, actor, on, now).await })).await?;
    let day = Reader::App.day(on);
    let said = if removed {
        format!("{day} is no longer a closed day. All deadlines are updated.")
    } else {
        format!("{day} was not on the list. Nothing changed.")
    };
    Ok(flash::redirect(PATH, &said))
}
