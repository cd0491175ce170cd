//! The staffing proposal in words, and applying it. Nothing changes until it is applied.

mod plan;
mod words;

use super::editor::{CrewEditor, keeps_crew};
use super::page::{event, page, snapshot};
use super::posts::MOST_PLACES;
use super::snapshot::CrewSnapshot;
use super::{follow, store};
use crate::accounts::{SignedIn, Visit};
use crate::calc::staffing::Answer;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::link::LinkKey;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::grouped;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use plan::{Change, Plan};
use serde::Deserialize;
use std::sync::Arc;
use time::OffsetDateTime;
use words::{ChangeLine, DateView, PostLine, StandbyLine, Words};

pub(super) use plan::without_backup;

/// Who to count on, from the most people to the fewest.
const COUNTS: [(&str, &str, Answer); 3] = [
    ("all", "everyone the crew knows", Answer::NotAsked),
    ("asked", "people who were asked", Answer::Waiting),
    ("yes", "people who said yes", Answer::Yes),
];

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew/proposal", get(show_page).merge(post(take_over)))
}

#[derive(Debug, Clone, Deserialize)]
#[serde(default)]
struct Wanted {
    count: String,
    certainty: String,
    rate: String,
    /// The fingerprint of the proposal that was shown.
    fingerprint: String,
}

impl Default for Wanted {
    fn default() -> Self {
        Self {
            count: COUNTS[0].0.to_owned(),
            certainty: "95".to_owned(),
            rate: "80".to_owned(),
            fingerprint: String::new(),
        }
    }
}

impl Wanted {
    fn least(&self) -> Answer {
        COUNTS.iter().find(|count| count.0 == self.count).map_or(Answer::NotAsked, |count| count.2)
    }

    /// Certainty and show-up rate, as fractions of one.
    fn read(&self) -> Result<(f64, f64), Mistakes> {
        let mut mistakes = Mistakes::default();
        let certainty = mistakes.note("certainty", percent(&self.certainty, 50, 99));
        let rate = mistakes.note("rate", percent(&self.rate, 10, 100));
        if !COUNTS.iter().any(|count| count.0 == self.count) {
            mistakes.add("count", "Choose who to count on.");
        }
        certainty.zip(rate).filter(|_| mistakes.is_empty()).ok_or(mistakes)
    }
}

fn percent(text: &str, least: u8, most: u8) -> Result<f64, String> {
    let number = text.trim().trim_end_matches('%').trim_end().parse::<u8>().ok();
    let number = number.filter(|number| (least..=most).contains(number));
    number.map(|number| f64::from(number) / 100.0).ok_or_else(|| format!("Type a whole number from {least} to {most}."))
}

#[derive(Template)]
#[template(path = "crew/proposal.html")]
struct ProposalPage {
    page: Page,
    event_id: i64,
    keeps: bool,
    /// The user applied an older proposal than this one.
    is_stale: bool,
    wanted: Wanted,
    mistakes: Mistakes,
    dates: Vec<DateView>,
    posts: Vec<PostLine>,
    changes: Vec<ChangeLine>,
    rain_alone: Vec<String>,
    standbys: Vec<StandbyLine>,
    fingerprint: String,
}

async fn show_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let snapshot = Arc::new(snapshot(&app, id).await?);
    let page = view(&app, &visit, &snapshot, wanted).await?;
    if page.mistakes.is_empty() { show(&page) } else { show_as(StatusCode::UNPROCESSABLE_ENTITY, &page) }
}

/// Works out the proposal on a thread of its own.
async fn plan(app: &App, snapshot: &Arc<CrewSnapshot>, least: Answer) -> Result<Plan> {
    // A store from before there was a limit may hold more.
    let places = snapshot.posts.iter().map(|post| u32::from(post.details.needed)).sum::<u32>();
    if places > MOST_PLACES.into() {
        let reason = format!(
            "This crew needs {} people, and a proposal can place at most {}. Lower “Minimum number” for some positions \
             first.",
            grouped(places as usize),
            grouped(usize::from(MOST_PLACES))
        );
        return Err(Error::BadRequest(reason));
    }
    let snapshot = Arc::clone(snapshot);
    app.heavy.run(move |stop| Plan::of(&snapshot, least, || stop.is_set())).await
}

async fn view(app: &App, visit: &Visit, snapshot: &Arc<CrewSnapshot>, wanted: Wanted) -> Result<ProposalPage> {
    let (read, mistakes) = match wanted.read() {
        Ok(read) => (read, Mistakes::default()),
        Err(mistakes) => ((0.95, 0.8), mistakes),
    };
    let plan = plan(app, snapshot, wanted.least()).await?;
    let words = Words { snapshot, today: snapshot.event.today(app.clock.now()) };
    Ok(ProposalPage {
        page: page(app, visit, &snapshot.event, "Staffing proposal").await?,
        event_id: snapshot.event.id,
        keeps: keeps_crew(&visit.user),
        is_stale: false,
        dates: plan.dates.iter().map(|dated| words.date(dated)).collect(),
        posts: words.posts(&plan),
        changes: words.changes(&plan),
        rain_alone: words.rain_alone(&plan),
        standbys: words.standbys(&plan, read.0, read.1),
        fingerprint: plan.fingerprint,
        wanted,
        mistakes,
    })
}

async fn take_over(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(id): Path<i64>,
    Form(wanted): Form<Wanted>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let (actor, key) = (visit.user.actor(), app.link_key.clone());
    let plan = Arc::new(plan(&app, &Arc::new(snapshot(&app, id).await?), wanted.least()).await?);
    let taken = if plan.fingerprint == wanted.fingerprint {
        let write = app.db.write(move |tx| Box::pin(async move { write(tx, actor, (&event, &key), &plan, now).await }));
        write.await?
    } else {
        None
    };
    if let Some(count) = taken {
        let said = match count {
            0 => "Nothing changed: the crew already matches the proposal.".to_owned(),
            _ => "Proposal applied. Next, ask the people who haven't been asked yet.".to_owned(),
        };
        return Ok(flash::redirect(&format!("/events/{id}/crew"), &said));
    }
    let snapshot = Arc::new(snapshot(&app, id).await?);
    let mut page = view(&app, &visit, &snapshot, wanted).await?;
    page.is_stale = true;
    show_as(StatusCode::CONFLICT, &page)
}

/// Saves all changes or none, and returns how many. None if something that the proposal was
/// made from has changed.
async fn write(
    tx: &mut Tx,
    actor: Actor,
    (event, key): (&Event, &LinkKey),
    plan: &Plan,
    now: OffsetDateTime,
) -> Result<Option<usize>> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    if !plan.is_made_from(&snapshot) {
        return Ok(None);
    }
    for change in &plan.changes {
        apply(tx, actor, &snapshot, *change, now).await?;
        if let Change::Put { person, .. } = change {
            store::add_link(tx, (event.id, *person), key).await?;
        }
    }
    follow::refresh(tx, event.id, now).await?;
    Ok(Some(plan.changes.len()))
}

async fn apply(tx: &mut Tx, actor: Actor, snapshot: &CrewSnapshot, change: Change, now: OffsetDateTime) -> Result<()> {
    let post_name = |id: i64| snapshot.post(id).map(|post| post.details.name.as_str()).unwrap_or_default();
    let name = |id: i64| snapshot.people.get(&id).map(|person| person.details.name.as_str()).unwrap_or_default();
    let (Change::Seat { assignment } | Change::StandBy { assignment } | Change::Off { assignment }) = change else {
        if let Change::Put { person, post, .. } = change {
            let found = snapshot.post(post).zip(snapshot.people.get(&person));
            let Some((post, person)) = found else { return Ok(()) };
            store::assign(tx, actor, post, person, false, None, now).await?;
        }
        return Ok(());
    };
    let Some(one) = snapshot.assigned.iter().find(|one| one.id == assignment) else { return Ok(()) };
    let title = format!("{}: {}", post_name(one.post_id), name(one.person_id));
    match change {
        Change::Off { .. } => store::unassign(tx, actor, one, &title, now).await,
        Change::StandBy { .. } => store::set_standby(tx, actor, (one, &title), true, now).await,
        Change::Seat { .. } | Change::Put { .. } => store::set_standby(tx, actor, (one, &title), false, now).await,
    }
}
