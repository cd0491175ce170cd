//! Asking someone outside the app to read a text.

use super::form::{AskForm, Reader};
use super::letter::letter;
use super::store::{self, NewReading};
use crate::accounts::Visit;
use crate::asks::Sender;
use crate::error::Result;
use crate::mail;
use crate::people;
use crate::press::editor::PressEditor;
use crate::press::papers::page::as_saved;
use crate::press::papers::refusals::{Refusal, Why};
use crate::press::papers::snapshot::PaperSnapshot;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use time::OffsetDateTime;

pub(in crate::press::papers) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/releases/{paper}/readings", post(ask))
}

async fn ask(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, paper)): Path<(i64, i64)>,
    Form(form): Form<AskForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = PaperSnapshot::load(&app, id, paper).await?;
    let reader = match reader(&app, &snapshot, &form).await? {
        Ok(reader) => reader,
        Err(refused) => {
            let mut page = as_saved(&app, &visit, snapshot, Some(refused)).await?;
            page.asked = form;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (here, said) = (snapshot.href(), format!("{} will get an email with a link to the text.", reader.name()));
    keep(&app, &visit, snapshot, reader, now).await?;
    Ok(flash::redirect(&here, &said))
}

/// Whom to ask, or why no one is asked.
async fn reader(app: &App, snapshot: &PaperSnapshot, form: &AskForm) -> Result<Result<Reader, Refusal>> {
    if snapshot.is_approved() {
        return Ok(Err(Refusal::new(Why::Approved, "This text is already approved.")));
    }
    if let Some(refused) = Refusal::by(&snapshot.check(), "No one was asked.") {
        return Ok(Err(refused));
    }
    let people = people::everyone(&mut *app.db.read().acquire().await?).await?;
    Ok(form.read(&snapshot.paper, &people))
}

/// Saves the question and queues its email, and adds the reader to People if they are new.
async fn keep(app: &App, visit: &Visit, snapshot: PaperSnapshot, reader: Reader, now: OffsetDateTime) -> Result<()> {
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (by, actor, key) = (visit.user.account_id, visit.user.actor(), app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let person = match &reader {
                Reader::Known(person) => Some(person.clone()),
                Reader::New(details) => {
                    let id = people::add(tx, actor, details, now).await?;
                    people::find(tx, id).await?
                }
            };
            let Some(person) = person else { return Ok(()) };
            let filled = snapshot.filled();
            let PaperSnapshot { event, paper, .. } = &snapshot;
            let new = NewReading { paper, filled: &filled, date_revision: event.date_revision, person: &person };
            let asked = store::ask(tx, (by, &key), &new, now).await?;
            mail::queue(tx, &letter(asked, event, paper.kind, (&person, &sender), now)?, now).await?;
            Ok(())
        })
    });
    write.await
}
