//! Who is expected on burn day, and checking them off.

use super::expected::{able, expected};
use super::page::{AddForm, view};
use super::{Tick, store};
use crate::accounts::{SignedIn, Visit};
use crate::asks;
use crate::error::{Error, Result};
use crate::people::{self, Name, Person};
use crate::press::editor::{PressEditor, event};
use crate::press::matching::{Match, Sought};
use crate::press::outlets::{self, Outlet};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(in crate::press) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/press", get(index).merge(post(add)))
        .route("/events/{id}/burn-day/press/{person}", post(tick))
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    show(&view(&app, &visit, &event, AddForm::default(), Mistakes::default()).await?)
}

async fn add(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<AddForm>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let added = match read(&app, &form).await? {
        Ok(added) => added,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, form, mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let said = format!("{} is on the list.", added.name);
    let is_new = keep(&app, &visit, id, added).await?;
    let said = if is_new { said } else { "Nothing was saved: they are on the list already.".to_owned() };
    Ok(flash::redirect(&format!("/events/{id}/burn-day/press"), &said))
}

/// Someone to add to the list.
#[derive(Clone)]
struct Added {
    /// As it was typed.
    name: String,
    outlet: Option<Outlet>,
    /// Who it is, if we know them.
    known: Option<Person>,
}

async fn read(app: &App, form: &AddForm) -> Result<Result<Added, Mistakes>> {
    let mut mistakes = Mistakes::default();
    let Some(name) = mistakes.note("name", form::name(&form.name, 100)) else { return Ok(Err(mistakes)) };
    let outlet = outlets::all(app.db.read()).await?.into_iter().find(|outlet| outlet.id.to_string() == form.outlet);
    let known = known(app, &name, outlet.as_ref().map(|outlet| outlet.id)).await?;
    Ok(match mistakes.note("name", known.map_err(str::to_owned)) {
        Some(known) => Ok(Added { name, outlet, known }),
        None => Err(mistakes),
    })
}

/// Adds them to the list, and to People if they are new. False if they are on the list.
async fn keep(app: &App, visit: &Visit, event_id: i64, added: Added) -> Result<bool> {
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let Added { name, outlet, known } = &added;
            let (person, name) = if let Some(person) = known {
                (person.id, &person.details.name)
            } else {
                let organization = outlet.as_ref().map(|outlet| outlet.details.name.clone()).unwrap_or_default();
                let details = people::Details { organization, ..people::Details::of_name(name) };
                (people::add(tx, actor, &details, now).await?, name)
            };
            store::add(tx, actor, event_id, (person, name), outlet.as_ref().map(|outlet| outlet.id), now).await
        })
    });
    write.await
}

/// Who it is, if we know one person with that name; what to do, if we know several.
async fn known(app: &App, name: &str, outlet: Option<i64>) -> Result<Result<Option<Person>, &'static str>> {
    let mut db = app.db.read().acquire().await?;
    let (people, contacts) = (people::everyone(&mut db).await?, outlets::contacts(&mut db).await?);
    Ok(match (Sought { name, mail: "" }).among(&people) {
        Match::Nobody => Ok(None),
        Match::One(person) => Ok(Some(person.clone())),
        Match::Several(all) => {
            let works_there = |person: &&&Person| {
                contacts.iter().any(|contact| Some(contact.outlet_id) == outlet && contact.person_id == person.id)
            };
            let there: Vec<&&Person> = all.iter().filter(works_there).collect();
            match there.as_slice() {
                [one] => Ok(Some((**one).clone())),
                _ => {
                    Err("Several people have this name. Choose their outlet, and add them there first if you need to.")
                }
            }
        }
    })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct TickForm {
    act: String,
    escort: String,
}

impl TickForm {
    /// What is checked off, and how the page says so; none if it is none of the buttons.
    fn read(&self, name: &str, able: Vec<Name>) -> Option<(Tick, String)> {
        Some(match self.act.as_str() {
            "arrived" => (Tick::Arrived(true), format!("{name} has arrived.")),
            "not arrived" => (Tick::Arrived(false), format!("{name} is not here yet.")),
            "signed" => (Tick::Signed(true), format!("{name} has signed the ground rules.")),
            "not signed" => (Tick::Signed(false), format!("{name} has not signed the ground rules.")),
            "escort" => match able.into_iter().find(|able| able.id.to_string() == self.escort) {
                Some(with) => (Tick::Escort(Some(with.id)), format!("{} will escort {name}.", with.name)),
                None => (Tick::Escort(None), format!("{name} has no escort.")),
            },
            "take off" => (Tick::Off, format!("{name} is off the list.")),
            _ => return None,
        })
    }
}

async fn tick(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, person)): Path<(i64, i64)>,
    Form(form): Form<TickForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let mut db = app.db.read().acquire().await?;
    let (requests, visits) = (asks::of_event(&mut db, id).await?, store::of_event(&mut db, id).await?);
    let (people, contacts) = (people::everyone(&mut db).await?, outlets::contacts(&mut db).await?);
    drop(db);
    let known = expected(&requests, &visits, &people, &event).into_iter().find(|known| known.person_id == person);
    let name = known.ok_or(Error::NotFound)?.name;
    let here = format!("/events/{id}/burn-day/press");
    let Some((tick, said)) = form.read(&name, able(&people, &contacts)) else {
        return Ok(flash::redirect(&here, "Nothing was saved. Choose one of the buttons."));
    };
    let actor = visit.user.actor();
    let write =
        app.db.write(move |tx| Box::pin(async move { store::tick(tx, actor, id, (person, &name), tick, now).await }));
    let said = if write.await? { said } else { "There was nothing to save: it was already marked.".to_owned() };
    Ok(flash::redirect(&here, &said))
}
