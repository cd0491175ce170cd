//! Changing a guest's settings.

mod conflict;

use super::candidates::{candidates, ids};
use super::form::GuestForm;
use super::guest::{Details, Guest, Side};
use super::record::GuestRecord;
use super::settings::{GuestSettings, Level};
use super::snapshot::GuestSnapshot;
use super::{follow, page, store};
use crate::accounts::{Officer, Visit};
use crate::asks;
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::fold::Fold;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use conflict::differs;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/{guest}/edit", get(edit).merge(post(save)))
}

#[derive(Template)]
#[template(path = "guests/edit.html")]
struct Edit {
    page: Page,
    event_id: i64,
    id: i64,
    person_id: i64,
    name: String,
    place: String,
    /// The answer by jurisdiction.
    by_jurisdiction: &'static str,
    settings: GuestSettings,
    candidates: Vec<(i64, String)>,
    form: GuestForm,
    mistakes: Mistakes,
}

impl Edit {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = GuestForm::of(&Details::of(Side::Official, Level::Local), 0);
        let (value, usual) = (|name: &str| self.form.value(name).to_owned(), |name: &str| usual.value(name).to_owned());
        Fold::compared(names, value, usual, &self.mistakes, false)
    }
}

/// An office to show in the form before it is saved.
#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    office: Option<i64>,
}

async fn edit(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, guest)): Path<(i64, i64)>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let snapshot = page::snapshot(&app, id).await?;
    let known = page::found(&snapshot, guest)?;
    let mut form = GuestForm::of(&known.guest.details, known.guest.version);
    if let Some(office) = wanted.office.and_then(|id| snapshot.settings.offices.iter().find(|office| office.id == id)) {
        form.office = office.id.to_string();
        form.level = office.level.to_string();
        form.address.clone_from(&office.address);
    }
    show(&edit_page(&app, &visit, &snapshot, known, (form, Mistakes::default())).await?)
}

async fn edit_page(
    app: &App,
    visit: &Visit,
    snapshot: &GuestSnapshot,
    known: &GuestRecord,
    (form, mistakes): (GuestForm, Mistakes),
) -> Result<Edit> {
    let mut candidates = candidates(app).await?;
    if let Some(responsible) =
        known.responsible.clone().filter(|(id, _)| candidates.iter().all(|(other, _)| other != id))
    {
        candidates.push(responsible);
    }
    let ours = snapshot.is_own_by_rule(known);
    Ok(Edit {
        page: page::page(app, visit, &snapshot.event, "Edit guest")
            .await?
            .under(format!("/events/{}/guests/{}", snapshot.event.id, known.guest.id), known.called()),
        event_id: snapshot.event.id,
        id: known.guest.id,
        person_id: known.person.id,
        name: known.person.details.name.clone(),
        place: known.person.place(),
        by_jurisdiction: if ours { "yes" } else { "no" },
        settings: snapshot.settings.clone(),
        candidates,
        form,
        mistakes,
    })
}

async fn save(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, guest)): Path<(i64, i64)>,
    Form(form): Form<GuestForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let known = page::found(&snapshot, guest)?;
    let mut may = ids(&candidates(&app).await?);
    may.extend(known.guest.details.responsible);
    let new = match form.read(&snapshot.settings, &may) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = edit_page(&app, &visit, &snapshot, known, (form, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, name) = (visit.user.actor(), known.person.details.name.clone());
    let old = Guest { version: form.version, ..known.guest.clone() };
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if !store::save(tx, actor, (&old, &name), &new, now).await? {
                return Ok(None);
            }
            Ok(Some(follow::refresh(tx, id, now).await?))
        })
    });
    let Some(outdated) = write.await? else { return differs(&app, &visit, id, guest, &form).await };
    let said = format!("Saved.{}", asks::tell_next(outdated));
    Ok(flash::redirect(&format!("/events/{id}/guests/{guest}"), &said))
}
