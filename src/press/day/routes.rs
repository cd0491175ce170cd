use super::{Tick, Visit as PressSnapshot, store};
use crate::accounts::{SignedIn, Visit};
use crate::asks::{self, Kind, Said};
use crate::calc::coverage::escorts;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::{self, Name, Person};
use crate::press::editor::{PressEditor, event};
use crate::press::matching::{Match, Sought};
use crate::press::outlet_status::Reach;
use crate::press::{facts, outlets};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/press", get(index).merge(post(add)))
        .route("/events/{id}/burn-day/press/{person}", post(tick))
}

#[derive(Template)]
#[template(path = "press/day.html")]
struct Day {
    page: Page,
    event_id: i64,
    keeps: bool,
    burn_day: String,
    area: String,
    arrival: String,
    lines: Vec<PressLine>,
    arrived: usize,
    needed: usize,
    named: usize,
    escorts: Vec<Name>,
    outlets: Vec<Name>,
    form: AddForm,
    mistakes: Mistakes,
}

struct PressLine {
    person: i64,
    name: String,
    beneath: String,
    phone: String,
    arrived: String,
    signed: String,
    escort: Option<i64>,
    escort_name: String,
    can_go: bool,
}

/// Someone expected, by their answer or because they were added by hand.
struct Expected {
    person_id: i64,
    name: String,
    says: String,
}

/// Those who said they would come on burn day, and those added by hand.
fn expected(requests: &[asks::Request], visits: &[PressSnapshot], people: &[Person], event: &Event) -> Vec<Expected> {
    let mut all: Vec<Expected> = Vec::new();
    for request in requests.iter().filter(|request| request.kind == Kind::Coverage) {
        let Some(answer) = request.stands_for(event.details.burn_on) else { continue };
        let comes = matches!(answer.said, Said::Yes | Said::Deputy | Said::Maybe);
        let person = people.iter().find(|person| person.id == request.person_id);
        let (true, Some(person)) = (comes, person) else { continue };
        if all.iter().all(|known| known.person_id != person.id) {
            let says = if answer.said == Said::Yes { "coming".to_owned() } else { answer.says() };
            all.push(Expected { person_id: person.id, name: person.details.name.clone(), says });
        }
    }
    for visit in visits {
        if all.iter().all(|known| known.person_id != visit.person_id) {
            let says = if visit.by_hand { "added here" } else { "no longer expected" };
            let says = says.to_owned();
            all.push(Expected { person_id: visit.person_id, name: visit.person.clone(), says });
        }
    }
    all.sort_by_cached_key(|one| {
        let person = people.iter().find(|person| person.id == one.person_id);
        (person.is_none(), person.map(Person::listing), one.person_id)
    });
    all
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    show(&view(&app, &visit, &event, AddForm::default(), Mistakes::default()).await?)
}

async fn view(app: &App, visit: &Visit, event: &Event, form: AddForm, mistakes: Mistakes) -> Result<Day> {
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled("Media check-in");
    let outlets = outlets::all(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let requests = asks::of_event(&mut db, event.id).await?;
    let (visits, people) = (store::of_event(&mut db, event.id).await?, people::everyone(&mut db).await?);
    let (contacts, facts) = (outlets::contacts(&mut db).await?, facts::of_event(&mut db, event.id).await?);
    let clock = |at| Reader::App.time(event.details.zone.wall(at).time());
    let line = |expected: Expected| {
        let known = visits.iter().find(|visit| visit.person_id == expected.person_id);
        let outlet = known.and_then(|visit| visit.outlet_id);
        let outlet =
            outlet.and_then(|id| outlets.iter().find(|outlet| outlet.id == id)).map(|o| o.details.name.clone());
        let contact = contacts.iter().find(|contact| contact.person_id == expected.person_id);
        let outlet = outlet.or_else(|| contact.map(|contact| contact.outlet.clone()));
        let person = people.iter().find(|person| person.id == expected.person_id);
        let outlet = outlet.or_else(|| person.map(|person| person.details.organization.clone()));
        let parts = [outlet.unwrap_or_default(), expected.says];
        PressLine {
            person: expected.person_id,
            name: expected.name,
            beneath: parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · "),
            phone: Reach::of(person, &visit.user).phone,
            arrived: known.and_then(|visit| visit.arrived_at).map(clock).unwrap_or_default(),
            signed: known.and_then(|visit| visit.signed_at).map(clock).unwrap_or_default(),
            escort: known.and_then(|visit| visit.escort_id),
            escort_name: known.and_then(|visit| visit.escort.clone()).unwrap_or_default(),
            can_go: known.is_some_and(|visit| visit.by_hand && visit.arrived_at.is_none()),
        }
    };
    let lines: Vec<PressLine> = expected(&requests, &visits, &people, event).into_iter().map(line).collect();
    let mut named: Vec<i64> = lines.iter().filter_map(|line| line.escort).collect();
    named.sort_unstable();
    named.dedup();
    Ok(Day {
        page,
        event_id: event.id,
        keeps: visit.user.keeps_people(),
        burn_day: Reader::App.day(event.details.burn_on),
        area: facts.area,
        arrival: facts.arrival,
        arrived: lines.iter().filter(|line| !line.arrived.is_empty()).count(),
        needed: escorts(lines.len()),
        named: named.len(),
        escorts: able(&people, &contacts),
        outlets: outlets.into_iter().map(|outlet| Name { id: outlet.id, name: outlet.details.name }).collect(),
        lines,
        form,
        mistakes,
    })
}

/// Who can escort them: people who are no contact at an outlet and hold no office.
fn able(people: &[Person], contacts: &[outlets::Contact]) -> Vec<Name> {
    let is_press = |person: &Person| contacts.iter().any(|contact| contact.person_id == person.id);
    let able = people.iter().filter(|person| !is_press(person) && person.details.office.is_empty());
    able.map(|person| Name { id: person.id, name: person.details.name.clone() }).collect()
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct AddForm {
    name: String,
    outlet: String,
}

async fn add(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<AddForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let mut mistakes = Mistakes::default();
    let Some(name) = mistakes.note("name", form::name(&form.name, 100)) else {
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, &event, form, mistakes).await?);
    };
    let outlet = outlets::all(app.db.read()).await?.into_iter().find(|outlet| outlet.id.to_string() == form.outlet);
    let known = match known(&app, &name, outlet.as_ref().map(|outlet| outlet.id)).await? {
        Ok(known) => known,
        Err(which) => {
            mistakes.add("name", which);
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, &event, form, mistakes).await?);
        }
    };
    let (actor, said) = (visit.user.actor(), format!("{name} is on the list."));
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let (person, name) = if let Some(person) = known {
                (person.id, person.details.name)
            } else {
                let organization = outlet.as_ref().map(|outlet| outlet.details.name.clone()).unwrap_or_default();
                let details = people::Details { organization, ..people::Details::of_name(&name) };
                (people::add(tx, actor, &details, now).await?, name.clone())
            };
            store::add(tx, actor, event.id, (person, &name), outlet.map(|outlet| outlet.id), now).await
        })
    });
    let said = if write.await? { said } else { "Nothing was saved: they are on the list already.".to_owned() };
    Ok(flash::redirect(&format!("/events/{id}/burn-day/press"), &said))
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
    let escort = able(&people, &contacts).into_iter().find(|able| able.id.to_string() == form.escort);
    let (tick, said) = match form.act.as_str() {
        "arrived" => (Tick::Arrived(true), format!("{name} has arrived.")),
        "not arrived" => (Tick::Arrived(false), format!("{name} is not here yet.")),
        "signed" => (Tick::Signed(true), format!("{name} has signed the ground rules.")),
        "not signed" => (Tick::Signed(false), format!("{name} has not signed the ground rules.")),
        "escort" => {
            let said = escort
                .as_ref()
                .map_or(format!("{name} has no escort."), |with| format!("{} will escort {name}.", with.name));
            (Tick::Escort(escort.map(|with| with.id)), said)
        }
        "take off" => (Tick::Off, format!("{name} is off the list.")),
        _ => return Ok(flash::redirect(&here, "Nothing was saved. Choose one of the buttons.")),
    };
    let actor = visit.user.actor();
    let write =
        app.db.write(move |tx| Box::pin(async move { store::tick(tx, actor, id, (person, &name), tick, now).await }));
    let said = if write.await? { said } else { "There was nothing to save: it was already marked.".to_owned() };
    Ok(flash::redirect(&here, &said))
}
