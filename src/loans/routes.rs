//! The list of loans, the page of each one, and its updates.

use super::form::{CHOICES, FORM, LoanForm};
use super::snapshot::LoanSnapshot;
use super::store::{self, Noted};
use super::views::{self, Choice, Edit, Index, LoanPage, StepForm};
use super::{Details, Free, Insured, Loan, ReadHeat, Step, follow};
use crate::accounts::{Officer, Private, SignedIn, Visit, Worker};
use crate::asks::{self, Unlisted};
use crate::countdown;
use crate::db::journal;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people;
use crate::people::choosing::{self, Chooser, Line, Settled, Whom, WithPerson};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;
use std::sync::Arc;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/loans", get(index))
        .route("/events/{id}/loans/new", get(new).merge(post(create)))
        .route("/events/{id}/loans/{loan}", get(loan_page))
        .route("/events/{id}/loans/{loan}/edit", get(edit).merge(post(change)))
        .route("/events/{id}/loans/{loan}/steps", post(happened))
        .route("/events/{id}/loans/{loan}/steps/{step}/back", post(take_back))
}

/// An event's snapshot, and one loan in it.
pub(super) async fn found(app: &App, event_id: i64, id: i64, now: OffsetDateTime) -> Result<(LoanSnapshot, Loan)> {
    let snapshot = LoanSnapshot::of(app, event_id, now).await?;
    let loan = snapshot.find(id).cloned().ok_or(Error::NotFound)?;
    Ok((snapshot, loan))
}

pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), app.clock.now()).await?.titled(title))
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = LoanSnapshot::of(&app, id, now).await?;
    let page = page(&app, &visit, &snapshot.event, "Loans").await?;
    let mut unlisted = unlisted(&app, &snapshot, now).await?;
    for one in &mut unlisted {
        one.note = visit.user.shown(Private::Notes, &one.note);
        one.phone = visit.user.shown(Private::Contact, &one.phone);
    }
    show(&Index { page, event_id: id, problems: snapshot.problems(), groups: views::groups(&snapshot), unlisted })
}

/// People who said yes to lending something that is on no loan here.
pub(super) async fn unlisted(app: &App, snapshot: &LoanSnapshot, now: OffsetDateTime) -> Result<Vec<Unlisted>> {
    let is_listed = |request: &asks::Request| snapshot.loans.iter().any(|loan| loan.request_id == Some(request.id));
    asks::unlisted(&mut *app.db.read().acquire().await?, &snapshot.event, asks::Kind::Loan, is_listed, now).await
}

async fn loan_page(
    State(app): State<App>,
    Extension(heat): Extension<ReadHeat>,
    SignedIn(visit): SignedIn,
    Path((id, loan)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, loan) = found(&app, id, loan, now).await?;
    let form = StepForm::fresh(&snapshot, &visit.user.name);
    show(&view(&app, &visit, (&snapshot, &loan), heat, (form, Mistakes::default())).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    (snapshot, loan): (&LoanSnapshot, &Loan),
    heat: ReadHeat,
    (form, mistakes): (StepForm, Mistakes),
) -> Result<LoanPage> {
    let page = page(app, visit, &snapshot.event, &loan.details.what).await?;
    let history = journal::of(app.db.read(), "loan", loan.id).await?;
    let mut db = app.db.read().acquire().await?;
    let person = people::find(&mut db, loan.details.lender_id).await?;
    let written = store::letters(&mut db, loan.id).await?;
    let task = match loan.details.task_id {
        Some(task) => countdown::tasks_in(&mut db, snapshot.event.id).await?.into_iter().find(|known| known.id == task),
        None => None,
    };
    drop(db);
    let reaches = heat(app.clone(), snapshot.event.clone()).await?;
    let too_close = reaches.map(|meters| too_close(loan, meters)).unwrap_or_default();
    let shown = LoanPage::of(page, visit, (snapshot, loan), (person, task, written, history), (form, mistakes));
    Ok(LoanPage { too_close, ..shown })
}

/// What to say about an item that is closer to the rooms than this; nothing about others.
fn too_close(loan: &Loan, meters: f64) -> String {
    let feet = (meters / 0.3048).ceil();
    match loan.details.distance_ft {
        Some(distance) if loan.is_live() && f64::from(distance) < feet => format!(
            "Heat may damage it at {distance} ft from the rooms: by the plan for the fire, things that melt belong at \
             least {feet} ft ({meters:.1} m) away. Screening estimate."
        ),
        _ => String::new(),
    }
}

async fn edit_page(
    app: &App,
    visit: &Visit,
    (snapshot, loan): (&LoanSnapshot, Option<&Loan>),
    sent: WithPerson<LoanForm>,
) -> Result<Edit> {
    let heading = if loan.is_some() { "Edit loan" } else { "Add a loan" };
    let action =
        loan.map_or(format!("/events/{}/loans/new", snapshot.event.id), |loan| format!("{}/edit", loan.href()));
    let page = page(app, visit, &snapshot.event, heading).await?;
    let page = if let Some(loan) = loan { page.under(loan.href(), loan.title()) } else { page };
    let names = people::list(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let (find, lender) = (&sent.find, sent.form.lender.parse().ok());
    let lenders = Chooser::load(&mut db, action.clone(), find, lender.as_slice(), &[], people::Person::place).await?;
    let tasks = countdown::tasks_in(&mut db, snapshot.event.id).await?;
    let all = store::all(&mut db).await?;
    drop(db);
    let events = events::list(app.db.read()).await?;
    let own = loan.map(|loan| loan.id);
    let backups = snapshot.loans.iter().filter(|other| Some(other.id) != own);
    let elsewhere = all.iter().filter(|other| other.event_id != snapshot.event.id).map(|other| {
        let event = events.iter().find(|event| event.id == other.event_id);
        let event = event.map(|event| event.details.name.as_str()).unwrap_or_default();
        Choice::new(other.id, format!("{}, {} · {event}", other.details.what, other.lender()))
    });
    Ok(Edit {
        page,
        heading: heading.to_owned(),
        action,
        burn_day: Reader::App.near_day(snapshot.event.details.burn_on, snapshot.today),
        rain_day: snapshot.event.details.rain_on.map(|on| Reader::App.near_day(on, snapshot.today)).unwrap_or_default(),
        lenders,
        tasks: tasks.iter().map(|task| Choice::new(task.id, task.details.title.clone())).collect(),
        backups: backups.map(|other| Choice::new(other.id, other.details.what.clone())).collect(),
        elsewhere: elsewhere.collect(),
        names,
        frees: Free::ALL.map(|free| (free.as_str(), free.label())).to_vec(),
        insured: Insured::ALL.map(|insured| (insured.as_str(), insured.label())).to_vec(),
        is_again: sent.is_again(),
        adding: sent.adding(),
        form: sent.form,
        mistakes: sent.mistakes,
    })
}

async fn refuse(
    app: &App,
    visit: &Visit,
    of: (&LoanSnapshot, Option<&Loan>),
    sent: WithPerson<LoanForm>,
) -> Result<Response> {
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &edit_page(app, visit, of, sent).await?)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct From {
    person: String,
    /// A request they said yes to.
    request: i64,
}

async fn new(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(from): Query<From>,
) -> Result<Response> {
    let snapshot = LoanSnapshot::of(&app, id, app.clock.now()).await?;
    let mut form = LoanForm::fresh(&from.person);
    if let Some(said) =
        unlisted(&app, &snapshot, app.clock.now()).await?.into_iter().find(|one| one.request_id == from.request)
    {
        form.lender = said.person_id.to_string();
        form.what = said.note.lines().next().unwrap_or_default().chars().take(100).collect();
        form.request = said.request_id;
    }
    show(&edit_page(&app, &visit, (&snapshot, None), WithPerson::fresh(form)).await?)
}

const NO_LENDER: &str = "Choose the lender.";

/// What was typed, and the lender, if it can be saved: everything it refers to must exist.
async fn ready(
    app: &App,
    sent: &WithPerson<LoanForm>,
    (snapshot, old): (&LoanSnapshot, Option<&Loan>),
) -> Result<std::result::Result<(Details, Whom), Mistakes>> {
    let mut mistakes = Mistakes::default();
    let whom = sent.new.whom("lender", &sent.form.lender, NO_LENDER, &mut mistakes);
    let (details, whom) = match (sent.form.read(&snapshot.event, old), whom) {
        (Ok(details), Some(whom)) => (details, whom),
        (Ok(_), None) => return Ok(Err(mistakes)),
        (Err(others), _) => return Ok(Err(mistakes.and(others))),
    };
    let mut db = app.db.read().acquire().await?;
    if choosing::known_about(&mut db, &whom).await?.is_none() {
        mistakes.add("lender", NO_LENDER);
    }
    if let Some(task) = details.task_id
        && countdown::tasks_in(&mut db, snapshot.event.id).await?.iter().all(|known| known.id != task)
    {
        mistakes.add("task", "This task is no longer in the plan. Choose another.");
    }
    if details.backup_id.is_some_and(|id| Some(id) == old.map(|old| old.id) || snapshot.find(id).is_none()) {
        mistakes.add("backup_id", "Choose another loan of this event.");
    }
    let known = store::all(&mut db).await?;
    if details.same_as.is_some_and(|id| known.iter().all(|loan| loan.id != id || loan.event_id == snapshot.event.id)) {
        mistakes.add("same_as", "Choose a loan of another event.");
    }
    Ok(if mistakes.is_empty() { Ok((details, whom)) } else { Err(mistakes) })
}

async fn create(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    sent: WithPerson<LoanForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = LoanSnapshot::of(&app, id, now).await?;
    if sent.find.is_looking() {
        return show(&edit_page(&app, &visit, (&snapshot, None), sent).await?);
    }
    let (details, whom) = match ready(&app, &sent, (&snapshot, None)).await? {
        Ok(ready) => ready,
        Err(mistakes) => return refuse(&app, &visit, (&snapshot, None), sent.refused(mistakes)).await,
    };
    let (actor, request) = (visit.user.actor(), sent.form.request);
    let reply = unlisted(&app, &snapshot, now).await?.into_iter().find(|one| one.request_id == request);
    let add = app.db.write(move |tx| {
        Box::pin(async move {
            let (lender_id, said) = match choosing::settle(tx, actor, &whom, now).await? {
                Settled::Person { id, said } => (id, said),
                Settled::Unsure(known) => return Ok(Err(known)),
            };
            let details = Details { lender_id, ..details };
            let loan = store::add(tx, actor, id, &details, now).await?;
            // It must be from this lender.
            let reply = reply.filter(|one| one.person_id == lender_id);
            if let Some(reply) = &reply {
                store::asked(tx, actor, (id, loan, &details.what), reply.request_id, now).await?;
            }
            let next =
                if reply.is_some() { "Loan added, with their reply." } else { "Loan added. Next, ask the lender." };
            Ok(Ok((loan, format!("{next}{said}"))))
        })
    });
    match add.await? {
        Ok((loan, said)) => Ok(flash::redirect(&format!("/events/{id}/loans/{loan}"), &said)),
        Err(known) => refuse(&app, &visit, (&snapshot, None), sent.unsure(known)).await,
    }
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path((id, loan)): Path<(i64, i64)>) -> Result<Response> {
    let (snapshot, loan) = found(&app, id, loan, app.clock.now()).await?;
    let form = LoanForm::of(&loan, &snapshot.event);
    show(&edit_page(&app, &visit, (&snapshot, Some(&loan)), WithPerson::fresh(form)).await?)
}

async fn change(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, loan)): Path<(i64, i64)>,
    sent: WithPerson<LoanForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, loan) = found(&app, id, loan, now).await?;
    if sent.find.is_looking() {
        return show(&edit_page(&app, &visit, (&snapshot, Some(&loan)), sent).await?);
    }
    let (details, whom) = match ready(&app, &sent, (&snapshot, Some(&loan))).await? {
        Ok(ready) => ready,
        Err(mistakes) => return refuse(&app, &visit, (&snapshot, Some(&loan)), sent.refused(mistakes)).await,
    };
    let (actor, version, lender) = (visit.user.actor(), sent.form.version, whom.clone());
    let (events, calendar, loan_id) = (events::list(app.db.read()).await?, Arc::clone(&snapshot.calendar), loan.id);
    let save = app.db.write(move |tx| {
        Box::pin(async move {
            // Nobody is added for a loan that someone else changed.
            if store::find(tx, id, loan_id).await?.is_none_or(|stands| stands.version != version) {
                return Ok(Saved::Stale);
            }
            let (lender_id, said) = match choosing::settle(tx, actor, &lender, now).await? {
                Settled::Person { id, said } => (id, said),
                Settled::Unsure(known) => return Ok(Saved::Unsure(known)),
            };
            store::save(tx, actor, (id, loan_id), &Details { lender_id, ..details }, version, now).await?;
            let event = events::find_in(tx, id).await?.ok_or(Error::NotFound)?;
            let snapshot = LoanSnapshot::read(tx, event, (&events, calendar), now).await?;
            let outdated = follow::refresh(tx, (&snapshot.event, &snapshot), now).await?;
            Ok(Saved::Done(format!("Saved.{said}{}", asks::tell_next(outdated))))
        })
    });
    match save.await? {
        Saved::Done(said) => Ok(flash::redirect(&loan.href(), &said)),
        Saved::Unsure(known) => refuse(&app, &visit, (&snapshot, Some(&loan)), sent.unsure(known)).await,
        Saved::Stale => {
            let (snapshot, stands) = found(&app, id, loan.id, now).await?;
            let page = page(&app, &visit, &snapshot.event, "Edited by two people").await?;
            conflict::show(page, &stale(&app, (&snapshot, &stands), (&sent, &whom)).await?)
        }
    }
}

/// How saving a loan went.
enum Saved {
    Done(String),
    Unsure(Vec<Line>),
    Stale,
}

async fn stale(
    app: &App,
    (snapshot, stands): (&LoanSnapshot, &Loan),
    (sent, whom): (&WithPerson<LoanForm>, &Whom),
) -> Result<Conflict> {
    let (theirs, mine) = (LoanForm::of(stands, &snapshot.event), &sent.form);
    let mut conflict = Conflict::new(&stands.details.what, format!("{}/edit", stands.href()), stands.version);
    let mut db = app.db.read().acquire().await?;
    let named = choosing::known_about(&mut db, whom).await?;
    conflict.compare("Lender", &stands.person, &named.map(|details| details.name).unwrap_or_default());
    sent.new.keep(&mut conflict);
    let tasks = countdown::tasks_in(&mut db, snapshot.event.id).await?;
    let task = |id: &str| tasks.iter().find(|task| task.id.to_string() == id).map_or("", |task| &task.details.title);
    conflict.compare("Needed for", task(&theirs.task), task(&mine.task));
    let thing =
        |id: &str| id.parse().ok().and_then(|id| snapshot.find(id)).map_or("", |loan| loan.details.what.as_str());
    conflict.compare("Backup", thing(&theirs.backup_id), thing(&mine.backup_id));
    for field in CHOICES {
        conflict.silent(field.name, (field.of)(mine));
    }
    for field in FORM {
        let (theirs, mine) = ((field.of)(&theirs), (field.of)(mine));
        conflict.silent(field.name, mine);
        conflict.compare(field.label, shown(field.name, theirs), shown(field.name, mine));
    }
    Ok(conflict)
}

/// What was typed or chosen in a field, as people read it.
fn shown<'a>(field: &str, text: &'a str) -> &'a str {
    let label: Option<&str> = match field {
        "burn_free" | "rain_free" => text.parse::<Free>().ok().map(Free::label),
        "insured" => text.parse::<Insured>().ok().map(Insured::label),
        _ => None,
    };
    label.unwrap_or(text)
}

/// The updates that can be made by hand now. Pickup and return are recorded with their
/// condition records instead.
pub(super) fn can_happen(snapshot: &LoanSnapshot, loan: &Loan) -> Vec<Step> {
    let is_new = |step: Step| {
        let further = |on| snapshot.availability(loan, on).stage < Some(step);
        snapshot.dates().into_iter().any(further)
    };
    let fits = |step: Step| match step {
        Step::Asked | Step::Promised | Step::Confirmed => loan.is_live() && !loan.is_out() && is_new(step),
        Step::Tested => loan.is_out() && !loan.has(Step::Tested),
        Step::Closed => loan.has(Step::Returned) && !loan.has(Step::Closed),
        Step::NotLent => loan.is_live() && !loan.is_out(),
        Step::Collected | Step::Returned => false,
    };
    Step::ALL.into_iter().filter(|step| fits(*step)).collect()
}

async fn happened(
    State(app): State<App>,
    Extension(heat): Extension<ReadHeat>,
    Worker(visit): Worker,
    Path((id, loan)): Path<(i64, i64)>,
    Form(form): Form<StepForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, loan) = found(&app, id, loan, now).await?;
    let noted = match form.read(&snapshot, &loan) {
        Ok(noted) => noted,
        Err(mistakes) => {
            let page = view(&app, &visit, (&snapshot, &loan), heat, (form, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (by, href) = (visit.user.account_id, loan.href());
    let said = format!("Saved: {}.", noted.step.label());
    let write = app.db.write(move |tx| Box::pin(async move { note_once(tx, by, &loan, &noted, now).await }));
    Ok(flash::redirect(
        &href,
        if write.await? {
            &said
        } else {
            "Nothing was saved. Someone updated this loan a moment ago. Check it and try again."
        },
    ))
}

/// Sent twice, or by two people at once, it is saved once.
async fn note_once(tx: &mut crate::db::Tx, by: i64, seen: &Loan, noted: &Noted, now: OffsetDateTime) -> Result<bool> {
    let stands = store::find(tx, seen.event_id, seen.id).await?;
    let Some(loan) = stands.filter(|stands| stands.steps == seen.steps) else { return Ok(false) };
    store::note(tx, by, &loan, noted, now).await?;
    Ok(true)
}

async fn take_back(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, loan, step)): Path<(i64, i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (_, loan) = found(&app, id, loan, now).await?;
    let last = loan.happened().next_back().cloned();
    let wanted = loan.steps.iter().find(|happened| happened.id == step).cloned().ok_or(Error::NotFound)?;
    let (actor, href) = (visit.user.actor(), loan.href());
    if last.is_none_or(|last| last.id != wanted.id) {
        return Ok(flash::redirect(&href, "Nothing was changed. You can undo only the latest update."));
    }
    let write = app.db.write(move |tx| Box::pin(async move { store::take_back(tx, actor, &loan, &wanted, now).await }));
    Ok(flash::redirect(&href, if write.await? { "Undone." } else { "Someone already undid this." }))
}
