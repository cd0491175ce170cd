//! Adding, changing, and removing estimates.

use super::edit_page::{Edited, view};
use super::fields::FIELDS;
use super::page::{must_plan_fire, page};
use super::setup::Setup;
use super::snapshot::FireSnapshot;
use super::store::{self, Setting};
use crate::accounts::{SignedIn, Visit};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Both, Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/fire/settings/new", get(new).merge(post(create)))
        .route("/events/{id}/rooms/fire/settings/{setting}", get(edit).merge(post(change)))
        .route("/events/{id}/rooms/fire/settings/{setting}/remove", post(remove))
}

#[derive(Debug, Deserialize)]
struct Version {
    #[serde(default)]
    version: i64,
}

/// The number of a setting to begin from.
#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Like {
    like: String,
}

async fn new(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(Like { like }): Query<Like>,
) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let known = FireSnapshot::load(&app, id).await?;
    let mut form = known.chosen(like.parse().ok().filter(|number| *number >= 0))?.setup;
    // The first one takes over what is on the lists; each later one is to differ.
    if !known.settings.is_empty() {
        form.name = free_name(&known.settings);
    }
    let view = view(&app, &visit, &known, Edited::NEW, (form, Mistakes::default()), app.clock.now()).await?;
    show(&view)
}

/// "Estimate 2", or the next one that is free.
fn free_name(settings: &[Setting]) -> String {
    let is_free = |name: &String| settings.iter().all(|setting| setting.setup.name != *name);
    (settings.len() + 1..=2 * settings.len() + 1)
        .map(|number| format!("Estimate {number}"))
        .find(is_free)
        .unwrap_or_default()
}

async fn create(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(form): Form<Setup>,
) -> Result<Response> {
    save(&app, &visit, id, Edited::NEW, form).await
}

async fn edit(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, setting)): Path<(i64, i64)>,
) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let known = FireSnapshot::load(&app, id).await?;
    let found = known.settings.iter().find(|known| known.id == setting).ok_or(Error::NotFound)?;
    let (form, edited) = (found.setup.clone(), Edited { setting, version: found.version });
    // What is wrong by today's limits is said at once.
    let mistakes = form.read().err().unwrap_or_default();
    show(&view(&app, &visit, &known, edited, (form, mistakes), app.clock.now()).await?)
}

async fn change(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, setting)): Path<(i64, i64)>,
    Both(form, Version { version }): Both<Setup, Version>,
) -> Result<Response> {
    save(&app, &visit, id, Edited { setting, version }, form).await
}

async fn save(app: &App, visit: &Visit, id: i64, edited: Edited, form: Setup) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let (now, form) = (app.clock.now(), form.filled());
    let known = FireSnapshot::load(app, id).await?;
    let old = known.settings.iter().find(|setting| setting.id == edited.setting);
    if edited.setting != 0 && old.is_none() {
        return Err(Error::NotFound);
    }
    let name = match free(&form, edited, &known.settings) {
        Ok(name) => name,
        Err(mistakes) => {
            let page = view(app, visit, &known, edited, (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    if let Some(theirs) = old.filter(|old| old.version != edited.version) {
        return show_conflict(app, visit, &known, theirs, &form, now).await;
    }
    let setting = Setting { id: edited.setting, setup: Setup { name, ..form }, version: edited.version };
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| Box::pin(async move { store::save(tx, actor, id, &setting, now).await }));
    let saved = write.await?.ok_or_else(saved_meanwhile)?;
    Ok(flash::redirect(&format!("/events/{id}/rooms/fire?setting={saved}"), "Saved. This is the estimate with it."))
}

/// Its name, if all of it can be used and no other estimate has that name.
fn free(form: &Setup, edited: Edited, settings: &[Setting]) -> Result<String, Mistakes> {
    let mut mistakes = form.read().err().unwrap_or_default();
    let name = form::line(&form.name, 60).unwrap_or_default();
    if settings.iter().any(|other| other.id != edited.setting && other.setup.name == name) {
        mistakes.add("name", "Another estimate has this name. Choose another one.");
    }
    if mistakes.is_empty() { Ok(name) } else { Err(mistakes) }
}

fn saved_meanwhile() -> Error {
    Error::BadRequest(
        "Someone saved this estimate, or another with its name, a moment ago. Nothing was changed. Go back and send it \
         again."
            .to_owned(),
    )
}

async fn show_conflict(
    app: &App,
    visit: &Visit,
    known: &FireSnapshot,
    theirs: &Setting,
    mine: &Setup,
    now: OffsetDateTime,
) -> Result<Response> {
    let action = format!("/events/{}/rooms/fire/settings/{}", known.event.id, theirs.id);
    let mut conflict = Conflict::new("Fire estimate", action, theirs.version);
    for (name, label, of) in FIELDS {
        conflict.field(name, label, of(&theirs.setup), of(mine));
    }
    conflict.field("hose", "Hose", &theirs.setup.hose, &mine.hose);
    conflict.list("kind", "Items", &theirs.setup.kind, &mine.kind);
    conflict.list("delay", "Seconds until each catches", &theirs.setup.delay, &mine.delay);
    conflict.list("peak", "Heat of each, kW", &theirs.setup.peak, &mine.peak);
    conflict.list("rise", "Seconds each rises", &theirs.setup.rise, &mine.rise);
    conflict::show(page(app, visit, &known.event, "Fire estimate", now).await?, &conflict)
}

async fn remove(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, setting)): Path<(i64, i64)>,
) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    FireSnapshot::load(&app, id).await?;
    let removed =
        app.db.write(move |tx| Box::pin(async move { store::remove(tx, actor, id, setting, now).await })).await?;
    let said = if removed { "Removed. A plan that was pinned from it stays." } else { "It was removed already." };
    Ok(flash::redirect(&format!("/events/{id}/rooms/fire"), said))
}
