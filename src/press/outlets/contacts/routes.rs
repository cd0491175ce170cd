//! Adding a contact at an outlet, with phone and email, and removing one.

use super::form::{ContactForm, Typed, Whom};
use super::store;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::people::{self, Details};
use crate::press::editor::{PressEditor, event};
use crate::press::outlets::Outlet;
use crate::press::outlets::form::OutletForm;
use crate::press::outlets::page::{found, view};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
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

pub(in crate::press::outlets) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/press/outlets/{outlet}/contacts", post(add))
        .route("/events/{id}/press/outlets/{outlet}/contacts/gone", post(gone))
}

async fn add(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, outlet)): Path<(i64, i64)>,
    Form(form): Form<ContactForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlet) = (event(&app, id).await?, found(&app, outlet).await?);
    let people = people::everyone(&mut *app.db.read().acquire().await?).await?;
    let (typed, whom) = match form.settled(&people) {
        Ok(settled) => settled,
        Err(attempt) => {
            let outlet_form = (OutletForm::of(&outlet.details, outlet.version), Mistakes::default());
            let page = view(&app, &visit, &event, outlet, outlet_form, *attempt).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let here = outlet.href(id);
    let said = says(&typed, &whom, &outlet);
    let actor = visit.user.actor();
    app.db.write(move |tx| Box::pin(async move { put_there(tx, actor, &outlet, (&typed, whom), now).await })).await?;
    Ok(flash::redirect(&here, &said))
}

/// Who is a contact now, and what we knew about them before.
fn says(typed: &Typed, whom: &Whom, outlet: &Outlet) -> String {
    let at = &outlet.details.name;
    let person = match whom {
        Whom::New => return format!("{} is now a contact at {at}.", typed.name),
        Whom::Known(person) => &person.details,
    };
    let mut said = format!("{} is now a contact at {at}. They were in People already.", person.name);
    for (what, typed, known) in [("phone", &typed.phone, &person.phone), ("email", &typed.mail, &person.mail)] {
        if !typed.is_empty() && !known.is_empty() && !typed.eq_ignore_ascii_case(known) {
            let known = if what == "phone" { words::phone(known) } else { known.clone() };
            said = format!("{said} Their {what} is still {known}. You can change it in People.");
        }
    }
    said
}

/// Adds a contact, with the phone and email we didn't have yet.
async fn put_there(
    tx: &mut Tx,
    actor: Actor,
    outlet: &Outlet,
    (typed, whom): (&Typed, Whom),
    now: OffsetDateTime,
) -> Result<()> {
    let (person, name) = match whom {
        Whom::Known(person) => {
            let known = &person.details;
            let or = |known: &String, typed: &String| if known.is_empty() { typed.clone() } else { known.clone() };
            let new =
                Details { phone: or(&known.phone, &typed.phone), mail: or(&known.mail, &typed.mail), ..known.clone() };
            if new != *known {
                people::change(tx, actor, person.id, &new, person.version, now).await?;
            }
            (person.id, person.details.name.clone())
        }
        Whom::New => {
            let details = Details {
                organization: outlet.details.name.clone(),
                phone: typed.phone.clone(),
                mail: typed.mail.clone(),
                ..Details::of_name(&typed.name)
            };
            (people::add(tx, actor, &details, now).await?, typed.name.clone())
        }
    };
    store::add_contact(tx, actor, (outlet.id, &outlet.details.name), (person, &name), &typed.part, now).await?;
    Ok(())
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct GoneForm {
    contact: i64,
}

async fn gone(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, outlet)): Path<(i64, i64)>,
    Form(form): Form<GoneForm>,
) -> Result<Response> {
    let now = app.clock.now();
    event(&app, id).await?;
    let outlet = found(&app, outlet).await?;
    let here = outlet.href(id);
    let (actor, contact) = (visit.user.actor(), form.contact);
    let gone =
        app.db.write(move |tx| Box::pin(async move { store::remove_contact(tx, actor, &outlet, contact, now).await }));
    let said = if gone.await? {
        "They are no longer a contact here."
    } else {
        "Nothing was saved: they were not a contact here."
    };
    Ok(flash::redirect(&here, said))
}
