use super::check;
use super::marks;
use super::refusals::{Refusal, Why};
use super::store::{self, Reader};
use super::views::{self, PaperLine, PaperPage, Print, Sheet, found, known, line, view};
use super::{Draft, Filled, Layout, PAPER_KINDS, Paper, PaperFacts, PaperKind, draft};
use crate::accounts::{SignedIn, Visit};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::press::editor::{PressEditor, event};
use crate::press::facts;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::{Date, Time};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/press/releases", get(index).merge(post(begin)))
        .route("/events/{id}/press/releases/{paper}", get(paper).merge(post(save)))
        .route("/events/{id}/press/releases/{paper}/approve", post(approve))
        .route("/events/{id}/press/releases/{paper}/print", get(print))
}

#[derive(Template)]
#[template(path = "press/papers.html")]
struct Index {
    page: Page,
    event_id: i64,
    keeps: bool,
    lines: Vec<PaperLine>,
    /// Each with its label.
    kinds: Vec<(&'static str, &'static str)>,
    mistakes: Mistakes,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    show(&index_view(&app, &visit, &event(&app, id).await?, Mistakes::default()).await?)
}

async fn index_view(app: &App, visit: &Visit, event: &Event, mistakes: Mistakes) -> Result<Index> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled("Releases");
    let facts = known(app, event).await?;
    let papers = store::of_event(&mut *app.db.read().acquire().await?, event.id).await?;
    let lines = papers.iter().map(|paper| line(paper, event, &facts)).collect();
    let keeps = visit.user.keeps_people();
    let kinds = PAPER_KINDS.into_iter().zip(PaperKind::ALL.map(PaperKind::label)).collect();
    Ok(Index { page, event_id: event.id, keeps, lines, kinds, mistakes })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct BeginForm {
    kind: String,
}

async fn begin(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<BeginForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let mut mistakes = Mistakes::default();
    let Some(kind) = mistakes.note("kind", form.kind.parse::<PaperKind>()) else {
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &index_view(&app, &visit, &event, mistakes).await?);
    };
    let facts = facts::of_event(&mut *app.db.read().acquire().await?, id).await?;
    let start = draft::Start { home: &visit.user.department.home, today: event.today(now) };
    let (headline, text) = draft::draft(kind, &facts, &start);
    let by = visit.user.account_id;
    let begin = app
        .db
        .write(move |tx| Box::pin(async move { store::new_paper(tx, by, id, kind, (&headline, &text), now).await }));
    let paper = begin.await?;
    Ok(flash::redirect(
        &format!("/events/{id}/press/releases/{paper}"),
        "Your draft is ready. It starts with the press facts.",
    ))
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
pub(super) struct PaperForm {
    pub headline: String,
    pub text: String,
    pub embargo_on: String,
    pub embargo_at: String,
    pub version: i64,
}

impl PaperForm {
    pub fn of(draft: &Draft, version: i64) -> Self {
        let part = |part: fn((Date, Time)) -> String| draft.embargo.map(part).unwrap_or_default();
        Self {
            headline: draft.headline.clone(),
            text: draft.text.clone(),
            embargo_on: part(|(on, _)| words::iso(on)),
            embargo_at: part(|(_, at)| words::iso_time(at)),
            version,
        }
    }

    fn read(&self, facts: &PaperFacts) -> Result<Draft, Mistakes> {
        let mut mistakes = Mistakes::default();
        let headline = mistakes.note("headline", form::line(&self.headline, 150));
        let text = mistakes.note("text", form::paragraph(&self.text, 6_000));
        if text.as_deref() == Some("") {
            mistakes.add("text", "This can't be empty.");
        }
        for (field, typed) in [("headline", &headline), ("text", &text)] {
            if let Some(mistake) = typed.as_ref().and_then(|typed| marks::mistake(typed, facts)) {
                mistakes.add(field, mistake);
            }
        }
        let embargo = if self.embargo_on.trim().is_empty() && self.embargo_at.trim().is_empty() {
            None
        } else {
            let on = mistakes.note("embargo_on", form::day(&self.embargo_on));
            let at = mistakes.note("embargo_on", form::time_of_day(&self.embargo_at));
            on.zip(at)
        };
        match (headline, text, mistakes.is_empty()) {
            (Some(headline), Some(text), true) => Ok(Draft { headline, text, embargo }),
            _ => Err(mistakes),
        }
    }
}

async fn paper(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, paper)): Path<(i64, i64)>,
) -> Result<Response> {
    show(&typed(&app, &visit, found(&app, id, paper).await?, None).await?)
}

/// The page with the text as it was saved.
pub(super) async fn typed(
    app: &App,
    visit: &Visit,
    found: (Event, PaperFacts, Paper),
    refused: Option<Refusal>,
) -> Result<PaperPage> {
    let form = PaperForm::of(&found.2.draft, found.2.version);
    view(app, visit, found, (form, Mistakes::default()), refused).await
}

async fn save(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<PaperForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, facts, paper) = found(&app, id, paper).await?;
    let here = format!("/events/{id}/press/releases/{}", paper.id);
    let new = match form.read(&facts) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, (event, facts, paper), (form, mistakes), None).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    if new == paper.draft && form.version == paper.version {
        return Ok(flash::redirect(&here, "There was nothing to save: the text is the same."));
    }
    let (by, version, number) = (visit.user.account_id, form.version, paper.id);
    let save =
        app.db.write(move |tx| Box::pin(async move { store::save(tx, by, &paper, &new, version, now).await })).await?;
    if save {
        return Ok(flash::redirect(&here, "The text is saved."));
    }
    let (event, _, paper) = found(&app, id, number).await?;
    let theirs = PaperForm::of(&paper.draft, paper.version);
    let mut conflict = Conflict::new(paper.kind.label(), here, paper.version);
    conflict.field("headline", "Headline", &theirs.headline, &form.headline);
    conflict.field("text", "Text", &theirs.text, &form.text);
    conflict.field("embargo_on", "Embargo date", &theirs.embargo_on, &form.embargo_on);
    conflict.field("embargo_at", "Embargo time", &theirs.embargo_at, &form.embargo_at);
    conflict::show(events::page(&app, &visit, Some(&event), now).await?, &conflict)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct ApproveForm {
    version: i64,
    /// Tells which text was read.
    read: String,
    /// "nobody" if it is released without anyone else reading it.
    read_by: String,
    sure: String,
}

async fn approve(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<ApproveForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, facts, paper) = found(&app, id, paper).await?;
    let by = visit.user.account_id;
    let is_unread = form.read_by == "nobody";
    let mut refused = why_not(&paper, &event, &facts, &form);
    if refused.is_none() && is_unread {
        refused = unread_refusal(&app, &visit, &form).await?;
    } else if refused.is_none() && paper.edited_by == by {
        let says = "You edited this text last, so someone else must approve it.";
        refused = Some(Refusal::new(Why::OwnText, says));
    }
    if refused.is_some() {
        let page = typed(&app, &visit, (event, facts, paper), refused).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    let (number, kind, department) = (paper.id, paper.kind, visit.user.department.name.clone());
    let reader = if is_unread { Reader::Nobody(by) } else { Reader::Account(by) };
    let approve = app.db.write(move |tx| {
        Box::pin(async move {
            let read = (number, Some(form.version), Some(form.read.as_str()));
            store::approve(tx, reader, (id, &department), read, now).await
        })
    });
    let said = match approve.await? {
        Some(version) if is_unread => {
            format!("The {} v{version} is released. No one else has read it.", kind.label())
        }
        Some(version) => format!("The {} v{version} is approved. You can email it now.", kind.label()),
        None => "Nothing was approved: someone changed the text just now. Read it again.".to_owned(),
    };
    Ok(flash::redirect(&format!("/events/{id}/press/releases/{number}"), &said))
}

/// Why a text can't be released unread; none if it can.
async fn unread_refusal(app: &App, visit: &Visit, form: &ApproveForm) -> Result<Option<Refusal>> {
    Ok(if !views::is_alone(app, visit).await? {
        let says = "Someone else with an account can read this. Ask them to approve it.";
        Some(Refusal::new(Why::OtherReader, says))
    } else if form.sure == "yes" {
        None
    } else {
        Some(Refusal::new(Why::NotSure, "Nothing was released. Check the box to say that no one else has read it."))
    })
}

/// Why the text can't be approved as this person read it; none if it can.
fn why_not(paper: &Paper, event: &Event, facts: &PaperFacts, form: &ApproveForm) -> Option<Refusal> {
    if paper.is_approved(event, facts) {
        Some(Refusal::new(Why::Approved, "This text is already approved."))
    } else if paper.version != form.version || form.read != Filled::of(&paper.draft, event, facts).digest() {
        let says = "Nothing was approved: the text changed after you read it. Read it again.";
        Some(Refusal::new(Why::Changed, says))
    } else {
        Refusal::by(&check::check(paper.kind, &paper.draft, facts), "Nothing was approved.")
    }
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    v: i64,
}

async fn print(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, paper)): Path<(i64, i64)>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, facts, paper) = found(&app, id, paper).await?;
    let page = events::page(&app, &visit, Some(&event), now).await?.titled("Print or copy");
    let page = page.under(format!("/events/{id}/press/releases/{}", paper.id), views::sentence(paper.kind));
    let (sheet, called) = Sheet::of(&paper, wanted.v, &event, &facts);
    if called.is_none() && wanted.v != 0 {
        return Err(Error::NotFound);
    }
    let department = visit.user.department.name.clone();
    let Sheet { headline, text, embargo, dated, is_outdated, is_unread, warning } = sheet;
    let layout = Layout::of(paper.kind, (&headline, &text, &embargo), dated.unwrap_or_else(|| event.today(now)));
    show(&Print {
        page,
        whole: layout.plain(&department),
        department,
        layout,
        is_draft: called.is_none(),
        called: called.unwrap_or_else(|| format!("{}, not approved", paper.kind.label())),
        is_outdated,
        is_unread,
        warning,
    })
}
