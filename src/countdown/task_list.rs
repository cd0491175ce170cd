//! All tasks in a list.

use super::Outlook;
use super::filter::{Filter, everyone};
use super::line::Line;
use super::responsible::Who;
use crate::accounts::SignedIn;
use crate::error::Result;
use crate::events;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::query::query_escape;
use crate::web::routes::get;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/tasks", get(tasks))
}

#[derive(Template)]
#[template(path = "countdown/tasks.html")]
struct Tasks {
    page: Page,
    event_id: i64,
    lines: Vec<Line>,
    total: usize,
    people: Vec<Who>,
    filter: Filter,
    back: String,
}

async fn tasks(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlook) = Outlook::find(&app, id, now).await?;
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
