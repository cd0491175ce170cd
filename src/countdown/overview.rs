//! The countdown itself: what sets the date, what to do now and next, and how ready it all is.

use super::agenda::{Agenda, WEEK};
use super::critical_path::{self, ChainNote};
use super::filter::{Filter, everyone};
use super::late::{Worst, worst};
use super::line::Line;
use super::places::{AllItems, DueLine};
use super::readiness::ready;
use super::responsible::Who;
use super::ruler::Ruler;
use super::{DrawnRooms, Outlook, Places, Ready, Responsible};
use crate::accounts::{SignedIn, User};
use crate::calc::plan::PlanStatus;
use crate::error::Result;
use crate::events::{self, Event};
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::query::query_escape;
use crate::web::routes::get;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use futures_util::future::try_join;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}", get(index))
}

#[derive(Template)]
#[template(path = "countdown/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    /// The worst of what is late.
    worst: Option<Worst>,
    ruler: Ruler,
    chain: ChainNote,
    mine: bool,
    late: usize,
    week: usize,
    now: Vec<Line>,
    /// What can start now, and what waits for other tasks.
    next: Vec<Line>,
    later: Vec<Line>,
    /// Whose tasks these are, if someone was chosen.
    whose: String,
    waiting: Vec<Line>,
    /// How ready each part is, and the same for the rain date in words.
    ready: Vec<(Ready, String)>,
    rooms: Option<DrawnRooms>,
    /// Where to return after a button.
    back: String,
    people: Vec<Who>,
    filter: Filter,
}

async fn index(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Extension(places): Extension<Places>,
    Path(id): Path<i64>,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = events::found(app.db.read(), id).await?;
    let (outlook, items) = try_join(Outlook::load(&app, &event, now), places.items(&app, &event, now)).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Countdown");
    show(&Index::of(page, &event, &outlook, &items, &visit.user, filter))
}

impl Index {
    fn of(page: Page, event: &Event, outlook: &Outlook, items: &AllItems, user: &User, filter: Filter) -> Self {
        let filter = filter.by_name(outlook, &items.due);
        let mine = filter.who.is_empty() && !user.is_officer();
        let chosen = |whose: &Responsible| if mine { whose.is_of(user) } else { filter.takes(whose) };
        let agenda = Agenda::of(outlook, |task| chosen(&task.responsible));
        let lines = |places: &[usize]| places.iter().map(|&place| Line::of(event.id, outlook, place, user)).collect();
        let week_ends = outlook.today + WEEK;
        let due = items.due.iter().filter(|line| line.due.on <= week_ends && chosen(&line.responsible));
        let due: Vec<&DueLine> = due.collect();
        let late = late(outlook, chosen);
        let people = everyone(outlook, &items.due);
        let query = if filter.who.is_empty() { String::new() } else { format!("?who={}", query_escape(&filter.who)) };
        Self {
            page,
            event_id: event.id,
            worst: worst(event.id, outlook, &late, &due, user),
            ruler: Ruler::draw(event, outlook),
            chain: critical_path::chain(outlook),
            mine,
            late: agenda.late + due.iter().filter(|line| line.due.on < outlook.today).count(),
            week: agenda.now.len() - agenda.late + due.iter().filter(|line| line.due.on >= outlook.today).count(),
            now: agenda.with(&due, lines(&agenda.now), user, outlook),
            next: lines(&agenda.next),
            later: lines(&agenda.later),
            whose: people.iter().find(|who| who.value == filter.who).map(|who| who.name.clone()).unwrap_or_default(),
            waiting: lines(&agenda.waiting),
            ready: ready(event, outlook, &items.ready),
            rooms: items.rooms.clone(),
            back: format!("{}{query}", event.href()),
            people,
            filter,
        }
    }
}

/// The late tasks of those that were chosen.
fn late(outlook: &Outlook, chosen: impl Fn(&Responsible) -> bool) -> Vec<usize> {
    let rows = outlook.rows().enumerate();
    let late = rows.filter(|(_, (task, row))| row.status == PlanStatus::Late && chosen(&task.responsible));
    late.map(|(place, _)| place).collect()
}
