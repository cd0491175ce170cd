//! The wall plan: all tasks on one sheet of paper, and the same in tables.

mod item;
mod measures;
mod poster;
mod sheet;

use super::critical_path::{self, ChainNote};
use super::drawing::KeyDays;
use super::{DrawnRooms, Outlook, Places, Strand, Task, TaskState, explain};
use crate::accounts::SignedIn;
use crate::calc::plan::PlanStatus;
use crate::error::Result;
use crate::events;
use crate::permit_records::{self, Permit};
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::{self, Reader};
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use poster::Poster;
use std::collections::BTreeMap;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/wall", get(wall))
}

#[derive(Template)]
#[template(path = "countdown/wall.html")]
struct Wall {
    page: Page,
    event_id: i64,
    /// The event's name, and the line beside it: whose burn, where, and as of when.
    name: String,
    line: String,
    poster: Poster,
    chain: ChainNote,
    /// In ISO form, and in words.
    dates: Vec<(String, String)>,
    strands: Vec<(&'static str, Vec<PlanLine>)>,
    rooms: Option<DrawnRooms>,
}

/// One task in the tables.
struct PlanLine {
    id: i64,
    title: String,
    who: String,
    start: String,
    due: String,
    is_late: bool,
    in_chain: bool,
    state: &'static str,
}

async fn wall(
    State(app): State<App>,
    Extension(places): Extension<Places>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlook) = Outlook::find(&app, id, now).await?;
    let rooms = places.items(&app, &event, now).await?.rooms.clone();
    let permits = permit_records::of_event(&mut *app.db.read().acquire().await?, id).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Wall plan");
    let dates = other_dates(&outlook, &permits);
    let as_of = format!("as of {}", Reader::App.moment(event.details.zone.wall(now)));
    let line = [page.department.as_str(), event.details.site.as_str(), as_of.as_str()];
    show(&Wall {
        event_id: id,
        name: event.details.name.clone(),
        line: line.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · "),
        poster: Poster::draw(&KeyDays::of(&event, &outlook), &outlook, &dates),
        chain: critical_path::chain(&outlook),
        dates: dates.into_iter().map(|(on, says)| (words::iso(on), says)).collect(),
        strands: tables(&outlook),
        rooms,
        page,
    })
}

/// By when answers are needed, and when permits expire.
fn other_dates(outlook: &Outlook, permits: &[Permit]) -> Vec<(Date, String)> {
    let day = |on| Reader::App.near_day(on, outlook.today);
    let mut answers: BTreeMap<Date, Vec<&str>> = BTreeMap::new();
    for (kind, on) in outlook.answers_due() {
        answers.entry(on).or_default().push(kind.group());
    }
    let answers =
        answers.into_iter().map(|(on, who)| (on, format!("Answers from {} by {}", words::and(&who), day(on))));
    let expires = permits.iter().filter_map(|permit| {
        let on = permit.details.expires_on?;
        Some((on, format!("{} expires {}", permit.details.title, day(on))))
    });
    let mut dates: Vec<(Date, String)> = answers.chain(expires).collect();
    dates.sort();
    dates
}

/// All tasks by strand, except those that aren't needed.
fn tables(outlook: &Outlook) -> Vec<(&'static str, Vec<PlanLine>)> {
    let table = |strand: Strand| {
        let is_here = |task: &Task| task.details.strand == strand && task.state != TaskState::NotNeeded;
        let mut here: Vec<usize> = (0..outlook.tasks.len()).filter(|&place| is_here(&outlook.tasks[place])).collect();
        here.sort_by_key(|&place| (outlook.schedule.rows[place].due, place));
        let lines: Vec<PlanLine> = here.into_iter().map(|place| PlanLine::of(outlook, place)).collect();
        (strand.label(), lines)
    };
    Strand::ALL.into_iter().map(table).filter(|(_, lines)| !lines.is_empty()).collect()
}

impl PlanLine {
    fn of(outlook: &Outlook, place: usize) -> Self {
        let (task, row) = outlook.row(place);
        Self {
            id: task.id,
            title: task.details.title.clone(),
            who: task.who().to_owned(),
            start: Reader::App.near_day(row.latest_start, outlook.today),
            due: explain::due(outlook, task, row),
            is_late: row.status == PlanStatus::Late,
            in_chain: outlook.schedule.chain.iter().any(|step| step.task == place),
            state: task.state.as_str(),
        }
    }
}
