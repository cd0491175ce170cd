//! What an estimate rests on, as a form.

use super::routes::{must_plan_fire, page};
use super::setup::{ALARM_KINDS, CEILINGS, FUELS, HOSES, ITEM_FIELDS, START_PLACES, Setup, WALLS};
use super::snapshot::FireSnapshot;
use super::store::{self, Setting};
use crate::accounts::{SignedIn, Visit};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::fold::Fold;
use crate::web::form::{self, Both, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use serde_json::Value as Json;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/fire/settings/new", get(new).merge(post(create)))
        .route("/events/{id}/rooms/fire/settings/{setting}", get(edit).merge(post(change)))
        .route("/events/{id}/rooms/fire/settings/{setting}/remove", post(remove))
}

/// A field of the form: its name, its label, and what it holds.
type Field = (&'static str, &'static str, fn(&Setup) -> &String);

macro_rules! fields {
    ($($name:ident: $label:literal),+ $(,)?) => {
        [$((stringify!($name), $label, (|setup| &setup.$name) as fn(&Setup) -> &String)),+]
    };
}

const FIELDS: [Field; 35] = fields! {
    name: "Name",
    length: "Length",
    width: "Width",
    height: "Height",
    front_width: "Width of the open front",
    front_height: "Height of the open front",
    panel: "Clear panel, from the top down",
    walls: "Walls and ceiling",
    ceiling: "Ceiling",
    place: "The fire starts",
    surface: "Height of the fire above the floor",
    air: "Air, °F",
    rating: "Rating, °F",
    head_distance: "Head to fire",
    rti: "RTI",
    conductance: "Conductance (C)",
    k_factor: "K-factor",
    head_psi: "Pressure at the head, psi",
    alarm: "Smoke alarm",
    alarm_distance: "Alarm to fire",
    flux: "Heat where the public watches, kW/m²",
    structure: "Height of the structure, ft",
    hose_depth: "Room for hose lines, ft",
    permit_distance: "Distance in a permit, ft",
    own_distance: "Your own rule, ft",
    tank: "Sprinkler tank, gal",
    unusable: "Can't be drawn, gal",
    tank_minutes: "Minutes of water",
    attack_gpm: "Attack line, gpm",
    attack_supply: "Attack line's supply, gal",
    backup_gpm: "Backup line, gpm",
    backup_supply: "Backup line's own supply, gal",
    attack_minutes: "Minutes of attack",
    hose_length: "Hose length, ft",
    nozzle_psi: "Nozzle pressure, psi",
};

/// A new setup as the history shows it: what isn't usual about it.
pub(super) fn new_in_history(setup: &Setup) -> Json {
    let usual = in_history(&Setup::default());
    let mut all = in_history(setup);
    if let Some(fields) = all.as_object_mut() {
        fields.retain(|label, value| usual.get(label) != Some(value));
    }
    all
}

/// A setup as the history compares it.
pub(super) fn in_history(setup: &Setup) -> Json {
    let fields = FIELDS.into_iter().map(|(_, label, of)| (label, of(setup).clone()));
    let lists = [
        ("Items", &setup.kind),
        ("Catch after", &setup.delay),
        ("Peak heat", &setup.peak),
        ("Time to peak", &setup.rise),
    ];
    let lists = lists.into_iter().map(|(label, all)| (label, all.join("; ")));
    let all = fields.chain([("Hose", setup.hose.clone())]).chain(lists);
    all.map(|(label, value)| (label.to_owned(), Json::String(value))).collect::<serde_json::Map<_, _>>().into()
}

/// A row for an item: the names under which its mistakes are kept, and what it holds.
struct ItemRow {
    number: usize,
    ids: [&'static str; 4],
    values: [String; 4],
}

impl ItemRow {
    fn is(&self, fuel: &str) -> bool {
        self.values[0] == fuel
    }
}

#[derive(Template)]
#[template(path = "fire/edit.html")]
struct EditPage {
    page: Page,
    heading: &'static str,
    action: String,
    /// Where to remove it; empty for a new one.
    remove: String,
    form: Setup,
    version: i64,
    mistakes: Mistakes,
    rows: Vec<ItemRow>,
}

impl EditPage {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let usual = Setup::default();
        let value = |setup: &Setup, name: &str| {
            let field = FIELDS.into_iter().find(|(known, ..)| *known == name);
            field.map(|(_, _, of)| of(setup).clone()).unwrap_or_default()
        };
        Fold::compared(names, |name| value(&self.form, name), |name| value(&usual, name), &self.mistakes, false)
    }
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

/// What the form is about: a number (0 for a new setting) and a version.
type About = (i64, i64);

async fn view(
    app: &App,
    visit: &Visit,
    known: &FireSnapshot,
    (setting, version): About,
    (form, mistakes): (Setup, Mistakes),
    now: OffsetDateTime,
) -> Result<EditPage> {
    let event_id = known.event.id;
    let base = format!("/events/{event_id}/rooms/fire/settings");
    let rows = ITEM_FIELDS.into_iter().enumerate();
    let rows = rows.map(|(place, ids)| ItemRow { number: place + 1, ids, values: form.item(place).map(str::to_owned) });
    let (heading, action, remove) = if setting == 0 {
        ("New estimate", format!("{base}/new"), String::new())
    } else {
        ("What this rests on", format!("{base}/{setting}"), format!("{base}/{setting}/remove"))
    };
    let up = format!("/events/{event_id}/rooms/fire?setting={setting}");
    Ok(EditPage {
        page: page(app, visit, &known.event, heading, now).await?.under(up, "What the fire will do"),
        heading,
        action,
        remove,
        rows: rows.collect(),
        form,
        version,
        mistakes,
    })
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
    let view = view(&app, &visit, &known, (0, 0), (form, Mistakes::default()), app.clock.now()).await?;
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
    save(&app, &visit, id, (0, 0), form).await
}

async fn edit(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, setting)): Path<(i64, i64)>,
) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let known = FireSnapshot::load(&app, id).await?;
    let found = known.settings.iter().find(|known| known.id == setting).ok_or(Error::NotFound)?;
    let (form, version) = (found.setup.clone(), found.version);
    // What is wrong by today's limits is said at once.
    let mistakes = form.read().err().unwrap_or_default();
    show(&view(&app, &visit, &known, (setting, version), (form, mistakes), app.clock.now()).await?)
}

async fn change(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, setting)): Path<(i64, i64)>,
    Both(form, Version { version }): Both<Setup, Version>,
) -> Result<Response> {
    save(&app, &visit, id, (setting, version), form).await
}

async fn save(app: &App, visit: &Visit, id: i64, about: About, form: Setup) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let (now, form) = (app.clock.now(), form.filled());
    let known = FireSnapshot::load(app, id).await?;
    let old = known.settings.iter().find(|setting| setting.id == about.0);
    if about.0 != 0 && old.is_none() {
        return Err(Error::NotFound);
    }
    let mut mistakes = form.read().err().unwrap_or_default();
    let name = form::line(&form.name, 60).unwrap_or_default();
    if known.settings.iter().any(|other| other.id != about.0 && other.setup.name == name) {
        mistakes.add("name", "Another estimate has this name. Choose another one.");
    }
    if !mistakes.is_empty() {
        let page = view(app, visit, &known, about, (form, mistakes), now).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    if let Some(theirs) = old.filter(|old| old.version != about.1) {
        return show_conflict(app, visit, &known, theirs, &form, now).await;
    }
    let setup = Setup { name, ..form };
    let (setting, actor) = (Setting { id: about.0, setup, version: about.1 }, visit.user.actor());
    let saved =
        app.db.write(move |tx| Box::pin(async move { store::save(tx, actor, id, &setting, now).await })).await?;
    let Some(saved) = saved else {
        return Err(Error::BadRequest(
            "Someone saved this estimate, or another with its name, a moment ago. Nothing was changed. Go back and \
             send it again."
                .to_owned(),
        ));
    };
    Ok(flash::redirect(&format!("/events/{id}/rooms/fire?setting={saved}"), "Saved. This is the estimate with it."))
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
