//! The page of the program, also for a late start.

use super::timeline::{Following, ReadFollowing};
use super::times::ProgramTimes;
use crate::accounts::SignedIn;
use crate::error::Result;
use crate::guests::{page, store};
use crate::state::App;
use crate::web::form::{self, Mistakes};
use crate::web::page::{Page, show_as};
use crate::web::path::Path;
use crate::web::routes::get;
use askama::Template;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/program", get(show_page))
}

/// The latest start, in minutes.
const MOST_LATE: u32 = 120;

#[derive(Template)]
#[template(path = "guests/program.html")]
struct ProgramPage {
    page: Page,
    event_id: i64,
    late: String,
    mistakes: Mistakes,
    is_kept: bool,
    begins: u32,
    rate: u32,
    times: ProgramTimes,
    following: Vec<Following>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Late {
    late: String,
}

async fn show_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Extension(following): Extension<ReadFollowing>,
    Query(late): Query<Late>,
) -> Result<Response> {
    let snapshot = page::snapshot(&app, id).await?;
    let kept = store::program(&mut *app.db.read().acquire().await?, id).await?;
    let mut mistakes = Mistakes::default();
    let minutes = if late.late.trim().is_empty() { Ok(0) } else { form::number(&late.late, 0, MOST_LATE) };
    let minutes = mistakes.note("late", minutes);
    let page = ProgramPage {
        page: page::page(&app, &visit, &snapshot.event, "Program").await?,
        event_id: id,
        late: late.late,
        is_kept: kept.version > 0,
        begins: kept.begins,
        rate: snapshot.settings.rate,
        times: kept.times(&snapshot, minutes.unwrap_or(0)),
        // The talk's own times are those of a program on time.
        following: if minutes.unwrap_or(0) == 0 {
            following(app.clone(), snapshot.event.clone()).await?
        } else {
            Vec::new()
        },
        mistakes,
    };
    let status = if page.mistakes.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    show_as(status, &page)
}
