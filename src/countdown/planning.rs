//! Choosing a burn day: planning a new event, and changing the date of one.

use super::changing::{self, Decided, Told};
use super::told::{MoveLine, Moves};
use super::{Outlook, explain, store, template};
use crate::accounts::Officer;
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::plan::{self, Earliest, Link, Move, Moved, Plan, Progress};
use crate::closed_days;
use crate::error::{Error, Result};
use crate::events::{self, Details, Event, EventForm, Refused};
use crate::permit_records::{self, KnownRules};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;
use std::sync::Arc;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/new", get(new_event).merge(post(create_event)))
        .route("/events/{id}/move", get(move_page).merge(post(move_burn_day)))
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

/// What the form says about the earliest day.
struct EarliestSays {
    sentence: String,
    why: String,
    on: Date,
    /// The title of the notice that sets it, or nothing.
    held_by: String,
}

impl EarliestSays {
    /// The day in ISO form.
    fn iso(&self) -> String {
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

fn earliest_says<'a>(
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
    let late = seen.rows.iter().filter(|row| row.standing == plan::Standing::Late).count();
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
    let late = seen.rows.iter().filter(|row| row.standing == plan::Standing::Late).count();
    (seen.spare < 0).then(|| Refusal {
        day: Reader::App.day(details.burn_on),
        short: words::days(seen.spare.unsigned_abs(), Basis::Calendar),
        days: seen.spare.unsigned_abs(),
        late,
    })
}

#[derive(Template)]
#[template(path = "countdown/move.html")]
struct MovePage {
    page: Page,
    event_id: i64,
    version: i64,
    burn_day: String,
    rain_day: String,
    form: MoveForm,
    mistakes: Mistakes,
    earliest: EarliestSays,
    preview: Option<Preview>,
}

#[derive(Deserialize, Default, Clone)]
#[serde(default)]
struct MoveForm {
    burn_on: String,
    rain_on: String,
    version: i64,
    /// IDs of done tasks to do again.
    redo: Vec<i64>,
    /// "yes" once the page had the checkboxes for them.
    chosen: String,
    /// Are people who were asked about the old day asked again?
    again: String,
}

/// The preview: everything as it would be.
struct Preview {
    to: String,
    by: String,
    verdict: String,
    /// The same if nothing has to be done again.
    at_best: String,
    rain: String,
    is_short: bool,
    /// How many days later the new day is; negative for an earlier day.
    days: i64,
    /// Days from the first possible burn day to the new one; negative when the plan
    /// can't meet it.
    spare: i32,
    /// That first day, in ISO form.
    earliest: String,
    /// The title of the notice that sets it, or nothing.
    held_by: String,
    passed: Vec<Line>,
    redo: Vec<Line>,
    tell: Vec<Line>,
    moved: Vec<Line>,
    /// What it does in other places, by their names.
    places: Vec<(&'static str, Vec<MoveLine>)>,
    told: Told,
    /// Deadlines that move by a different number of days than the burn.
    uneven: usize,
}

struct Line {
    id: i64,
    title: String,
    who: String,
    old: String,
    new: String,
    by: String,
    is_uneven: bool,
    is_notice: bool,
    /// Done, and it will stay done.
    is_kept: bool,
}

async fn move_page(
    State(app): State<App>,
    Extension(moves): Extension<Moves>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(mut form): Query<MoveForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Change the date");
    let outlook = Outlook::load(&app, &event, now).await?;
    if form.burn_on.is_empty() {
        form.burn_on = words::iso(event.details.rain_on.unwrap_or(event.details.burn_on));
        return show(&move_view(page, &event, &outlook, form, Mistakes::default(), None));
    }
    match read_move(&form, &event, event.today(now)) {
        Ok(to) => {
            let told = changing::to_tell(&app, &event, &to).await?;
            let places = moves.told(&app, &event, &to, now).await?;
            let preview = preview(&outlook, &event, to.burn_on, &form, (told, places));
            show(&move_view(page, &event, &outlook, form, Mistakes::default(), Some(preview)))
        }
        Err(mistakes) => {
            show_as(StatusCode::UNPROCESSABLE_ENTITY, &move_view(page, &event, &outlook, form, mistakes, None))
        }
    }
}

fn move_view(
    page: Page,
    event: &Event,
    outlook: &Outlook,
    form: MoveForm,
    mistakes: Mistakes,
    preview: Option<Preview>,
) -> MovePage {
    let found = outlook.plan.earliest(&outlook.calendar, outlook.today, &event.details.weekdays.days());
    let title = |task: usize| outlook.tasks[task].draft.title.as_str();
    let condition = "With the plan as it is today";
    let (holds, held_by) = (explain::holds(outlook, found.held_by), explain::holder(outlook, found.held_by));
    MovePage {
        page,
        event_id: event.id,
        version: event.version,
        burn_day: Reader::App.day(event.details.burn_on),
        rain_day: event.details.rain_on.map(|on| Reader::App.day(on)).unwrap_or_default(),
        earliest: earliest_says(&found, title, outlook.today, (condition, &holds, &held_by)),
        form,
        mistakes,
        preview,
    }
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
    match (burn_on, rain_on) {
        (Some(burn_on), Some(rain_on)) if mistakes.is_empty() => {
            Ok(Details { burn_on, rain_on, ..event.details.clone() })
        }
        _ => Err(mistakes),
    }
}

/// Works out the tasks from the plan. Who gets told and what other places report is
/// passed in.
fn preview(
    outlook: &Outlook,
    event: &Event,
    to: Date,
    form: &MoveForm,
    (told, places): (Told, Vec<(&'static str, Vec<MoveLine>)>),
) -> Preview {
    let keeps = |place: &usize| form.chosen == "yes" && !form.redo.contains(&outlook.tasks[*place].id);
    let kept: Vec<usize> = (0..outlook.tasks.len()).filter(keeps).collect();
    let found = outlook.plan.moved(&outlook.calendar, outlook.today, (event.details.burn_on, to), &kept);
    let line = |moved: &Moved| {
        let (task, _) = outlook.row(moved.task);
        let by = (moved.new_due - moved.old_due).whole_days();
        Line {
            id: task.id,
            title: task.draft.title.clone(),
            who: task.who().to_owned(),
            old: Reader::App.near_day(moved.old_due, outlook.today),
            new: Reader::App.near_day(moved.new_due, outlook.today),
            by: signed_days(by),
            is_uneven: by != found.days,
            is_notice: !task.notices.is_empty(),
            is_kept: kept.contains(&moved.task),
        }
    };
    let lines = |wanted: &dyn Fn(&Moved) -> bool| -> Vec<Line> {
        let mut chosen: Vec<&Moved> = found.tasks.iter().filter(|moved| wanted(moved)).collect();
        chosen.sort_by_key(|moved| (moved.new_due, moved.task));
        chosen.into_iter().map(line).collect()
    };
    let open = |moved: &Moved| outlook.tasks[moved.task].is_open() || (moved.redo && !kept.contains(&moved.task));
    let moved = lines(&|moved| open(moved) && moved.task != outlook.plan.burn());
    let day = Reader::App.day(to);
    let again: Vec<usize> = found.tasks.iter().filter(|moved| moved.redo).map(|moved| moved.task).collect();
    let at_best = outlook.plan.moved(&outlook.calendar, outlook.today, (event.details.burn_on, to), &again);
    Preview {
        verdict: verdict(outlook, &found, &day),
        at_best: if at_best.spare == found.spare {
            String::new()
        } else {
            format!("If nothing has to be done again: {}", verdict(outlook, &at_best, &day))
        },
        rain: match form.rain_on.as_str() {
            "" => "There will be no rain date.".to_owned(),
            day => {
                form::day(day).map(|day| format!("The rain date will be {}.", Reader::App.day(day))).unwrap_or_default()
            }
        },
        to: day,
        by: signed_days(found.days),
        is_short: found.spare < 0,
        days: found.days,
        spare: found.spare,
        earliest: words::iso(found.earliest_burn_day),
        held_by: explain::holder(outlook, found.held_by),
        places,
        told,
        passed: lines(&|moved| moved.passed),
        redo: lines(&|moved| moved.redo),
        tell: lines(&|moved| moved.tell),
        uneven: moved.iter().filter(|line| line.is_uneven).count(),
        moved,
    }
}

/// Whether the plan can meet the new day, and what sets the date.
fn verdict(outlook: &Outlook, found: &Move, day: &str) -> String {
    let first = found.chain.first().map(|step| outlook.tasks[step.task].draft.title.as_str());
    let chain = first.map(|title| format!(" The first task on the critical path is “{title}”.")).unwrap_or_default();
    let chain = format!("{chain} {}", explain::holds(outlook, found.held_by)).trim_end().to_owned();
    let spare = words::days(found.spare.unsigned_abs(), Basis::Calendar);
    match found.spare {
        ..0 => {
            let earliest = Reader::App.day(found.earliest_burn_day);
            format!("The plan can't meet {day}. The earliest possible day is {earliest}, {spare} later.{chain}")
        }
        0 => format!("The plan can just meet {day}, with no slack.{chain}"),
        _ => format!("The plan can meet {day} with {spare} of slack.{chain}"),
    }
}

fn signed_days(days: i64) -> String {
    let number = words::days(u32::try_from(days.abs()).unwrap_or(u32::MAX), Basis::Calendar);
    match days {
        0 => "no change".to_owned(),
        1.. => format!("{number} later"),
        _ => format!("{number} earlier"),
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
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let to = match read_move(&form, &event, event.today(now)) {
        Ok(to) => to,
        Err(mistakes) => {
            let page = events::page(&app, &visit, Some(&event), now).await?.titled("Change the date");
            let outlook = Outlook::load(&app, &event, now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &move_view(page, &event, &outlook, form, mistakes, None));
        }
    };
    if form.version != event.version {
        return Ok(stale(id));
    }
    let day = Reader::App.day(to.burn_on);
    let decided = Decided { details: to, again: form.again == "yes", moves_times: false, redo: form.redo };
    match changing::carry_out(&app, &moves, &visit, &event, decided, now).await? {
        Ok(count) => {
            let said = format!("Burn day is now {day}. {}", changing::told(count));
            Ok(flash::redirect(&event.href(), said.trim_end()))
        }
        Err(Refused::Stale) => Ok(stale(id)),
        Err(Refused::Gone) => Err(Error::NotFound),
    }
}

fn stale(id: i64) -> Response {
    flash::redirect(
        &format!("/events/{id}/move"),
        "Someone else changed the event in the meantime, so your change was not saved. Check the event and try again.",
    )
}
