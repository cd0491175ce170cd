//! Asking someone outside the app to read a text.

use super::store;
use crate::accounts::Visit;
use crate::asks::{self, Sender};
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::{self, Details, Person};
use crate::press::editor::PressEditor;
use crate::press::matching::{Match, Sought};
use crate::press::papers::refusals::{Refusal, Why};
use crate::press::papers::routes::typed;
use crate::press::papers::views::found;
use crate::press::papers::{Filled, Paper, check};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form};
use crate::web::link::Opens;
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(in crate::press::papers) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/releases/{paper}/readings", post(ask))
}

#[derive(Debug, Deserialize, Default)]
#[serde(default)]
pub(in crate::press::papers) struct AskForm {
    pub reader: String,
    pub reader_mail: String,
}

async fn ask(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<AskForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, facts, paper) = found(&app, id, paper).await?;
    let check = check(paper.kind, &paper.draft, &facts);
    let reader = if paper.is_approved(&event, &facts) {
        Err(Refusal::new(Why::Approved, "This text is already approved."))
    } else if let Some(refused) = Refusal::by(&check, "No one was asked.") {
        Err(refused)
    } else {
        read(&app, &paper, &form).await?
    };
    let reader = match reader {
        Ok(reader) => reader,
        Err(refused) => {
            let mut page = typed(&app, &visit, (event, facts, paper), Some(refused)).await?;
            page.asked = form;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let here = format!("/events/{id}/press/releases/{}", paper.id);
    let filled = Filled::of(&paper.draft, &event, &facts);
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let said = format!("{} will get an email with a link to the text.", reader.name());
    keep(&app, &visit, (event, paper, filled), (reader, sender), now).await?;
    Ok(flash::redirect(&here, &said))
}

/// Who is asked.
#[derive(Debug, Clone)]
enum Reader {
    PressSnapshot(Person),
    New(Details),
}

impl Reader {
    fn name(&self) -> &str {
        match self {
            Self::PressSnapshot(person) => &person.details.name,
            Self::New(details) => &details.name,
        }
    }
}

async fn read(app: &App, paper: &Paper, form: &AskForm) -> Result<Result<Reader, Refusal>> {
    let Ok(name) = form::name(&form.reader, 100) else {
        let says = "No one was asked. Type the name of the person who should read it.";
        return Ok(Err(Refusal::new(Why::NoName, says)));
    };
    let Ok(mail) = form::mail(&form.reader_mail) else {
        let says = "No one was asked. Type an email address, like name@example.org.";
        return Ok(Err(Refusal::new(Why::NoMail, says)));
    };
    let people = people::everyone(&mut *app.db.read().acquire().await?).await?;
    let reader = match (Sought { name: &name, mail: &mail }).among(&people) {
        Match::One(person) if person.id == paper.editor_person => {
            let says = "No one was asked. This person edited the text last, so choose someone else.";
            return Ok(Err(Refusal::new(Why::OwnText, says)));
        }
        Match::One(person) if person.details.mail.eq_ignore_ascii_case(&mail) => Reader::PressSnapshot(person.clone()),
        Match::Nobody => Reader::New(Details { mail, ..Details::of_name(&name) }),
        Match::One(_) | Match::Several(_) => {
            let says = format!(
                "No one was asked. People has someone named {name}, or with this address, under another address or \
                 name. Type both as they are in People."
            );
            return Ok(Err(Refusal::new(Why::KnownOtherwise, says)));
        }
    };
    Ok(Ok(reader))
}

async fn keep(
    app: &App,
    visit: &Visit,
    (event, paper, filled): (Event, Paper, Filled),
    (reader, sender): (Reader, Sender),
    now: OffsetDateTime,
) -> Result<()> {
    let (by, actor, key) = (visit.user.account_id, visit.user.actor(), app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let person = match &reader {
                Reader::PressSnapshot(person) => Some(person.clone()),
                Reader::New(details) => {
                    let id = people::add(tx, actor, details, now).await?;
                    people::find(tx, id).await?
                }
            };
            let Some(person) = person else { return Ok(()) };
            let name = person.details.name.as_str();
            let asked =
                store::ask(tx, (by, &key), (&paper, &filled, event.date_revision), (person.id, name), now).await?;
            let letter = letter(asked, &event, &paper, (&person, &sender), now)?;
            mail::queue(tx, &letter, now).await?;
            Ok(())
        })
    });
    write.await
}

fn letter(
    asked: i64,
    event: &Event,
    paper: &Paper,
    (person, sender): (&Person, &Sender),
    now: OffsetDateTime,
) -> Result<Letter> {
    let lead = format!("Please read our {} before we send it to the media.", paper.kind.label());
    let expires = now + super::OPEN_FOR;
    let until = words::Reader::Public.moment(event.details.zone.wall(expires));
    let after = format!(
        "Open the page to read the text. There you can approve it or tell us what to change. The link works until \
         {until}."
    );
    let event_facts = [("Event".to_owned(), event.details.name.clone())];
    let parts = Parts {
        hello: asks::greeted(person),
        lead: &lead,
        facts: &event_facts,
        press: Some(("Read the text", Opens::PaperReading.mark(asked, 1))),
        after: &after,
        from: &sender.name,
        phone: &sender.phone,
        department: &sender.department,
        ..Parts::default()
    };
    Ok(Letter {
        kind: Kind::Notice,
        event_id: Some(event.id),
        person_id: Some(person.id),
        request_id: None,
        facts_revision: Some(event.facts_revision),
        dedup: format!("paper-reading/{asked}"),
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: format!("Please read: {}", paper.kind.label()),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: expires,
    })
}
