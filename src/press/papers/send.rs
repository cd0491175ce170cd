//! Emailing an approved version: one message to each chosen contact.

use super::before_sending::{self, Hint, old_dateline};
use super::holders::{self, Holder};
use super::letter::{Approved, Sending, letter};
use super::refusals::{Refusal, Why};
use super::views::{found, sentence};
use super::{Paper, PaperFacts, Version, changes_say, dateline, store};
use crate::accounts::Visit;
use crate::asks::Sender;
use crate::db::Tx;
use crate::error::Result;
use crate::events::{self, Event};
use crate::mail;
use crate::people;
use crate::press::editor::PressEditor;
use crate::press::facts;
use crate::press::outlet_status::Reach;
use crate::press::outlets::{self, Contact};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/releases/{paper}/send", get(choose).merge(post(send)))
}

#[derive(Template)]
#[template(path = "press/send.html")]
struct Send {
    page: Page,
    event_id: i64,
    paper_id: i64,
    called: String,
    /// Why nothing can be sent; none if something can.
    refused: Option<Refusal>,
    /// Why nothing was sent just now.
    not_sent: Option<Refusal>,
    /// What to look at first. It can be sent anyway.
    hints: Vec<Hint>,
    /// The date in its dateline, if that has passed; else empty.
    old_dateline: String,
    is_sure: bool,
    unread: String,
    to_mail: Vec<ToMail>,
    to_call: Vec<ToCall>,
    already: Vec<String>,
}

struct ToMail {
    id: i64,
    name: String,
    beneath: String,
    is_chosen: bool,
}

struct ToCall {
    contact: i64,
    name: String,
    beneath: String,
    phone: String,
    unmailed: &'static str,
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct SendForm {
    contact: Vec<i64>,
    version: i64,
    /// "yes" to send it though the day in its dateline has passed.
    old_dateline: String,
}

impl SendForm {
    fn is_sure(&self) -> bool {
        self.old_dateline == "yes"
    }
}

async fn choose(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
) -> Result<Response> {
    let (event, facts, paper) = found(&app, id, paper).await?;
    show(&view(&app, &visit, (&event, &facts, &paper), None, None).await?)
}

/// Why the newest version can't be sent; none if it can.
pub(super) fn refusal(paper: &Paper, event: &Event, facts: &PaperFacts) -> Option<Refusal> {
    let Some(version) = paper.newest() else {
        let says = "Nothing is approved yet. Someone who didn't edit the text last must approve it first.";
        return Some(Refusal::new(Why::NotApproved, says));
    };
    let (changes, wrong) = (version.changes(event, facts), version.wrong(facts));
    let again = "Have it approved again.";
    if !changes.is_empty() {
        let says = format!("v{} is out of date: {}. {again}", version.number, changes_say(&changes));
        Some(Refusal::new(Why::OutOfDate, says))
    } else if !wrong.is_empty() {
        let says = format!("v{} has a wrong date or time: {}. Fix the text. {again}", version.number, wrong.join("; "));
        Some(Refusal::new(Why::Wrong, says))
    } else {
        None
    }
}

/// Contacts of the outlets on the list.
async fn listed(db: &mut sqlx::SqliteConnection, event_id: i64) -> Result<Vec<Contact>> {
    let listings = outlets::listings(db, event_id).await?;
    let mut contacts = outlets::contacts(db).await?;
    contacts.retain(|contact| listings.iter().any(|listing| listing.outlet_id == contact.outlet_id));
    Ok(contacts)
}

async fn view(
    app: &App,
    visit: &Visit,
    (event, facts, paper): (&Event, &PaperFacts, &Paper),
    chosen: Option<&SendForm>,
    not_sent: Option<Refusal>,
) -> Result<Send> {
    let hints = before_sending::hints(app, event, paper, app.clock.now()).await?;
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled("Email a release");
    let page = page.under(format!("/events/{}/press/releases/{}", event.id, paper.id), sentence(paper.kind));
    let mut db = app.db.read().acquire().await?;
    let version = paper.versions.first();
    let sent = match version {
        Some(version) => holders::sent_to(&mut db, version.id).await?,
        None => Vec::new(),
    };
    let (contacts, people) = (listed(&mut db, event.id).await?, people::everyone(&mut db).await?);
    let (mut to_mail, mut to_call, mut already) = (Vec::new(), Vec::new(), Vec::new());
    for contact in contacts {
        let reach = Reach::of(people.iter().find(|person| person.id == contact.person_id), &visit.user);
        let place = [contact.outlet.as_str(), contact.part.as_str()].into_iter().filter(|part| !part.is_empty());
        let place = place.collect::<Vec<_>>().join(", ");
        if sent.contains(&contact.person_id) {
            already.push(format!("{}, {}", contact.name, contact.outlet));
        } else if let Some(unmailed) = reach.unmailed {
            let beneath = format!("{place} · {}", unmailed.says());
            to_call.push(ToCall {
                contact: contact.id,
                name: contact.name,
                beneath,
                phone: reach.phone,
                unmailed: unmailed.as_str(),
            });
        } else {
            let is_chosen = chosen.is_none_or(|form| form.contact.contains(&contact.id));
            to_mail.push(ToMail {
                id: contact.id,
                name: contact.name,
                beneath: format!("{place} · {}", reach.mail),
                is_chosen,
            });
        }
    }
    let dated = version.and_then(|version| old_dateline(version, event.today(app.clock.now())));
    Ok(Send {
        page,
        event_id: event.id,
        paper_id: paper.id,
        called: version.map(Version::called).unwrap_or_default(),
        refused: refusal(paper, event, facts),
        not_sent,
        hints,
        old_dateline: dated.map(dateline::short_day).unwrap_or_default(),
        is_sure: chosen.is_some_and(SendForm::is_sure),
        unread: version.map(|version| version.read.warning()).unwrap_or_default(),
        to_mail,
        to_call,
        already,
    })
}

async fn send(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<SendForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, facts, paper) = found(&app, id, paper).await?;
    let nobody = || Refusal::new(Why::NobodyTicked, "Nothing was sent. Check the box beside at least one contact.");
    let dated = paper.newest().and_then(|version| old_dateline(version, event.today(now)));
    let not_sent = refusal(&paper, &event, &facts)
        .or_else(|| form.contact.is_empty().then(nobody))
        .or_else(|| dated.filter(|_| !form.is_sure()).map(too_old));
    let Some(version) = paper.versions.first().filter(|_| not_sent.is_none()) else {
        let page = view(&app, &visit, (&event, &facts, &paper), Some(&form), not_sent).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let called = version.called();
    let count = mail_all(&app, &visit, (event, version.clone(), dated), form.contact, sender, now).await?;
    let said = match count {
        0 => format!("Nothing was sent. The contacts you chose have the {called} already or can't get email."),
        count => format!("The {called} is on its way to {}.", words::count(count, "contact", "contacts")),
    };
    Ok(flash::redirect(&format!("/events/{id}/press/releases/{}", paper.id), &said))
}

fn too_old(on: Date) -> Refusal {
    let says = format!(
        "Nothing was sent. The dateline says {}. Change it and have the text approved again, or check the box to send \
         it with this date.",
        dateline::short_day(on)
    );
    Refusal::new(Why::OldDateline, says)
}

/// One email and one log entry for each contact who can get email and doesn't have it.
async fn mail_all(
    app: &App,
    visit: &Visit,
    (event, version, dated): (Event, Version, Option<Date>),
    chosen: Vec<i64>,
    sender: Sender,
    now: OffsetDateTime,
) -> Result<usize> {
    let by = visit.user.account_id;
    let department = visit.user.department.name.clone();
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let (approved, called) = (Approved::of(&version), version.called());
            if !is_true_in(tx, (event.id, &department), &version, now).await? {
                return Ok(0);
            }
            let sent = holders::sent_to(tx, version.id).await?;
            let held = holders::of_event(tx, event.id).await?;
            let mut count = 0;
            for contact in listed(tx, event.id).await? {
                if !chosen.contains(&contact.id) || sent.contains(&contact.person_id) {
                    continue;
                }
                // Looked up in the same write, so nobody who has just unsubscribed gets it.
                let person = people::find(tx, contact.person_id).await?;
                let Some(person) = person.filter(|person| person.has_mail() && !person.details.no_mail) else {
                    continue;
                };
                let had =
                    held.iter().find(|held| (held.paper_id, held.person_id) == (version.paper_id, contact.person_id));
                let changes = had_changes(tx, (event.id, &department), had, now).await?;
                let sending = Sending { changes, attempts: holders::attempts(tx, version.id, person.id).await? };
                let letter = letter(&approved, &event, (&person, &contact.outlet), (&sender, &sending), now)?;
                let Some(mail) = mail::queue(tx, &letter, now).await? else { continue };
                note_sent(tx, by, event.id, &contact, (version.id, &called, mail), now).await?;
                count += 1;
            }
            if let Some(on) = dated.filter(|_| count > 0) {
                store::note_old_dateline(tx, by, event.id, &version, on, now);
            }
            Ok(count)
        })
    });
    write.await
}

/// Is a version up to date in the write that sends it?
pub(super) async fn is_true_in(
    tx: &mut Tx,
    (event_id, department): (i64, &str),
    version: &Version,
    now: OffsetDateTime,
) -> Result<bool> {
    let Some(event) = events::find_in(tx, event_id).await? else { return Ok(false) };
    let known = facts::of_event(tx, event_id).await?;
    let facts = PaperFacts::of(&event.details, department, &known, now);
    let papers = store::of_event(tx, event_id).await?;
    let newest = papers.iter().find(|paper| paper.id == version.paper_id).and_then(Paper::newest);
    Ok(newest.is_some_and(|newest| newest.id == version.id)
        && version.changes(&event, &facts).is_empty()
        && version.wrong(&facts).is_empty())
}

/// What has changed since the version someone has.
async fn had_changes(
    tx: &mut Tx,
    (event_id, department): (i64, &str),
    had: Option<&Holder>,
    now: OffsetDateTime,
) -> Result<Vec<super::marks::Change>> {
    let Some(had) = had else { return Ok(Vec::new()) };
    let Some(event) = events::find_in(tx, event_id).await? else { return Ok(Vec::new()) };
    let known = facts::of_event(tx, event_id).await?;
    let facts = PaperFacts::of(&event.details, department, &known, now);
    let papers = store::of_event(tx, event_id).await?;
    let version = papers.iter().flat_map(|paper| &paper.versions).find(|version| version.id == had.version_id);
    Ok(version.map(|version| version.changes(&event, &facts)).unwrap_or_default())
}

/// Logs that a version was emailed to a contact.
///
/// # Errors
/// The store's.
pub async fn note_sent(
    tx: &mut Tx,
    by: i64,
    event_id: i64,
    contact: &Contact,
    (version_id, called, mail_id): (i64, &str, i64),
    now: OffsetDateTime,
) -> Result<()> {
    let holder = Holder {
        person_id: contact.person_id,
        person: contact.name.clone(),
        outlet_id: contact.outlet_id,
        outlet: contact.outlet.clone(),
        paper_id: 0,
        version_id,
    };
    holders::note_mailed(tx, by, event_id, &holder, (format!("Emailed the {called}."), mail_id), now).await
}
