use super::contacts::{ContactForm, Namesake, add_contact};
use super::form::OutletForm;
use super::store::{self, Refused};
use super::{Contact, Listing, OUTLET_KINDS, Outlet};
use crate::accounts::{self, SignedIn, Visit};
use crate::db::journal;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::{self, Name};
use crate::press::editor::{PressEditor, event};
use crate::press::log::{self, Shown};
use crate::press::outlet_status::Reach;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/press/outlets", get(index).merge(post(create)))
        .route("/events/{id}/press/outlets/{outlet}", get(outlet).merge(post(change)))
        .route("/events/{id}/press/outlets/{outlet}/list", post(list))
        .route("/events/{id}/press/outlets/{outlet}/contacts", post(add_contact))
        .route("/events/{id}/press/outlets/{outlet}/contacts/gone", post(contact_gone))
}

#[derive(Template)]
#[template(path = "press/outlets.html")]
struct Index {
    page: Page,
    event_id: i64,
    keeps: bool,
    lines: Vec<OutletLine>,
    form: OutletForm,
    mistakes: Mistakes,
    kinds: &'static [&'static str],
}

struct OutletLine {
    id: i64,
    name: String,
    beneath: String,
    people: String,
    listed: String,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let form = OutletForm { lead_days: "1".to_owned(), ..OutletForm::default() };
    show(&index_view(&app, &visit, &event, form, Mistakes::default()).await?)
}

async fn index_view(app: &App, visit: &Visit, event: &Event, form: OutletForm, mistakes: Mistakes) -> Result<Index> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled("Outlets");
    let outlets = store::all(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let (contacts, listings) = (store::contacts(&mut db).await?, store::listings(&mut db, event.id).await?);
    let line = |outlet: Outlet| {
        let here: Vec<&str> =
            contacts.iter().filter(|c| c.outlet_id == outlet.id).map(|contact| contact.name.as_str()).collect();
        let listing = listings.iter().find(|listing| listing.outlet_id == outlet.id);
        OutletLine {
            id: outlet.id,
            beneath: beneath(&outlet),
            people: if here.is_empty() { "no contacts yet".to_owned() } else { here.join(", ") },
            listed: listing.map_or(String::new(), |listing| match &listing.owner {
                Some(owner) => format!("on the list, {owner}"),
                None => "on the list, no one responsible".to_owned(),
            }),
            name: outlet.details.name,
        }
    };
    let keeps = visit.user.keeps_people();
    let lines = outlets.into_iter().map(line).collect();
    Ok(Index { page, event_id: event.id, keeps, lines, form, mistakes, kinds: &OUTLET_KINDS })
}

fn beneath(outlet: &Outlet) -> String {
    let details = &outlet.details;
    let mut parts = vec![details.kind.to_string()];
    if !details.rhythm.is_empty() {
        parts.push(details.rhythm.clone());
    }
    if details.lead_days > 0 {
        let days = words::count(usize::from(details.lead_days), "day", "days");
        parts.push(format!("needs text {days} before burn day"));
    }
    parts.join(" · ")
}

async fn create(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<OutletForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let mistakes = match form.read() {
        Ok(details) => {
            let actor = visit.user.actor();
            let said = format!("{} is added. Now add a contact.", details.name);
            let add = app.db.write(move |tx| Box::pin(async move { store::add(tx, actor, &details, now).await }));
            if let Some(outlet) = add.await? {
                return Ok(flash::redirect(&format!("/events/{id}/press/outlets/{outlet}"), &said));
            }
            let mut mistakes = Mistakes::default();
            mistakes.add("name", "You have an outlet with this name already.");
            mistakes
        }
        Err(mistakes) => mistakes,
    };
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &index_view(&app, &visit, &event, form, mistakes).await?)
}

#[derive(Template)]
#[template(path = "press/outlet.html")]
pub(super) struct OutletPage {
    page: Page,
    event_id: i64,
    keeps: bool,
    sees_people: bool,
    outlet: Outlet,
    beneath: String,
    closed: String,
    contacts: Vec<ContactLine>,
    listing: Option<Listing>,
    owners: Vec<Name>,
    log: Vec<Shown>,
    form: OutletForm,
    mistakes: Mistakes,
    contact: ContactForm,
    contact_mistakes: Mistakes,
    /// People it may be.
    namesakes: Vec<Namesake>,
    kinds: &'static [&'static str],
    history: Vec<HistoryLine>,
}

struct ContactLine {
    contact: Contact,
    reach: Reach,
}

/// An outlet, if there is one.
pub(super) async fn found(app: &App, id: i64) -> Result<Outlet> {
    store::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

async fn outlet(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, outlet)): Path<(i64, i64)>,
) -> Result<Response> {
    let (event, outlet) = (event(&app, id).await?, found(&app, outlet).await?);
    let form = OutletForm::of(&outlet.details, outlet.version);
    let typed = (form, Mistakes::default());
    show(&view(&app, &visit, &event, outlet, typed, (ContactForm::default(), Mistakes::default(), Vec::new())).await?)
}

pub(super) async fn view(
    app: &App,
    visit: &Visit,
    event: &Event,
    outlet: Outlet,
    (form, mistakes): (OutletForm, Mistakes),
    (contact, contact_mistakes, namesakes): (ContactForm, Mistakes, Vec<Namesake>),
) -> Result<OutletPage> {
    let now = app.clock.now();
    let page = events::page(app, visit, Some(event), now).await?.titled(&outlet.details.name);
    let entries = log::of_event(app.db.read(), event.id).await?;
    let history = journal::of(app.db.read(), "outlet", outlet.id).await?;
    let mut db = app.db.read().acquire().await?;
    let known = people::everyone(&mut db).await?;
    let contacts = store::contacts(&mut db).await?.into_iter().filter(|contact| contact.outlet_id == outlet.id);
    let line = |contact: Contact| ContactLine {
        reach: Reach::of(known.iter().find(|person| person.id == contact.person_id), &visit.user),
        contact,
    };
    let listing = store::listings(&mut db, event.id).await?.into_iter().find(|known| known.outlet_id == outlet.id);
    let owners = owners(&accounts::list_in(&mut db).await?);
    let closed: Vec<String> = outlet.details.closed_weekdays.iter().map(|day| format!("{day}s")).collect();
    let days = outlet.details.closed_on.iter().map(|on| Reader::App.day(*on));
    Ok(OutletPage {
        page,
        event_id: event.id,
        keeps: visit.user.keeps_people(),
        sees_people: visit.user.sees_people(),
        beneath: beneath(&outlet),
        closed: closed.into_iter().chain(days).collect::<Vec<_>>().join(", "),
        contacts: contacts.map(line).collect(),
        listing,
        owners,
        log: log::shown(&entries, event, &visit.user, |entry| entry.outlet_id == outlet.id),
        form,
        mistakes,
        contact,
        contact_mistakes,
        namesakes,
        kinds: &OUTLET_KINDS,
        history: history.into_iter().map(|entry| HistoryLine::of(entry, &event.details.zone)).collect(),
        outlet,
    })
}

/// Who can be responsible for an outlet: people with an account.
pub(in crate::press) fn owners(accounts: &[accounts::Account]) -> Vec<Name> {
    let able = accounts.iter().filter(|account| !account.disabled && account.role != accounts::Role::Reader);
    able.map(|account| Name { id: account.person_id, name: account.name.clone() }).collect()
}

async fn change(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, outlet)): Path<(i64, i64)>,
    Form(form): Form<OutletForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlet) = (event(&app, id).await?, found(&app, outlet).await?);
    let here = format!("/events/{id}/press/outlets/{}", outlet.id);
    let mistakes = match form.read() {
        Ok(new) => {
            let (actor, old) = (visit.user.actor(), Outlet { version: form.version, ..outlet.clone() });
            let change =
                app.db.write(move |tx| Box::pin(async move { store::change(tx, actor, &old, &new, now).await }));
            match change.await? {
                Ok(()) => return Ok(flash::redirect(&here, "The outlet is saved.")),
                Err(Refused::Stale) => {
                    let page = events::page(&app, &visit, Some(&event), now).await?;
                    return conflict::show(page, &stale(&found(&app, outlet.id).await?, &form, here));
                }
                Err(Refused::Taken) => {
                    let mut mistakes = Mistakes::default();
                    mistakes.add("name", "Another outlet has this name. Choose another name.");
                    mistakes
                }
            }
        }
        Err(mistakes) => mistakes,
    };
    let typed = (form, mistakes);
    let contact = (ContactForm::default(), Mistakes::default(), Vec::new());
    let page = view(&app, &visit, &event, outlet, typed, contact).await?;
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
}

fn stale(outlet: &Outlet, mine: &OutletForm, action: String) -> Conflict {
    let theirs = OutletForm::of(&outlet.details, outlet.version);
    let mut conflict = Conflict::new(&theirs.name, action, outlet.version);
    conflict.field("name", "Name", &theirs.name, &mine.name);
    conflict.field("kind", "Type", &theirs.kind, &mine.kind);
    conflict.field("rhythm", "Deadline", &theirs.rhythm, &mine.rhythm);
    conflict.field("lead_days", "Days needed", &theirs.lead_days, &mine.lead_days);
    conflict.list("weekday", "Closed on", &theirs.weekday, &mine.weekday);
    conflict.field("closed_on", "Also closed on", &theirs.closed_on, &mine.closed_on);
    conflict
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct ListForm {
    owner: String,
    act: String,
}

async fn list(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, outlet)): Path<(i64, i64)>,
    Form(form): Form<ListForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, outlet) = (event(&app, id).await?, found(&app, outlet).await?);
    let here = format!("/events/{id}/press/outlets/{}", outlet.id);
    let accounts = accounts::list_in(&mut *app.db.read().acquire().await?).await?;
    let owner = owners(&accounts).into_iter().find(|owner| owner.id.to_string() == form.owner).map(|owner| owner.id);
    let (actor, act, name) = (visit.user.actor(), form.act, outlet.details.name.clone());
    let said = match act.as_str() {
        "list" => format!("{name} is on the list."),
        "take off" => format!("{name} is off the list. Their contacts stay in the log."),
        _ => return Ok(flash::redirect(&here, "Nothing was saved. Choose one of the buttons.")),
    };
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if act == "list" {
                store::list_outlet(tx, actor, event.id, (outlet.id, &outlet.details.name), owner, now).await
            } else {
                store::unlist(tx, actor, event.id, &outlet, now).await
            }
        })
    });
    write.await?;
    Ok(flash::redirect(&here, &said))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct GoneForm {
    contact: i64,
}

async fn contact_gone(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path((id, outlet)): Path<(i64, i64)>,
    Form(form): Form<GoneForm>,
) -> Result<Response> {
    let now = app.clock.now();
    event(&app, id).await?;
    let outlet = found(&app, outlet).await?;
    let here = format!("/events/{id}/press/outlets/{}", outlet.id);
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
