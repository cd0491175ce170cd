//! Who said yes to covering the burn and is no contact at any outlet.

use crate::accounts::Visit;
use crate::asks::{self, Unlisted};
use crate::error::Result;
use crate::events::Event;
use crate::people::{self, Name};
use crate::press::editor::{PressEditor, event};
use crate::press::outlets::{self, Outlet};
use crate::press::snapshot::PressSnapshot;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/said-yes", post(add))
}

/// Each with the number of the outlet they seem to work for.
pub(super) async fn unlisted(
    app: &App,
    event: &Event,
    known: &PressSnapshot,
    now: OffsetDateTime,
) -> Result<Vec<(Unlisted, i64)>> {
    let is_listed = |request: &asks::Request| {
        known.contacts.iter().any(|contact| contact.person_id == request.person_id)
            || known.entries.iter().any(|entry| entry.person_id == request.person_id)
    };
    let mut db = app.db.read().acquire().await?;
    let found = asks::unlisted(&mut db, event, asks::Kind::Coverage, is_listed, now).await?;
    let outlet = |one: &Unlisted| {
        let theirs = people::fold(&one.organization);
        let same = known.outlets.iter().find(|outlet| people::fold(&outlet.details.name) == theirs);
        same.map_or(0, |outlet| outlet.id)
    };
    Ok(found
        .into_iter()
        .map(|one| {
            let outlet = outlet(&one);
            (one, outlet)
        })
        .collect())
}

#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct AddForm {
    person: i64,
    outlet: i64,
}

/// Makes someone who said yes elsewhere a contact at an outlet, and adds the outlet to the
/// list.
async fn add(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<AddForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let known = PressSnapshot::load(&app, &event).await?;
    let here = format!("/events/{id}/press");
    let said = unlisted(&app, &event, &known, now).await?.into_iter().find(|(one, _)| one.person_id == form.person);
    let (Some((person, _)), Some(outlet)) = (said, known.outlet(form.outlet).cloned()) else {
        return Ok(flash::redirect(&here, "Nothing was saved. Choose an outlet from the list."));
    };
    let is_listed = known.listings.iter().any(|listing| listing.outlet_id == outlet.id);
    let said = format!("{} is now a contact at {}.", person.name, outlet.details.name);
    // Whoever is responsible for a listed outlet stays responsible.
    let new_on_list = (!is_listed).then_some(id);
    keep(&app, &visit, Name { id: person.person_id, name: person.name }, outlet, new_on_list).await?;
    Ok(flash::redirect(&here, &said))
}

/// Adds the contact, and the outlet to the list of this event.
async fn keep(app: &App, visit: &Visit, person: Name, outlet: Outlet, new_on_list: Option<i64>) -> Result<()> {
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let place = (outlet.id, outlet.details.name.as_str());
            outlets::add_contact(tx, actor, place, (person.id, &person.name), "", now).await?;
            if let Some(event_id) = new_on_list {
                outlets::list_outlet(tx, actor, event_id, place, None, now).await?;
            }
            Ok(())
        })
    });
    write.await
}
