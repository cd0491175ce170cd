use super::ruler::Ruler;
use super::views::{Filter, Index, Line, Ready, Sheet, SheetLine, Sheets, Tasks, everyone, who_value};
use super::{Outlook, Strand, TaskState, explain};
use crate::accounts::SignedIn;
use crate::calc::plan::Standing;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::{query_escape, show};
use crate::web::words;
use axum::Router;
use axum::extract::{Path, State};
use axum::response::Response;
use axum::routing::get;
use axum_extra::extract::Query;
use time::{Duration, OffsetDateTime};

/// The countdown, its tasks in lists, and the same on paper.
pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}", get(index))
        .route("/events/{id}/tasks", get(tasks))
        .route("/events/{id}/lists", get(lists))
        .route("/events/{id}/wall", get(wall))
}

/// Tasks that are neither late nor due this week, to go on with.
const NEXT: usize = 6;

async fn load(app: &App, id: i64, now: OffsetDateTime) -> Result<(Event, Outlook)> {
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let outlook = Outlook::load(app, &event, now).await?;
    Ok((event, outlook))
}

async fn index(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlook) = load(&app, id, now).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Countdown");
    let user = &visit.user;
    let mine = filter.who.is_empty() && !user.is_officer();
    let mut places: Vec<usize> = (0..outlook.tasks.len())
        .filter(|&place| {
            let (task, _) = outlook.row(place);
            task.state == TaskState::ToDo && !task.is_burn && (if mine { task.is_of(user) } else { filter.is_of(task) })
        })
        .collect();
    places.sort_by_key(|&place| (outlook.schedule.rows[place].due, place));
    let week_ends = outlook.today + Duration::days(6);
    let late = |place: &usize| outlook.schedule.rows[*place].standing == Standing::Late;
    let this_week = |place: &usize| !late(place) && outlook.schedule.rows[*place].due <= week_ends;
    let (late_count, week_count) =
        (places.iter().filter(|p| late(p)).count(), places.iter().filter(|p| this_week(p)).count());
    let (urgent, rest): (Vec<usize>, Vec<usize>) =
        places.into_iter().partition(|place| late(place) || this_week(place));
    let line = |place| Line::of(&outlook, place, user);
    let waiting = (0..outlook.tasks.len()).filter(|&place| {
        let (task, _) = outlook.row(place);
        task.state == TaskState::Waiting && (if mine { task.is_of(user) } else { filter.is_of(task) })
    });
    let mut waiting: Vec<usize> = waiting.collect();
    waiting.sort_by_key(|&place| (outlook.schedule.rows[place].due, place));
    show(&Index {
        page,
        event_id: id,
        ruler: Ruler::draw(&event, &outlook),
        chain: explain::chain(&outlook),
        mine,
        late: late_count,
        week: week_count,
        now: urgent.into_iter().map(line).collect(),
        next: next(&outlook, rest).into_iter().map(line).collect(),
        waiting: waiting.into_iter().map(line).collect(),
        ready: ready(&event, &outlook),
        back: format!("/events/{id}?who={}", query_escape(&filter.who)),
        people: everyone(&outlook),
        filter,
    })
}

/// What to go on with: first what can be started now.
fn next(outlook: &Outlook, rest: Vec<usize>) -> Vec<usize> {
    let (now, later): (Vec<usize>, Vec<usize>) = rest.into_iter().partition(|&place| outlook.can_start(place));
    now.into_iter().chain(later).take(NEXT).collect()
}

/// One line for each strand with something to do before burn day; places of
/// their own, like Crew, will bring better ones.
fn ready(event: &Event, outlook: &Outlook) -> Vec<Ready> {
    let lines = Strand::ALL.into_iter().map(|strand| {
        let here = |state: TaskState| {
            let counts = |&place: &usize| {
                let (task, _) = outlook.row(place);
                task.draft.strand == strand
                    && task.state == state
                    && !task.is_burn
                    && (!outlook.plan.follows_burn(place) || outlook.today > event.details.burn_on)
            };
            (0..outlook.tasks.len()).filter(counts).count()
        };
        Ready {
            name: strand.as_str(),
            href: format!("/events/{}/tasks?strand={}&state=all", event.id, query_escape(strand.as_str())),
            done: here(TaskState::Done),
            waiting: here(TaskState::Waiting),
            open: here(TaskState::ToDo),
        }
    });
    lines.filter(|line| line.all() > 0).collect()
}

async fn tasks(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlook) = load(&app, id, now).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Tasks");
    let mut places: Vec<usize> = (0..outlook.tasks.len())
        .filter(|&place| {
            let (task, row) = outlook.row(place);
            filter.fits(task, row)
        })
        .collect();
    places.sort_by_key(|&place| (outlook.schedule.rows[place].due, place));
    let query = [("who", &filter.who), ("strand", &filter.strand), ("state", &filter.state)]
        .map(|(name, value)| format!("{name}={}", query_escape(value)));
    show(&Tasks {
        page,
        event_id: id,
        lines: places.into_iter().map(|place| Line::of(&outlook, place, &visit.user)).collect(),
        total: outlook.tasks.len(),
        people: everyone(&outlook),
        back: format!("/events/{id}/tasks?{}", query.join("&")),
        filter,
    })
}

async fn lists(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlook) = load(&app, id, now).await?;
    let whose = everyone(&outlook).into_iter().filter(|who| filter.who.is_empty() || filter.who == who.value);
    let sheets = whose.map(|who| Sheet {
        heading: who.name,
        lines: sheet(&outlook, |task| task.is_open() && who_value(task) == who.value),
    });
    let sheets = sheets.filter(|sheet| !sheet.lines.is_empty()).collect();
    let who = filter.who.clone();
    sheets_page(&app, &visit, &event, &outlook, "Lists by person", true, sheets, who, now).await
}

async fn wall(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlook) = load(&app, id, now).await?;
    let sheets = Strand::ALL.into_iter().map(|strand| Sheet {
        heading: strand.to_string(),
        lines: sheet(&outlook, |task| task.draft.strand == strand && task.state != TaskState::NotNeeded),
    });
    let sheets = sheets.filter(|sheet| !sheet.lines.is_empty()).collect();
    sheets_page(&app, &visit, &event, &outlook, "The whole plan", false, sheets, String::new(), now).await
}

fn sheet(outlook: &Outlook, belongs: impl Fn(&super::Task) -> bool) -> Vec<SheetLine> {
    let mut rows: Vec<_> = outlook.rows().filter(|(task, _)| belongs(task)).collect();
    rows.sort_by_key(|(task, row)| (row.due, task.id));
    rows.into_iter().map(|(task, row)| SheetLine::of(outlook, task, row)).collect()
}

#[expect(clippy::too_many_arguments, reason = "the two callers differ in each of them")]
async fn sheets_page(
    app: &App,
    visit: &crate::accounts::Visit,
    event: &Event,
    outlook: &Outlook,
    heading: &str,
    personal: bool,
    sheets: Vec<Sheet>,
    who: String,
    now: OffsetDateTime,
) -> Result<Response> {
    let page = events::page(app, visit, Some(event), now).await?.titled(heading);
    let event_line = page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default();
    show(&Sheets {
        page,
        event_id: event.id,
        heading: heading.to_owned(),
        event_line,
        printed: words::moment(event.details.zone.wall(now)),
        personal,
        sheets,
        people: everyone(outlook),
        who,
    })
}
