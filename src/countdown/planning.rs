//! Planning a new event: choosing its burn day.

use super::{explain, store, template};
use crate::accounts::Officer;
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::plan::{self, Earliest, Link, Plan, Progress};
use crate::closed_days;
use crate::error::Result;
use crate::events::{self, Details, EventForm};
use crate::permit_records::{self, KnownRules};
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
use std::sync::Arc;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/new", get(new_event).merge(post(create_event)))
}

/// What a new event starts with: the template as a plan with nothing done, and the
/// notices the department knows about.
pub(super) struct Fresh {
    pub plan: Plan,
    /// The titles of the notices, by task.
    titles: Vec<Vec<&'static str>>,
    calendar: Arc<Calendar>,
}

impl Fresh {
    async fn load(app: &App) -> Result<Self> {
        let known = permit_records::known_rules(&mut *app.db.read().acquire().await?).await?;
        Ok(Self::of(&known, closed_days::calendar(app).await?))
    }

    pub fn of(known: &KnownRules, calendar: Arc<Calendar>) -> Self {
        let mut titles: Vec<Vec<&'static str>> = vec![Vec::new(); template::tasks().len()];
        let mut tasks = fresh_tasks();
        for usual in permit_records::usual() {
            let holding = known.get(&usual.key).and_then(permit_records::Details::fresh_notice);
            if let (Some(task), Some(notice)) = (template::place(&usual.task), holding) {
                tasks[task].notices.push(notice);
                titles[task].push(&usual.title);
            }
        }
        let burn = template::place(template::BURN);
        let plan = burn.and_then(|burn| Plan::new(tasks, burn).ok()).expect("the template is checked by a test");
        Self { plan, titles, calendar }
    }

    /// The title of the notice that sets a date, or nothing if none does.
    fn holder(&self, held_by: Option<(usize, usize)>) -> &'static str {
        held_by.map_or("", |(task, notice)| self.titles[task][notice])
    }

    /// The notice that sets a date in words, if one does.
    fn holds(&self, held_by: Option<(usize, usize)>) -> String {
        held_by.map_or_else(String::new, |(task, notice)| {
            explain::holds_says(self.titles[task][notice], self.plan.tasks()[task].notices[notice].rule)
        })
    }
}

fn fresh_tasks() -> Vec<plan::Task> {
    let mut tasks: Vec<plan::Task> = template::tasks()
        .iter()
        .map(|entry| plan::Task {
            duration: entry.duration,
            basis: entry.basis.basis(),
            lead: entry.lead(),
            notices: Vec::new(),
            links: Vec::new(),
            progress: Progress::ToDo,
            rain: entry.rain.rule(),
        })
        .collect();
    for (later, earlier, lag) in template::links() {
        tasks[later].links.push(Link { earlier, lag, basis: Basis::Calendar });
    }
    tasks
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

/// What a page says about the earliest day.
pub(super) struct EarliestSays {
    pub sentence: String,
    pub why: String,
    pub on: Date,
    /// The title of the notice that sets it, or nothing.
    pub held_by: String,
}

impl EarliestSays {
    /// The day in ISO form.
    pub fn iso(&self) -> String {
        words::iso(self.on)
    }
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
    show(&new_page(page, form, Mistakes::default(), &fresh, now, None))
}

fn new_page(
    page: Page,
    form: EventForm,
    mistakes: Mistakes,
    fresh: &Fresh,
    now: OffsetDateTime,
    refusal: Option<Refusal>,
) -> NewEvent {
    let earliest = earliest_for(&form, fresh, now);
    NewEvent { page, form, mistakes, zones: Zone::names(), earliest, refusal }
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
    let holds = fresh.holds(found.held_by);
    let condition = "If you start today with the usual tasks and waits";
    earliest_says(&found, title, today, (condition, &holds, fresh.holder(found.held_by)))
}

pub(super) fn earliest_says<'a>(
    found: &Earliest,
    title: impl Fn(usize) -> &'a str,
    today: Date,
    (condition, holds, held_by): (&str, &str, &str),
) -> EarliestSays {
    let why = found.binding.map_or_else(String::new, |binding| {
        let takes = words::days(binding.days.unsigned_abs(), Basis::Calendar);
        let gain = match (binding.buys, binding.instead) {
            (0, Some(rival)) => {
                format!("Saving a day there alone gains nothing, because “{}” then sets the date", title(rival))
            }
            (0, None) => "Saving a day there gains nothing, because it only runs into a closed day".to_owned(),
            (days, _) => format!("Saving a day there gains {}", words::days(days.unsigned_abs(), Basis::Calendar)),
        };
        format!("The longest step is “{}” with the wait after it: {takes}. {gain}.", title(binding.task))
    });
    EarliestSays {
        sentence: format!(
            "{condition}, the earliest burn day is {}, {} from now.",
            Reader::App.day(found.on),
            words::days(u32::try_from((found.on - today).whole_days()).unwrap_or(0), Basis::Calendar)
        ),
        why: format!("{why} {holds}").trim().to_owned(),
        on: found.on,
        held_by: held_by.to_owned(),
    }
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
    let details = match form.read() {
        Ok(details) => details,
        Err(mistakes) => {
            let page = new_page(page, form, mistakes, &fresh, now, None);
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let mut mistakes = Mistakes::default();
    if details.burn_on < details.zone.today(now) {
        mistakes.add("burn_on", "This day has passed. Choose a later one.");
    }
    let others = events::list(app.db.read()).await?;
    if others.iter().any(|o| o.details.name == details.name && o.details.burn_on == details.burn_on) {
        mistakes.add("name", "There is already an event with this name on that day. Change the name or the day.");
    }
    if !mistakes.is_empty() {
        let page = new_page(page, form, mistakes, &fresh, now, None);
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    if form.act != "anyway"
        && let Some(refusal) = refusal(&fresh, &details, now)
    {
        let page = new_page(page, form, Mistakes::default(), &fresh, now, Some(refusal));
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    let seen = fresh.plan.schedule(&fresh.calendar, details.burn_on, details.zone.today(now));
    let late = seen.rows.iter().filter(|row| row.status == plan::PlanStatus::Late).count();
    let late = match late {
        0 => String::new(),
        late => format!(" {} already past the usual lead time.", words::count(late, "task is", "tasks are")),
    };
    let actor = visit.user.actor();
    let name = details.name.clone();
    let create = app.db.write(move |tx| {
        Box::pin(async move {
            let id = events::create(tx, actor, &details, now).await?;
            store::add_template(tx, actor, id, now).await?;
            Ok(id)
        })
    });
    let id = create.await?;
    Ok(flash::redirect(
        &format!("/events/{id}"),
        &format!("{name} is planned.{late} Lead times are common practice. Your authority's rules come first."),
    ))
}

/// Why the usual plan can't meet the day, if it can't.
fn refusal(fresh: &Fresh, details: &Details, now: OffsetDateTime) -> Option<Refusal> {
    let today = details.zone.today(now);
    let seen = fresh.plan.schedule(&fresh.calendar, details.burn_on, today);
    let late = seen.rows.iter().filter(|row| row.status == plan::PlanStatus::Late).count();
    (seen.spare < 0).then(|| Refusal {
        day: Reader::App.day(details.burn_on),
        short: words::days(seen.spare.unsigned_abs(), Basis::Calendar),
        days: seen.spare.unsigned_abs(),
        late,
    })
}
