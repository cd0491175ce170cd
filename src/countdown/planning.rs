//! Planning a new event: choosing its burn day.

use super::earliest::{EarliestSays, earliest_says};
use super::fresh::Fresh;
use super::{store, template};
use crate::accounts::Officer;
use crate::calc::calendar::Basis;
use crate::calc::plan::PlanStatus;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::{self, Details, EventForm};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/new", get(new_event).merge(post(create_event)))
}

#[derive(Template)]
#[template(path = "events/new.html")]
struct NewEvent {
    page: Page,
    form: EventForm,
    mistakes: Mistakes,
    zones: Vec<String>,
    earliest: EarliestSays,
    /// Set when the plan can't meet the chosen day.
    refusal: Option<Refusal>,
}

struct Refusal {
    day: String,
    short: String,
    /// How many days too long the plan is.
    days: u32,
    late: usize,
}

async fn new_event(State(app): State<App>, Officer(visit): Officer) -> Result<Response> {
    let now = app.clock.now();
    let form = EventForm::fresh(&visit.user.department.zone);
    let page = events::page(&app, &visit, None, now).await?.titled("Plan a burn");
    let fresh = Fresh::load(&app).await?;
    show(&new_page(page, form, Mistakes::default(), &fresh, now))
}

fn new_page(page: Page, form: EventForm, mistakes: Mistakes, fresh: &Fresh, now: OffsetDateTime) -> NewEvent {
    let earliest = earliest_for(&form, fresh, now);
    NewEvent { page, form, mistakes, zones: Zone::names(), earliest, refusal: None }
}

/// The earliest day for the time zone and weekdays on a form.
fn earliest_for(form: &EventForm, fresh: &Fresh, now: OffsetDateTime) -> EarliestSays {
    let zone = Zone::named(&form.zone).or_else(|| Zone::named("UTC")).expect("UTC is a zone");
    let allowed: Vec<_> = events::WEEK.into_iter().filter(|day| form.allows(day)).collect();
    earliest(fresh, zone.today(now), &allowed)
}

fn earliest(fresh: &Fresh, today: Date, allowed: &[time::Weekday]) -> EarliestSays {
    let found = fresh.plan.earliest(&fresh.calendar, today, allowed);
    let title = |task: usize| template::tasks()[task].title.as_str();
    let condition = "If you start today with the usual tasks and waits";
    earliest_says(condition, &found, title, fresh.holding(found.held_by), today)
}

async fn create_event(
    State(app): State<App>,
    Officer(visit): Officer,
    Form(mut form): Form<EventForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let fresh = Fresh::load(&app).await?;
    let page = events::page(&app, &visit, None, now).await?.titled("Plan a burn");
    if form.act == "earliest" {
        form.take_burn_day(earliest_for(&form, &fresh, now).on);
    }
    let details = match read(&app, &form, now).await? {
        Ok(details) => details,
        Err(mistakes) => {
            let page = new_page(page, form, mistakes, &fresh, now);
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let prospect = Prospect::of(&fresh, &details, now);
    if form.act != "anyway" && prospect.days_short > 0 {
        let refusal = Some(prospect.refusal(details.burn_on));
        let page = NewEvent { refusal, ..new_page(page, form, Mistakes::default(), &fresh, now) };
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    let said = prospect.says(&details.name);
    let id = create(&app, visit.user.actor(), details, now).await?;
    Ok(flash::redirect(&format!("/events/{id}"), &said))
}

/// The new event's details. Its day must be ahead, and no other event has its name and day.
async fn read(app: &App, form: &EventForm, now: OffsetDateTime) -> Result<events::Read> {
    let details = match form.read() {
        Ok(details) => details,
        Err(mistakes) => return Ok(Err(mistakes)),
    };
    let mut mistakes = Mistakes::default();
    if details.burn_on < details.zone.today(now) {
        mistakes.add("burn_on", "This day has passed. Choose a later one.");
    }
    let others = events::list(app.db.read()).await?;
    if others.iter().any(|o| o.details.name == details.name && o.details.burn_on == details.burn_on) {
        mistakes.add("name", "There is already an event with this name on that day. Change the name or the day.");
    }
    Ok(if mistakes.is_empty() { Ok(details) } else { Err(mistakes) })
}

async fn create(app: &App, actor: Actor, details: Details, now: OffsetDateTime) -> Result<i64> {
    let create = app.db.write(move |tx| {
        Box::pin(async move {
            let id = events::create(tx, actor, &details, now).await?;
            store::add_template(tx, actor, id, now).await?;
            Ok(id)
        })
    });
    create.await
}

/// How the usual plan fits the chosen day.
struct Prospect {
    /// How many days too long the plan is; 0 if it isn't.
    days_short: u32,
    /// How many tasks are already past their lead time.
    late: usize,
}

impl Prospect {
    fn of(fresh: &Fresh, details: &Details, now: OffsetDateTime) -> Self {
        let seen = fresh.plan.schedule(&fresh.calendar, details.burn_on, details.zone.today(now));
        let late = seen.rows.iter().filter(|row| row.status == PlanStatus::Late).count();
        Self { days_short: u32::try_from(-seen.spare).unwrap_or(0), late }
    }

    /// Why the usual plan can't meet the day.
    fn refusal(&self, burn_on: Date) -> Refusal {
        Refusal {
            day: Reader::App.day(burn_on),
            short: words::days(self.days_short, Basis::Calendar),
            days: self.days_short,
            late: self.late,
        }
    }

    /// What the next page says about the new event.
    fn says(&self, name: &str) -> String {
        let late = match self.late {
            0 => String::new(),
            late => format!(" {} already past the usual lead time.", words::count(late, "task is", "tasks are")),
        };
        format!("{name} is planned.{late} Lead times are common practice. Your authority's rules come first.")
    }
}
