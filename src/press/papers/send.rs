//! Mailing an approved version: one message to each chosen contact.

use super::letter::{Approved, paper_letter};
use super::routes::found;
use super::{Paper, PaperKind, Version, store};
use crate::accounts::Visit;
use crate::asks::Sender;
use crate::error::Result;
use crate::events::{self, Event};
use crate::mail;
use crate::people;
use crate::press::keeper::Keeper;
use crate::press::outlets::{self, Contact};
use crate::press::standing::Reach;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::routing::get;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/papers/{paper}/send", get(choose).post(send))
}

#[derive(Template)]
#[template(path = "press/send.html")]
struct Send {
    page: Page,
    event_id: i64,
    paper_id: i64,
    called: String,
    /// Why nothing can be sent; empty if something can.
    refused: String,
    to_mail: Vec<ToMail>,
    to_call: Vec<ToCall>,
    already: Vec<String>,
    mistakes: Mistakes,
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
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct SendForm {
    contact: Vec<i64>,
    version: i64,
}

async fn choose(
    State(app): State<App>,
    Keeper(visit): Keeper,
    Path((id, paper)): Path<(i64, i64)>,
) -> Result<Response> {
    let (event, paper) = found(&app, id, paper).await?;
    show(&view(&app, &visit, &event, &paper, None, Mistakes::default()).await?)
}

/// Why the newest version can't be sent; nothing if it can.
fn refusal(paper: &Paper, event: &Event) -> String {
    match paper.versions.first() {
        None => "Nothing is approved yet. Somebody who did not edit the text last must approve it first.".to_owned(),
        Some(version) if version.date_revision != event.date_revision && paper.kind != PaperKind::AfterTheDay => {
            format!(
                "Burn day has moved since v{} was approved. Change the text and have it approved again.",
                version.number
            )
        }
        Some(_) => String::new(),
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
    event: &Event,
    paper: &Paper,
    chosen: Option<&SendForm>,
    mistakes: Mistakes,
) -> Result<Send> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled("Mail a paper").at("Press");
    let mut db = app.db.read().acquire().await?;
    let version = paper.versions.first();
    let sent = match version {
        Some(version) => store::sent_to(&mut db, version.id).await?,
        None => Vec::new(),
    };
    let (contacts, people) = (listed(&mut db, event.id).await?, people::everyone(&mut db).await?);
    let (mut to_mail, mut to_call, mut already) = (Vec::new(), Vec::new(), Vec::new());
    for contact in contacts {
        let reach = Reach::of(people.iter().find(|person| person.id == contact.person_id), true);
        let place = [contact.outlet.as_str(), contact.part.as_str()].into_iter().filter(|part| !part.is_empty());
        let place = place.collect::<Vec<_>>().join(", ");
        if sent.contains(&contact.person_id) {
            already.push(format!("{}, {}", contact.name, contact.outlet));
        } else if reach.unmailed.is_empty() {
            let is_chosen = chosen.is_none_or(|form| form.contact.contains(&contact.id));
            to_mail.push(ToMail {
                id: contact.id,
                name: contact.name,
                beneath: format!("{place} · {}", reach.mail),
                is_chosen,
            });
        } else {
            let beneath = format!("{place} · {}", reach.unmailed);
            to_call.push(ToCall { contact: contact.id, name: contact.name, beneath, phone: reach.phone });
        }
    }
    Ok(Send {
        page,
        event_id: event.id,
        paper_id: paper.id,
        called: version.map(Version::called).unwrap_or_default(),
        refused: refusal(paper, event),
        to_mail,
        to_call,
        already,
        mistakes,
    })
}

async fn send(
    State(app): State<App>,
    Keeper(visit): Keeper,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<SendForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, paper) = found(&app, id, paper).await?;
    let mut mistakes = Mistakes::default();
    let refused = refusal(&paper, &event);
    if !refused.is_empty() {
        mistakes.add("contact", refused);
    } else if form.contact.is_empty() {
        mistakes.add("contact", "Tick one contact at least.");
    }
    let version = paper.versions.first().filter(|_| mistakes.is_empty());
    let Some(version) = version else {
        let page = view(&app, &visit, &event, &paper, Some(&form), mistakes).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let called = version.called();
    let count = mail_all(&app, &visit, event, version.clone(), form.contact, sender, now).await?;
    let said = match count {
        0 => format!("The {called} was mailed to nobody: those ticked have it, or can't be mailed."),
        count => format!(
            "The {called} is mailed to {}, each by a mail of their own.",
            words::count(count, "contact", "contacts")
        ),
    };
    Ok(flash::redirect(&format!("/events/{id}/press/papers/{}", paper.id), &said))
}

/// One mail and one row in the log for each who can be mailed and hasn't got it.
async fn mail_all(
    app: &App,
    visit: &Visit,
    event: Event,
    version: Version,
    chosen: Vec<i64>,
    sender: Sender,
    now: OffsetDateTime,
) -> Result<usize> {
    let by = visit.user.account_id;
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let (approved, called) = (Approved::of(&version), version.called());
            let sent = store::sent_to(tx, version.id).await?;
            let mut count = 0;
            for contact in listed(tx, event.id).await? {
                if !chosen.contains(&contact.id) || sent.contains(&contact.person_id) {
                    continue;
                }
                // Looked up in the same write: whoever has just asked for no more mail gets none.
                let person = people::find(tx, contact.person_id).await?;
                let Some(person) = person.filter(|person| person.has_mail() && !person.details.no_mail) else {
                    continue;
                };
                let letter = paper_letter(&approved, &event, (&person, &contact.outlet), &sender, now)?;
                let Some(mail) = mail::queue(tx, &letter, now).await? else { continue };
                store::note_sent(tx, by, event.id, &contact, (version.id, &called, mail), now).await?;
                count += 1;
            }
            Ok(count)
        })
    });
    write.await
}
