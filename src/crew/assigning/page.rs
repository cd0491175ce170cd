//! The page of a position: who has it, and who could.

use super::choices::{Choice, choices};
use crate::accounts::{self, SignedIn, Visit};
use crate::crew::editor::{keeps_crew, may_decide};
use crate::crew::lines::{DateLine, PersonLine};
use crate::crew::page::{page, snapshot};
use crate::crew::snapshot::CrewSnapshot;
use crate::crew::{Post, Violation};
use crate::db::journal;
use crate::error::{Error, Result};
use crate::people::choosing::{Adding, Chooser, Find};
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;

pub(in crate::crew) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew/positions/{post}", get(show_page))
}

#[derive(Template)]
#[template(path = "crew/post.html")]
pub(super) struct PostPage {
    page: Page,
    event_id: i64,
    post: Post,
    hours: String,
    needs: Vec<(String, String)>,
    dates: Vec<DateLine>,
    people: Vec<PersonLine>,
    keeps: bool,
    /// Why the user may not override a rule for the chosen person. Empty if they may.
    who_overrides: &'static str,
    choices: Vec<Choice>,
    chooser: Chooser,
    /// Someone who isn't in People yet, and whether this user may add them.
    pub adding: Adding,
    adds: bool,
    form: AssignForm,
    /// The rules that the chosen person would break.
    pub refused: Vec<Violation>,
    pub refused_name: String,
    pub mistakes: Mistakes,
    history: Vec<HistoryLine>,
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(super) struct AssignForm {
    pub person: i64,
    pub standby: String,
    pub reason: String,
}

async fn show_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, post)): Path<(i64, i64)>,
    Query(form): Query<AssignForm>,
    Query(find): Query<Find>,
) -> Result<Response> {
    let snapshot = snapshot(&app, id).await?;
    show(&PostPage::load(&app, &visit, &snapshot, post, form, &find).await?)
}

impl PostPage {
    pub async fn load(
        app: &App,
        visit: &Visit,
        snapshot: &CrewSnapshot,
        post: i64,
        form: AssignForm,
        find: &Find,
    ) -> Result<Self> {
        let now = app.clock.now();
        let post = snapshot.post(post).ok_or(Error::NotFound)?;
        let (event, today) = (&snapshot.event, snapshot.event.today(now));
        let keeps = keeps_crew(&visit.user);
        let (choices, chooser) = choices(app, snapshot, post, form.person, find).await?;
        let needs = post.details.needs.iter().filter_map(|id| snapshot.qualification(*id));
        let history = journal::of(app.db.read(), "post", post.id).await?;
        let accounts = accounts::list(app.db.read()).await?;
        let date = |on| DateLine { seats: snapshot.seats(post, on), ..DateLine::of(snapshot, on, today) };
        let here = snapshot.at(post.id, event.details.burn_on);
        Ok(Self {
            page: page(app, visit, event, &post.details.name).await?,
            event_id: event.id,
            hours: post.details.hours.says(),
            needs: needs.map(|one| (one.name.clone(), one.basis.clone())).collect(),
            dates: snapshot.dates().map(date).collect(),
            people: here.iter().map(|one| PersonLine::of(snapshot, one, now)).collect(),
            keeps,
            who_overrides: may_decide(&visit.user, form.person, &accounts).err().unwrap_or_default(),
            choices: if keeps { choices } else { Vec::new() },
            chooser,
            adding: Adding::default(),
            adds: visit.user.keeps_people(),
            form,
            refused: Vec::new(),
            refused_name: String::new(),
            mistakes: Mistakes::default(),
            history: app.history.lines(history, &event.details.zone),
            post: post.clone(),
        })
    }
}
