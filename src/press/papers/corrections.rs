//! Who has a version in which a fact has changed, and sending them a correction.

use super::holders::{self, Holder};
use super::letter::{Approved, Sending, letter};
use super::marks::{Change, PaperFacts, changes_say};
use super::refusals::Refusal;
use super::routes::typed;
use super::send::{is_true_in, refusal};
use super::views::found;
use super::{Paper, Version, store};
use crate::accounts::Visit;
use crate::asks::Sender;
use crate::countdown::{Call, Due, Owner};
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::mail;
use crate::people;
use crate::press::editor::PressEditor;
use crate::press::facts;
use crate::press::outlet_status::{Reach, Unmailed};
use crate::state::App;
use crate::web::flash;
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use sqlx::SqliteConnection;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/press/releases/{paper}/corrections", post(send))
        .route("/events/{id}/press/releases/{paper}/corrections/{person}", post(called))
}

/// Who has a version that is out of date, each with what has changed.
pub(super) fn outdated(
    holders: &[Holder],
    paper: &Paper,
    event: &Event,
    facts: &PaperFacts,
) -> Vec<(Holder, Vec<Change>)> {
    let changes = |holder: &Holder| {
        let version = paper.versions.iter().find(|version| version.id == holder.version_id);
        version.map(|version| version.changes(event, facts)).unwrap_or_default()
    };
    let theirs = holders.iter().filter(|holder| holder.paper_id == paper.id);
    theirs.map(|holder| (holder.clone(), changes(holder))).filter(|(_, changes)| !changes.is_empty()).collect()
}

/// The list on a release's page.
#[derive(Debug, Default)]
pub(super) struct Corrections {
    pub to_mail: Vec<CorrectionLine>,
    pub to_call: Vec<CorrectionLine>,
    /// Why no correction can go out yet; none if one can.
    pub refused: Option<Refusal>,
}

#[derive(Debug)]
pub(super) struct CorrectionLine {
    pub person_id: i64,
    pub name: String,
    pub outlet: String,
    /// What has changed since the version they have.
    pub changes: Vec<Change>,
    pub phone: String,
    /// Why they can't get email.
    pub unmailed: Option<Unmailed>,
}

impl Corrections {
    pub async fn load(app: &App, visit: &Visit, (event, facts, paper): (&Event, &PaperFacts, &Paper)) -> Result<Self> {
        let mut db = app.db.read().acquire().await?;
        let holders = holders::of_event(&mut db, event.id).await?;
        let outdated = outdated(&holders, paper, event, facts);
        if outdated.is_empty() {
            return Ok(Self::default());
        }
        let people = people::everyone(&mut db).await?;
        let line = |(holder, changes): (Holder, Vec<Change>)| {
            let person = people.iter().find(|person| person.id == holder.person_id);
            // Whether they get email is no secret. Their number is.
            let reach = Reach::of(person, &visit.user);
            CorrectionLine {
                person_id: holder.person_id,
                name: holder.person,
                outlet: holder.outlet,
                changes,
                phone: reach.phone,
                unmailed: reach.unmailed,
            }
        };
        let (to_mail, to_call) = outdated.into_iter().map(line).partition(|line| line.unmailed.is_none());
        Ok(Self { to_mail, to_call, refused: refusal(paper, event, facts) })
    }

    pub fn count(&self) -> usize {
        self.to_mail.len() + self.to_call.len()
    }
}

/// For the countdown: approved versions that are out of date, and who needs a
/// correction.
pub(in crate::press) async fn due(
    db: &mut SqliteConnection,
    event: &Event,
    (facts, papers): (&PaperFacts, &[Paper]),
    today: Date,
) -> Result<Vec<Due>> {
    let holders = holders::of_event(db, event.id).await?;
    let mut due = Vec::new();
    for paper in papers {
        let (changes, have) = (paper.outdated(event, facts), outdated(&holders, paper, event, facts));
        let names = have.iter().map(|(holder, _)| format!("{}, {}", holder.person, holder.outlet));
        let (title, beneath) = if !changes.is_empty() {
            let then = match have.len() {
                0 => "no one has it yet".to_owned(),
                many => format!("then send {} a correction", words::count(many, "contact", "contacts")),
            };
            let title = format!("The {} is out of date: {}", paper.kind.label(), changes_say(&changes));
            (title, format!("have it approved again; {then}"))
        } else if !have.is_empty() {
            let many = words::count(have.len(), "contact", "contacts");
            let title = format!("Send the {} correction to {many}", paper.kind.label());
            (title, names.collect::<Vec<_>>().join("; "))
        } else {
            continue;
        };
        let href = format!("/events/{}/press/releases/{}", event.id, paper.id);
        due.push(Due {
            title,
            beneath,
            said: String::new(),
            href,
            person: None,
            owner: Owner::InformationOfficer,
            on: today,
            call: Call::NoOne,
            is_problem: false,
        });
    }
    Ok(due)
}

async fn send(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, facts, paper) = found(&app, id, paper).await?;
    let here = format!("/events/{id}/press/releases/{}", paper.id);
    let refused = refusal(&paper, &event, &facts);
    let Some(version) = paper.newest().filter(|_| refused.is_none()).cloned() else {
        let page = typed(&app, &visit, (event, facts, paper), refused).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (by, department) = (visit.user.account_id, visit.user.department.name.clone());
    let write = app
        .db
        .write(move |tx| Box::pin(async move { mail_all(tx, by, (id, &department), &version, &sender, now).await }));
    let said = match write.await? {
        0 => "Nothing was sent. Everyone who can get email has the newest version.".to_owned(),
        count => format!("The correction is on its way to {}.", words::count(count, "contact", "contacts")),
    };
    Ok(flash::redirect(&here, &said))
}

/// Who has a version that is out of date, read in a write; none if the newest is out of
/// date itself.
async fn outdated_in(
    tx: &mut Tx,
    (event_id, department): (i64, &str),
    version: &Version,
    now: OffsetDateTime,
) -> Result<Option<(Event, Vec<(Holder, Vec<Change>)>)>> {
    if !is_true_in(tx, (event_id, department), version, now).await? {
        return Ok(None);
    }
    let Some(event) = events::find_in(tx, event_id).await? else { return Ok(None) };
    let known = facts::of_event(tx, event_id).await?;
    let facts = PaperFacts::of(&event.details, department, &known, now);
    let papers = store::of_event(tx, event_id).await?;
    let holders = holders::of_event(tx, event_id).await?;
    let paper = papers.iter().find(|paper| paper.id == version.paper_id);
    let found = paper.map(|paper| outdated(&holders, paper, &event, &facts)).unwrap_or_default();
    Ok(Some((event, found)))
}

async fn mail_all(
    tx: &mut Tx,
    by: i64,
    place: (i64, &str),
    version: &Version,
    sender: &Sender,
    now: OffsetDateTime,
) -> Result<usize> {
    let Some((event, outdated)) = outdated_in(tx, place, version, now).await? else { return Ok(0) };
    let approved = Approved::of(version);
    let mut count = 0;
    for (holder, changes) in outdated {
        let person = people::find(tx, holder.person_id).await?;
        let Some(person) = person.filter(|person| person.has_mail() && !person.details.no_mail) else { continue };
        let words = format!("Emailed a correction, the {}: {}.", version.called(), changes_say(&changes));
        let sending = Sending { changes, attempts: holders::attempts(tx, version.id, person.id).await? };
        let letter = letter(&approved, &event, (&person, &holder.outlet), (sender, &sending), now)?;
        let Some(mail) = mail::queue(tx, &letter, now).await? else { continue };
        let holder = Holder { version_id: version.id, ..holder };
        holders::note_mailed(tx, by, event.id, &holder, (words, mail), now).await?;
        count += 1;
    }
    Ok(count)
}

/// Someone was told by phone what has changed.
async fn called(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper, person)): Path<(i64, i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, facts, paper) = found(&app, id, paper).await?;
    let here = format!("/events/{id}/press/releases/{}", paper.id);
    people::find(&mut *app.db.read().acquire().await?, person).await?.ok_or(Error::NotFound)?;
    let refused = refusal(&paper, &event, &facts);
    let Some(version) = paper.newest().filter(|_| refused.is_none()).cloned() else {
        let page = typed(&app, &visit, (event, facts, paper), refused).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let (by, department) = (visit.user.account_id, visit.user.department.name.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let outdated = outdated_in(tx, (id, &department), &version, now).await?;
            let found = outdated.and_then(|(_, all)| all.into_iter().find(|(holder, _)| holder.person_id == person));
            let Some((holder, changes)) = found else { return Ok(None) };
            let words = format!("Called with a correction, the {}: {}.", version.called(), changes_say(&changes));
            let holder = Holder { version_id: version.id, ..holder };
            holders::note_correction(tx, by, id, &holder, words, now).await?;
            Ok(Some(holder.person))
        })
    });
    let said = match write.await? {
        Some(name) => format!("Your call to {name} is in the contact log."),
        None => "Nothing was saved. They have the newest version already.".to_owned(),
    };
    Ok(flash::redirect(&here, &said))
}
