//! When it is decided whether to burn.

use super::decision::DecisionTimes;
use super::page::{href, only_planners, page};
use super::snapshot::GateSnapshot;
use super::store;
use crate::accounts::{Visit, Worker};
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes, number, time_of_day};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/gates/times", get(edit).merge(post(save)))
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct TimesForm {
    two_days: String,
    evening: String,
    morning: String,
    last_minutes: String,
    version: i64,
}

impl TimesForm {
    fn of(times: &DecisionTimes) -> Self {
        let [two_days, evening, morning] = [times.two_days, times.evening, times.morning].map(words::iso_time);
        Self { two_days, evening, morning, last_minutes: times.last_minutes.to_string(), version: times.version }
    }

    fn read(&self) -> Result<DecisionTimes, Mistakes> {
        let mut mistakes = Mistakes::default();
        let two_days = mistakes.note("two_days", time_of_day(&self.two_days));
        let evening = mistakes.note("evening", time_of_day(&self.evening));
        let morning = mistakes.note("morning", time_of_day(&self.morning));
        let last_minutes = mistakes.note("last_minutes", number(&self.last_minutes, 1, 120));
        let read = (|| {
            Some(DecisionTimes {
                two_days: two_days?,
                evening: evening?,
                morning: morning?,
                last_minutes: last_minutes?,
                version: self.version,
            })
        })();
        read.ok_or(mistakes)
    }
}

#[derive(Template)]
#[template(path = "gates/times.html")]
struct Times {
    page: Page,
    form: TimesForm,
    mistakes: Mistakes,
}

async fn times_page(app: &App, visit: &Visit, id: i64) -> Result<Times> {
    only_planners(visit)?;
    let snapshot = GateSnapshot::load(app, id).await?;
    let page = page(app, visit, &snapshot.event, "When to decide").await?;
    Ok(Times { page, form: TimesForm::of(&snapshot.times), mistakes: Mistakes::default() })
}

async fn edit(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    show(&times_page(&app, &visit, id).await?)
}

async fn save(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Form(form): Form<TimesForm>,
) -> Result<Response> {
    let times = times_page(&app, &visit, id).await?;
    let new = match form.read() {
        Ok(new) => new,
        Err(mistakes) => return show_as(StatusCode::UNPROCESSABLE_ENTITY, &Times { form, mistakes, ..times }),
    };
    let (actor, now) = (visit.user.actor(), app.clock.now());
    let write = app.db.write(move |tx| Box::pin(async move { store::save_times(tx, actor, id, &new, now).await }));
    let said = if write.await? {
        "Saved."
    } else {
        "Not saved: someone changed the times in the meantime. Open the form again."
    };
    Ok(flash::redirect(&href(id), said))
}
