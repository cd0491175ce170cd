//! The talk practiced against one of the plan's fires.

use super::clock::{Run, drawn, runs};
use super::form::PracticeForm;
use super::kept::{Kept, kept};
use super::measured::{own_rate, planned, rate};
use super::pieces::{Piece, Turned, pieces, turned};
use super::store;
use crate::accounts::{SignedIn, Visit, Worker};
use crate::calc::talk::Audience;
use crate::error::Result;
use crate::fire;
use crate::state::App;
use crate::talk::page::{event, href, under};
use crate::talk::says;
use crate::talk::snapshot::TalkSnapshot;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;

pub(in crate::talk) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/talk/practice", get(index))
        .route("/events/{id}/burn-day/talk/practices", post(keep))
        .route("/events/{id}/burn-day/talk/practices/{practice}/remove", post(remove))
}

#[derive(Template)]
#[template(path = "talk/practice.html")]
struct PracticePage {
    page: Page,
    event_id: i64,
    may: bool,
    decides: &'static str,
    /// "ready", "waiting", or "missing".
    clock: &'static str,
    fire: usize,
    pinned: i64,
    count: usize,
    runs: Vec<Run>,
    pieces: Vec<Piece>,
    turned: Vec<Turned>,
    planned: [u32; 2],
    own: String,
    kept: Vec<Kept>,
    form: PracticeForm,
    mistakes: Mistakes,
    is_bare: bool,
}

#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Which {
    fire: Option<usize>,
}

async fn practice_page(
    app: &App,
    visit: &Visit,
    snapshot: &TalkSnapshot,
    fire: usize,
    (form, mistakes): (PracticeForm, Mistakes),
) -> Result<PracticePage> {
    let now = app.clock.now();
    let fires = drawn(snapshot, fire);
    let pace = &snapshot.settings.pace;
    Ok(PracticePage {
        page: under(app, visit, &snapshot.event, "Practice").await?,
        event_id: snapshot.event.id,
        may: visit.user.works(),
        decides: fire::DECIDES,
        clock: says::has_clock(&snapshot.clock),
        fire,
        pinned: snapshot.fires().map_or(0, |fires| fires.pinned_at),
        count: snapshot.fires().map_or(0, |fires| fires.times.len()),
        runs: runs(snapshot, &fires),
        pieces: pieces(snapshot),
        turned: turned(snapshot),
        planned: [planned(pace, Audience::All), planned(pace, Audience::Adults)],
        own: own_rate(&snapshot.practices, visit.user.account_id),
        kept: snapshot.practices.iter().map(|practice| kept(snapshot, practice, now)).collect(),
        form,
        mistakes,
        is_bare: snapshot.lines.is_empty(),
    })
}

async fn index(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(Which { fire }): Query<Which>,
) -> Result<Response> {
    let snapshot = TalkSnapshot::load(&app, id).await?;
    let count = snapshot.fires().map_or(1, |fires| fires.times.len().max(1));
    // Another fire each time; a number in the address brings one back.
    let by_clock = usize::try_from(app.clock.now().unix_timestamp()).unwrap_or_default().wrapping_mul(7_919);
    let fire = fire.unwrap_or(by_clock) % count;
    let form = (PracticeForm::default(), Mistakes::default());
    show(&practice_page(&app, &visit, &snapshot, fire, form).await?)
}

async fn keep(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Form(typed): Form<PracticeForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = TalkSnapshot::load(&app, id).await?;
    let new = match typed.read(&snapshot, now) {
        Ok(new) => new,
        Err(mistakes) => {
            let count = snapshot.fires().map_or(1, |fires| fires.times.len().max(1));
            let fire = typed.fire.parse::<usize>().unwrap_or_default() % count;
            let page = practice_page(&app, &visit, &snapshot, fire, (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let measured = rate(new.children).is_some() || rate(new.adults).is_some();
    let account = visit.user.account_id;
    app.db.write(move |tx| Box::pin(async move { store::add_practice(tx, account, id, &new, now).await })).await?;
    let said = if measured {
        "Practice saved. Your pace is below."
    } else {
        "Practice saved. It doesn't count for your pace: nothing was finished, or not at the speed of speech."
    };
    Ok(flash::redirect(&format!("{}/practice", href(id)), said))
}

async fn remove(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, practice)): Path<(i64, i64)>,
) -> Result<Response> {
    event(&app, id).await?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write =
        app.db.write(move |tx| Box::pin(async move { store::remove_practice(tx, actor, id, practice, now).await }));
    let said = if write.await? { "Practice removed." } else { "This practice is gone already." };
    Ok(flash::redirect(&format!("{}/practice", href(id)), said))
}
