use super::{Draft, PAPER_KINDS, Paper, PaperKind, check, draft, embargo_says, store, whole};
use crate::accounts::{SignedIn, Visit};
use crate::calc::reading::Reading;
use crate::db::journal;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::press::facts;
use crate::press::keeper::{Keeper, event};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::{get, post};
use axum_extra::extract::Query;
use serde::Deserialize;
use time::{Date, Time};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/press/papers", get(index).post(begin))
        .route("/events/{id}/press/papers/{paper}", get(paper).post(save))
        .route("/events/{id}/press/papers/{paper}/approve", post(approve))
        .route("/events/{id}/press/papers/{paper}/print", get(print))
}

/// An advisory is read with this grade at most: advice.
const ADVISED_GRADE: f64 = 9.0;

#[derive(Template)]
#[template(path = "press/papers.html")]
struct Index {
    page: Page,
    event_id: i64,
    keeps: bool,
    lines: Vec<PaperLine>,
    kinds: &'static [&'static str],
    mistakes: Mistakes,
}

/// A paper in a list.
#[derive(Debug)]
pub(in crate::press) struct PaperLine {
    pub id: i64,
    pub title: String,
    pub headline: String,
    pub stands: String,
    pub sign: &'static str,
}

/// How a paper stands, in a line.
pub(in crate::press) fn line(paper: &Paper, event: &Event, facts: &facts::Facts) -> PaperLine {
    let missing = check::missing(paper.kind, &paper.draft.text, event, facts).len();
    let newest = paper.versions.first();
    let is_approved = paper.is_approved(&event.details.zone);
    let (stands, sign) = match newest {
        Some(version) if is_approved => (format!("v{} approved by {}", version.number, version.approver), "done"),
        _ if missing > 0 => {
            (format!("draft, {}", words::count(missing, "thing is missing", "things are missing")), "todo")
        }
        Some(version) => (format!("changed after v{}, waits for approval", version.number), "waiting"),
        None => ("waits for approval".to_owned(), "waiting"),
    };
    PaperLine { id: paper.id, title: sentence(paper.kind), headline: paper.draft.headline.clone(), stands, sign }
}

fn sentence(kind: PaperKind) -> String {
    let name = kind.as_str();
    name[..1].to_uppercase() + &name[1..]
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    show(&index_view(&app, &visit, &event(&app, id).await?, Mistakes::default()).await?)
}

async fn index_view(app: &App, visit: &Visit, event: &Event, mistakes: Mistakes) -> Result<Index> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled("Papers").at("Press");
    let mut db = app.db.read().acquire().await?;
    let (papers, facts) = (store::of_event(&mut db, event.id).await?, facts::of_event(&mut db, event.id).await?);
    let lines = papers.iter().map(|paper| line(paper, event, &facts)).collect();
    let keeps = visit.user.keeps_people();
    Ok(Index { page, event_id: event.id, keeps, lines, kinds: &PAPER_KINDS, mistakes })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct BeginForm {
    kind: String,
}

async fn begin(
    State(app): State<App>,
    Keeper(visit): Keeper,
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
    let (headline, text) = draft::draft(kind, &event, &visit.user.department.name, &facts);
    let by = visit.user.account_id;
    let begin = app
        .db
        .write(move |tx| Box::pin(async move { store::new_paper(tx, by, id, kind, (&headline, &text), now).await }));
    let paper = begin.await?;
    Ok(flash::redirect(&format!("/events/{id}/press/papers/{paper}"), "A draft is begun out of the press facts."))
}

/// A paper of this event.
pub(super) async fn found(app: &App, event_id: i64, id: i64) -> Result<(Event, Paper)> {
    let event = event(app, event_id).await?;
    let paper = store::find(&mut *app.db.read().acquire().await?, event_id, id).await?;
    Ok((event, paper.ok_or(Error::NotFound)?))
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct PaperForm {
    headline: String,
    text: String,
    embargo_on: String,
    embargo_at: String,
    version: i64,
}

impl PaperForm {
    fn of(draft: &Draft, version: i64) -> Self {
        let part = |part: fn((Date, Time)) -> String| draft.embargo.map(part).unwrap_or_default();
        Self {
            headline: draft.headline.clone(),
            text: draft.text.clone(),
            embargo_on: part(|(on, _)| words::iso(on)),
            embargo_at: part(|(_, at)| words::clock(at)),
            version,
        }
    }

    fn read(&self) -> Result<Draft, Mistakes> {
        let mut mistakes = Mistakes::default();
        let headline = mistakes.note("headline", form::line(&self.headline, 150));
        let text = mistakes.note("text", form::paragraph(&self.text, 6_000));
        if text.as_deref() == Some("") {
            mistakes.add("text", "This can't be empty.");
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

#[derive(Template)]
#[template(path = "press/paper.html")]
struct PaperPage {
    page: Page,
    event_id: i64,
    paper: Paper,
    title: String,
    keeps: bool,
    edited: String,
    missing: Vec<String>,
    is_approved: bool,
    /// The reader of the page edited it last.
    is_own: bool,
    length: String,
    grade: String,
    advice: &'static str,
    embargo: String,
    versions: Vec<VersionLine>,
    form: PaperForm,
    mistakes: Mistakes,
    refused: String,
    history: Vec<HistoryLine>,
}

struct VersionLine {
    number: i64,
    says: String,
    sent: usize,
}

async fn paper(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, paper)): Path<(i64, i64)>,
) -> Result<Response> {
    let (event, paper) = found(&app, id, paper).await?;
    let form = PaperForm::of(&paper.draft, paper.version);
    show(&view(&app, &visit, &event, paper, (form, Mistakes::default()), String::new()).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    event: &Event,
    paper: Paper,
    (form, mistakes): (PaperForm, Mistakes),
    refused: String,
) -> Result<PaperPage> {
    let title = sentence(paper.kind);
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled(&title).at("Press");
    let told = journal::of(app.db.read(), "paper", paper.id).await?;
    let mut db = app.db.read().acquire().await?;
    let facts = facts::of_event(&mut db, event.id).await?;
    let zone = &event.details.zone;
    let moment = |at| words::moment(zone.wall(at));
    let mut versions = Vec::new();
    for version in &paper.versions {
        let says = format!("approved by {}, {}", version.approver, moment(version.approved_at));
        versions.push(VersionLine {
            number: version.number,
            says,
            sent: store::sent_to(&mut db, version.id).await?.len(),
        });
    }
    let reading = Reading::of(&paper.draft.text);
    let grade = reading.grade();
    let long = grade.is_some_and(|grade| grade > ADVISED_GRADE);
    Ok(PaperPage {
        page,
        event_id: event.id,
        title,
        keeps: visit.user.keeps_people(),
        edited: format!("{}, {}", paper.editor, moment(paper.edited_at)),
        missing: check::missing(paper.kind, &paper.draft.text, event, &facts),
        is_approved: paper.is_approved(zone),
        is_own: paper.edited_by == visit.user.account_id,
        length: words::count(usize::try_from(reading.words).unwrap_or(0), "word", "words"),
        grade: grade.map(|grade| format!("{grade:.1}")).unwrap_or_default(),
        advice: if long {
            "above grade 9: shorter sentences and plainer words read better"
        } else {
            "grade 9 or lower reads well"
        },
        embargo: embargo_says(paper.draft.embargo, zone),
        versions,
        form,
        mistakes,
        refused,
        history: told.into_iter().map(|told| HistoryLine::of(told, zone)).collect(),
        paper,
    })
}

async fn save(
    State(app): State<App>,
    Keeper(visit): Keeper,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<PaperForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, paper) = found(&app, id, paper).await?;
    let here = format!("/events/{id}/press/papers/{}", paper.id);
    let new = match form.read() {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, paper, (form, mistakes), String::new()).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    if new == paper.draft && form.version == paper.version {
        return Ok(flash::redirect(&here, "Nothing was changed."));
    }
    let (by, version, number) = (visit.user.account_id, form.version, paper.id);
    let save =
        app.db.write(move |tx| Box::pin(async move { store::save(tx, by, &paper, &new, version, now).await })).await?;
    if save {
        return Ok(flash::redirect(&here, "The text is kept."));
    }
    let (event, paper) = found(&app, id, number).await?;
    let theirs = PaperForm::of(&paper.draft, paper.version);
    let mut conflict = Conflict::new(paper.kind.as_str(), here, paper.version);
    conflict.field("headline", "Headline", &theirs.headline, &form.headline);
    conflict.field("text", "Text", &theirs.text, &form.text);
    conflict.field("embargo_on", "Hold until, day", &theirs.embargo_on, &form.embargo_on);
    conflict.field("embargo_at", "Hold until, time", &theirs.embargo_at, &form.embargo_at);
    conflict::show(events::page(&app, &visit, Some(&event), now).await?.at("Press"), &conflict)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct ApproveForm {
    version: i64,
}

async fn approve(
    State(app): State<App>,
    Keeper(visit): Keeper,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<ApproveForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, paper) = found(&app, id, paper).await?;
    let facts = facts::of_event(&mut *app.db.read().acquire().await?, id).await?;
    let by = visit.user.account_id;
    let refused = why_not(&paper, &event, &facts, by, form.version);
    if !refused.is_empty() {
        let typed = (PaperForm::of(&paper.draft, paper.version), Mistakes::default());
        let page = view(&app, &visit, &event, paper, typed, refused).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    let (number, kind) = (paper.id, paper.kind);
    let read = (paper.id, form.version);
    let approve = app.db.write(move |tx| Box::pin(async move { store::approve(tx, by, &event, read, now).await }));
    let said = match approve.await? {
        Some(version) => format!("The {kind} v{version} is approved and stays as it is."),
        None => "Nothing was approved: the text was changed meanwhile. Read it again.".to_owned(),
    };
    Ok(flash::redirect(&format!("/events/{id}/press/papers/{number}"), &said))
}

/// Why this person can't approve the text they read; empty if they can.
fn why_not(paper: &Paper, event: &Event, facts: &facts::Facts, by: i64, read: i64) -> String {
    let missing = check::missing(paper.kind, &paper.draft.text, event, facts);
    if paper.is_approved(&event.details.zone) {
        "This text is approved already.".to_owned()
    } else if paper.version != read {
        "The text was changed since you read it. Nothing was approved; read it again.".to_owned()
    } else if paper.edited_by == by {
        "You edited this text last. Somebody else reads it and approves it.".to_owned()
    } else if !missing.is_empty() {
        format!("Nothing was approved. Missing: {}.", missing.join("; "))
    } else {
        String::new()
    }
}

#[derive(Template)]
#[template(path = "press/print.html")]
struct Print {
    page: Page,
    event_id: i64,
    paper_id: i64,
    department: String,
    heading: &'static str,
    hold: String,
    headline: String,
    paragraphs: Vec<String>,
    called: String,
    is_draft: bool,
    whole: String,
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
    let (event, paper) = found(&app, id, paper).await?;
    let version = paper.versions.iter().find(|version| wanted.v == 0 || version.number == wanted.v);
    let page = events::page(&app, &visit, Some(&event), app.clock.now()).await?.titled("To copy and print").at("Press");
    if version.is_none() && wanted.v != 0 {
        return Err(Error::NotFound);
    }
    let (headline, text, embargo) = if let Some(version) = version {
        (version.headline.clone(), version.text.clone(), version.embargo.clone())
    } else {
        let embargo = embargo_says(paper.draft.embargo, &event.details.zone);
        (paper.draft.headline.clone(), paper.draft.text.clone(), embargo)
    };
    let department = visit.user.department.name.clone();
    let heading = paper.kind.heading();
    show(&Print {
        page,
        event_id: id,
        paper_id: paper.id,
        heading,
        whole: whole(heading, &department, &embargo, &headline, &text),
        department,
        hold: if embargo.is_empty() { "For immediate release".to_owned() } else { embargo },
        headline,
        paragraphs: text.split("\n\n").map(|part| part.trim().to_owned()).filter(|part| !part.is_empty()).collect(),
        called: version.map_or_else(|| format!("{}, not approved", paper.kind), super::Version::called),
        is_draft: version.is_none(),
    })
}
