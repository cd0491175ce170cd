use super::items::{DueLine, Places, Ready};
use super::late::{Harm, of_late, of_overdue, worst};
use super::ruler::Ruler;
use super::views::{Filter, Index, Line, Tasks, everyone};
use super::{Outlook, Responsible, Strand, Task, TaskState, explain};
use crate::accounts::{SignedIn, User};
use crate::calc::plan::PlanStatus;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::{query_escape, show};
use crate::web::path::Path;
use crate::web::routes::get;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use futures_util::future::try_join;
use std::cmp::Reverse;
use time::{Date, Duration, OffsetDateTime};

/// The countdown, and its tasks in a list.
pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}", get(index)).route("/events/{id}/tasks", get(tasks))
}

/// How many tasks to list as next: neither late nor due this week.
const NEXT: usize = 6;
/// Whatever is due from today through six days ahead is to do now.
const WEEK: Duration = Duration::days(6);

pub(super) async fn load(app: &App, id: i64, now: OffsetDateTime) -> Result<(Event, Outlook)> {
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let outlook = Outlook::load(app, &event, now).await?;
    Ok((event, outlook))
}

async fn index(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Extension(places): Extension<Places>,
    Path(id): Path<i64>,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let (outlook, items) = try_join(Outlook::load(&app, &event, now), places.items(&app, &event, now)).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Countdown");
    let user = &visit.user;
    let filter = filter.by_name(&outlook, &items.due);
    let mine = filter.who.is_empty() && !user.is_officer();
    let chosen = |whose: &Responsible| if mine { whose.is_of(user) } else { filter.takes(whose) };
    let agenda = Agenda::of(&outlook, |task| chosen(&task.responsible));
    let lines = |places: &[usize]| places.iter().map(|&place| Line::of(id, &outlook, place, user)).collect();
    let week_ends = outlook.today + WEEK;
    let due = items.due.iter().filter(|line| line.due.on <= week_ends && chosen(&line.responsible));
    let due: Vec<&DueLine> = due.collect();
    let rows = outlook.rows().enumerate();
    let late = rows.filter(|(_, (task, row))| row.status == PlanStatus::Late && chosen(&task.responsible));
    let late: Vec<usize> = late.map(|(place, _)| place).collect();
    let people = everyone(&outlook, &items.due);
    let query = if filter.who.is_empty() { String::new() } else { format!("?who={}", query_escape(&filter.who)) };
    show(&Index {
        page,
        event_id: id,
        worst: worst(id, &outlook, &late, &due, user),
        ruler: Ruler::draw(&event, &outlook),
        chain: explain::chain(&outlook),
        mine,
        late: agenda.late + due.iter().filter(|line| line.due.on < outlook.today).count(),
        week: agenda.now.len() - agenda.late + due.iter().filter(|line| line.due.on >= outlook.today).count(),
        now: agenda.with(&due, lines(&agenda.now), user, &outlook),
        next: lines(&agenda.next),
        later: lines(&agenda.later),
        whose: people.iter().find(|who| who.value == filter.who).map(|who| who.name.clone()).unwrap_or_default(),
        waiting: lines(&agenda.waiting),
        ready: ready(&event, &outlook, &items.ready),
        rooms: items.rooms.clone(),
        back: format!("/events/{id}{query}"),
        people,
        filter,
    })
}

/// What there is to do: indexes of tasks, each part sorted by due date.
struct Agenda {
    /// Late, or due within seven days.
    now: Vec<usize>,
    /// How many of those are late.
    late: usize,
    /// A few more that can start, and if those are few, some that can't yet.
    next: Vec<usize>,
    later: Vec<usize>,
    waiting: Vec<usize>,
}

impl Agenda {
    fn of(outlook: &Outlook, chosen: impl Fn(&Task) -> bool) -> Self {
        let mut open: Vec<usize> = (0..outlook.tasks.len())
            .filter(|&place| outlook.tasks[place].is_open() && !outlook.tasks[place].is_burn)
            .filter(|&place| chosen(&outlook.tasks[place]))
            .collect();
        open.sort_by_key(|&place| (outlook.schedule.rows[place].due, place));
        let (waiting, todo): (Vec<usize>, Vec<usize>) =
            open.into_iter().partition(|&place| outlook.tasks[place].state == TaskState::Waiting);
        let week_ends = outlook.today + WEEK;
        let (now, rest): (Vec<usize>, Vec<usize>) =
            todo.into_iter().partition(|&place| outlook.schedule.rows[place].due <= week_ends);
        let late = now.iter().filter(|&&place| outlook.schedule.rows[place].status == PlanStatus::Late).count();
        let (mut next, mut later): (Vec<usize>, Vec<usize>) =
            rest.into_iter().partition(|&place| outlook.can_start(place));
        next.truncate(NEXT);
        later.truncate(NEXT.saturating_sub(next.len()));
        Self { now, late, next, later, waiting }
    }

    /// The lines of `now`, with what other places report among them: what is late first, the
    /// worst of it at the top, then by due date.
    fn with(&self, due: &[&DueLine], lines: Vec<Line>, user: &User, outlook: &Outlook) -> Vec<Line> {
        let order = |harm: Option<Harm>, on: Date| (harm.is_none(), Reverse(harm), on);
        let tasks = self.now.iter().map(|&place| order(of_late(outlook, place), outlook.schedule.rows[place].due));
        let mut all: Vec<_> = tasks.zip(lines).collect();
        let elsewhere = due.iter().map(|line| {
            (order(of_overdue(outlook, &line.due), line.due.on), Line::elsewhere(line, user, outlook.today))
        });
        all.extend(elsewhere);
        all.sort_by_key(|(order, _)| *order);
        all.into_iter().map(|(_, line)| line).collect()
    }
}

/// One line for each strand with something to do before burn day, or the report of
/// the place with that name. What it would be on the rain date is put in words.
fn ready(event: &Event, outlook: &Outlook, items: &[Ready]) -> Vec<(Ready, String)> {
    let lines = Strand::ALL.into_iter().map(|strand| {
        if let Some(items) = items.iter().find(|items| items.name == strand.as_str() && items.all() > 0) {
            return items.clone();
        }
        let here = |state: TaskState| {
            let counts = |&place: &usize| {
                let (task, _) = outlook.row(place);
                task.details.strand == strand
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
            what: "tasks done",
            rain: None,
        }
    });
    let with_rain = |line: Ready| {
        let rain = line.on_rain_date(outlook.today);
        (line, rain)
    };
    lines.filter(|line| line.all() > 0).map(with_rain).collect()
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
    let filter = filter.by_name(&outlook, &[]);
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
        lines: places.into_iter().map(|place| Line::of(id, &outlook, place, &visit.user)).collect(),
        total: outlook.tasks.len(),
        people: everyone(&outlook, &[]),
        back: format!("/events/{id}/tasks?{}", query.join("&")),
        filter,
    })
}
