//! Reading the log, adding entries and correcting them.

use super::answering::keep;
use super::form::LogForm;
use super::page::{Filter, view};
use super::{Entry, NewEntry, store};
use crate::accounts::{self, SignedIn};
use crate::error::{Error, Result};
use crate::events::Event;
use crate::press::editor::{PressEditor, event};
use crate::press::outlets::{self, Contact};
use crate::press::{papers, timeline};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use time::OffsetDateTime;

pub(in crate::press) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/press/log", get(index).merge(post(create)))
        .route("/events/{id}/press/log/{entry}", get(entry).merge(post(correct)))
}

async fn index(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(filter): Query<Filter>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let form = LogForm { contact: filter.contact.clone(), ..LogForm::default() };
    show(&view(&app, &visit, &event, filter, (form, Mistakes::default()), None).await?)
}

/// What a form says.
struct Typed {
    entry: NewEntry,
    contact: Contact,
    /// Why its date to follow up is a bad one; empty if it is fine.
    against: String,
}

async fn read(app: &App, event: &Event, form: &LogForm, now: OffsetDateTime) -> Result<Result<Typed, Mistakes>> {
    let versions = papers::versions_of_event(app.db.read(), event.id).await?;
    let versions: Vec<i64> = versions.iter().map(|version| version.id).collect();
    let outlets = outlets::all(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let (contacts, listings) = (outlets::contacts(&mut db).await?, outlets::listings(&mut db, event.id).await?);
    let able = outlets::owners(&accounts::list_in(&mut db).await?);
    let owner = |outlet: i64| listings.iter().find(|listing| listing.outlet_id == outlet)?.owner_id;
    let today = event.today(now);
    Ok(form.read(event, &contacts, &versions, owner, now).map(|(mut entry, contact)| {
        entry.follow_up_by = entry.follow_up_by.filter(|by| able.iter().any(|known| known.id == *by));
        let outlet = outlets.iter().find(|outlet| outlet.id == entry.outlet_id);
        let against = entry.follow_up_on.zip(outlet).map(|(on, outlet)| timeline::against(outlet, on, today));
        Typed { entry, contact, against: against.unwrap_or_default() }
    }))
}

async fn create(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<LogForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    match read(&app, &event, &form, now).await? {
        Ok(Typed { entry: mut new, contact, against }) => {
            if new.follow_up_on.is_some() && new.follow_up_by.is_none() {
                new.follow_up_by = Some(visit.user.person_id);
            }
            keep(&app, &visit, event, new, &contact, now).await?;
            let mut said = format!("Saved: {}, {}.", contact.name, contact.outlet);
            if !against.is_empty() {
                said = format!("{said} Check the follow-up: {against}.");
            }
            Ok(flash::redirect(&format!("/events/{id}/press"), &said))
        }
        Err(mistakes) => {
            let page = view(&app, &visit, &event, Filter::default(), (form, mistakes), None).await?;
            show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
        }
    }
}

/// An entry of this event.
async fn found(app: &App, event_id: i64, id: i64) -> Result<(Event, Entry)> {
    let event = event(app, event_id).await?;
    let entries = store::of_event(app.db.read(), event_id).await?;
    let entry = entries.into_iter().find(|entry| entry.id == id);
    Ok((event, entry.ok_or(Error::NotFound)?))
}

async fn entry(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, entry)): Path<(i64, i64)>,
) -> Result<Response> {
    let (event, entry) = found(&app, id, entry).await?;
    let contacts = outlets::contacts(&mut *app.db.read().acquire().await?).await?;
    let form = LogForm::of(&entry, &contacts, &event);
    show(&view(&app, &visit, &event, Filter::default(), (form, Mistakes::default()), Some(&entry)).await?)
}

async fn correct(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, entry)): Path<(i64, i64)>,
    Form(form): Form<LogForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, old) = found(&app, id, entry).await?;
    match read(&app, &event, &form, now).await? {
        Ok(Typed { entry: new, contact, .. }) => {
            let new = NewEntry { corrects: Some(old.id), mail_id: old.mail_id, ..new };
            let added = keep(&app, &visit, event, new, &contact, now).await?;
            let said = if added {
                "Saved. The old entry stays in the log, crossed out."
            } else {
                "Nothing was saved: someone has corrected this entry already."
            };
            Ok(flash::redirect(&format!("/events/{id}/press/log"), said))
        }
        Err(mistakes) => {
            let page = view(&app, &visit, &event, Filter::default(), (form, mistakes), Some(&old)).await?;
            show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
        }
    }
}
