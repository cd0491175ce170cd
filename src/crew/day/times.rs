//! Correcting when someone came and left.

use super::{Attendance, store};
use crate::accounts::Visit;
use crate::crew::editor::CrewEditor;
use crate::crew::page::{page, snapshot};
use crate::crew::snapshot::CrewSnapshot;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::{Date, Duration, OffsetDateTime, Time};

pub(in crate::crew) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew/times/{attendance}", get(ask_times).merge(post(put_right)))
}

#[derive(Template)]
#[template(path = "crew/times.html")]
struct TimesPage {
    page: Page,
    event_id: i64,
    id: i64,
    name: String,
    day: String,
    form: TimesForm,
    mistakes: Mistakes,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct TimesForm {
    came: String,
    /// Empty while they are here.
    left: String,
    reason: String,
    version: i64,
}

impl TimesForm {
    /// Times are on the day they came. A sign-out before the sign-in is on the next day.
    fn read(&self, old: &Attendance, snapshot: &CrewSnapshot, now: OffsetDateTime) -> Result<Attendance, Mistakes> {
        let zone = &snapshot.event.details.zone;
        let day = zone.wall(old.in_at).date();
        let mut mistakes = Mistakes::default();
        let came = mistakes.note("came", form::time_of_day(&self.came));
        let left = if self.left.trim().is_empty() { Ok(None) } else { form::time_of_day(&self.left).map(Some) };
        let left = mistakes.note("left", left);
        let reason = form::line(&self.reason, 200)
            .map_err(|_| "Say why you are changing the times, in 200 characters or less.".to_owned());
        let reason = mistakes.note("reason", reason);
        let at = |on: Date, at: Time| zone.instant(on, at);
        let in_at = came.and_then(|came| at(day, came));
        let out_at = match (came, left.flatten()) {
            (Some(came), Some(left)) if left < came => at(day + Duration::DAY, left),
            (_, Some(left)) => at(day, left),
            _ => None,
        };
        for (field, at) in [("came", in_at), ("left", out_at)] {
            if at.is_some_and(|at| at > now) {
                mistakes.add(field, "This time hasn't come yet. Enter the time it happened.");
            }
        }
        match (in_at, reason, mistakes.is_empty()) {
            (Some(in_at), Some(reason), true) => {
                Ok(Attendance { in_at, out_at, reason, version: self.version, ..old.clone() })
            }
            (None, _, true) => {
                mistakes.add("came", "There is no such time on that day, because clocks change. Enter another time.");
                Err(mistakes)
            }
            _ => Err(mistakes),
        }
    }
}

/// A time on site at an event.
struct Times {
    snapshot: CrewSnapshot,
    attendance: Attendance,
    name: String,
}

impl Times {
    async fn find(app: &App, event_id: i64, id: i64) -> Result<Self> {
        let snapshot = snapshot(app, event_id).await?;
        let one = snapshot.attendances.iter().find(|one| one.id == id).cloned().ok_or(Error::NotFound)?;
        let person = snapshot.people.get(&one.person_id);
        let name = person.map_or("someone whose data was erased", |person| person.details.name.as_str()).to_owned();
        Ok(Self { snapshot, attendance: one, name })
    }

    /// The form with the times as they are.
    fn form(&self) -> TimesForm {
        let clock = |at: OffsetDateTime| words::iso_time(self.snapshot.event.details.zone.wall(at).time());
        TimesForm {
            came: clock(self.attendance.in_at),
            left: self.attendance.out_at.map(clock).unwrap_or_default(),
            reason: self.attendance.reason.clone(),
            version: self.attendance.version,
        }
    }

    async fn page(self, app: &App, visit: &Visit, form: TimesForm, mistakes: Mistakes) -> Result<TimesPage> {
        let Self { snapshot, attendance: Attendance { id, in_at, .. }, name } = self;
        let day = Reader::App.day(snapshot.event.details.zone.wall(in_at).date());
        let page = page(app, visit, &snapshot.event, "Edit times").await?;
        let page = page.under(format!("/events/{}/burn-day/crew", snapshot.event.id), "Crew check-in");
        Ok(TimesPage { page, event_id: snapshot.event.id, id, name, day, form, mistakes })
    }
}

async fn ask_times(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, attendance)): Path<(i64, i64)>,
) -> Result<Response> {
    let times = Times::find(&app, id, attendance).await?;
    let form = times.form();
    show(&times.page(&app, &visit, form, Mistakes::default()).await?)
}

async fn put_right(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, attendance)): Path<(i64, i64)>,
    Form(form): Form<TimesForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let times = Times::find(&app, id, attendance).await?;
    let new = match form.read(&times.attendance, &times.snapshot, now) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = times.page(&app, &visit, form, mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    if save(&app, visit.user.actor(), times, new, now).await? {
        return Ok(flash::redirect(&format!("/events/{id}/burn-day/crew"), "Times saved."));
    }
    let times = Times::find(&app, id, attendance).await?;
    let form = TimesForm { version: times.attendance.version, ..form };
    let mut mistakes = Mistakes::default();
    mistakes.add("came", CHANGED);
    show_as(StatusCode::CONFLICT, &times.page(&app, &visit, form, mistakes).await?)
}

const CHANGED: &str = "Someone changed these times in the meantime, or they would be signed in twice. Check the times, \
                       then save again.";

/// Saves new times over those that were seen. False if they have changed since, or would
/// sign someone in twice.
async fn save(app: &App, actor: Actor, old: Times, new: Attendance, now: OffsetDateTime) -> Result<bool> {
    let Times { snapshot, attendance, name } = old;
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let seen = Attendance { version: new.version, ..attendance };
            store::correct(tx, actor, &name, (&seen, &new), &snapshot.event.details.zone, now).await
        })
    });
    write.await
}
