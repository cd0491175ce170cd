//! Adding guests: people who have a contact record, and someone new.

use super::candidates::{candidates, ids};
use super::form::{New, NewForm};
use super::guest::{Details, Side};
use super::page;
use super::settings::{GuestSettings, Level};
use super::snapshot::GuestSnapshot;
use super::store::{self, NewGuest};
use crate::accounts::{Officer, Visit};
use crate::calc::offices::{self, Found};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::people::choosing::{self, Chooser, Find, Line, Settled, who_is_it};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::fold::Fold;
use crate::web::form::{Both, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/new", get(new).merge(post(create)))
}

#[derive(Template)]
#[template(path = "guests/new.html")]
struct NewPage {
    page: Page,
    event_id: i64,
    settings: GuestSettings,
    candidates: Vec<(i64, String)>,
    chooser: Chooser,
    form: NewForm,
    /// The part for someone new, and the people they may be.
    part: Fold,
    known: Vec<Line>,
    mistakes: Mistakes,
}

/// The form as it was sent.
struct Typed {
    form: NewForm,
    mistakes: Mistakes,
    /// People the new one may be.
    known: Vec<Line>,
}

impl Typed {
    /// With nothing wrong in it.
    fn of(form: NewForm) -> Self {
        Self { form, mistakes: Mistakes::default(), known: Vec::new() }
    }
}

async fn new(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(find): Query<Find>,
) -> Result<Response> {
    let form = NewForm { side: Side::Official.to_string(), ..NewForm::default() };
    let snapshot = page::snapshot(&app, id).await?;
    show(&new_page(&app, &visit, &snapshot, Typed::of(form), &find).await?)
}

async fn new_page(
    app: &App,
    visit: &Visit,
    snapshot: &GuestSnapshot,
    Typed { form, mistakes, known }: Typed,
    find: &Find,
) -> Result<NewPage> {
    let mut db = app.db.read().acquire().await?;
    let here = format!("/events/{}/guests/new", snapshot.event.id);
    let guests: Vec<i64> = snapshot.guests.iter().map(|known| known.person.id).collect();
    let chooser = Chooser::load(&mut db, here, find, &form.person, &guests, Person::place).await?;
    drop(db);
    Ok(NewPage {
        page: page::page(app, visit, &snapshot.event, "Add guests").await?,
        event_id: snapshot.event.id,
        settings: snapshot.settings.clone(),
        candidates: candidates(app).await?,
        chooser,
        part: form.part(&mistakes, find.is_looking()),
        known,
        form,
        mistakes,
    })
}

async fn create(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Both(form, find): Both<NewForm, Find>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    if find.is_looking() {
        return show(&new_page(&app, &visit, &snapshot, Typed::of(form), &find).await?);
    }
    let new = match form.read(&snapshot.settings, &ids(&candidates(&app).await?)) {
        Ok(new) => new,
        Err(mistakes) => {
            return refuse(&app, &visit, &snapshot, Typed { mistakes, ..Typed::of(form) }, &find).await;
        }
    };
    let (actor, settings) = (visit.user.actor(), snapshot.settings.clone());
    let write = app.db.write(move |tx| Box::pin(async move { add_all(tx, actor, id, &new, &settings, now).await }));
    match write.await? {
        Ok(added) => Ok(flash::redirect(&added.href(id), &added.says())),
        Err(known) => {
            let typed = Typed { mistakes: who_is_it(), known, ..Typed::of(form) };
            refuse(&app, &visit, &snapshot, typed, &find).await
        }
    }
}

async fn refuse(app: &App, visit: &Visit, snapshot: &GuestSnapshot, typed: Typed, find: &Find) -> Result<Response> {
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &new_page(app, visit, snapshot, typed, find).await?)
}

/// Guests who were added.
struct Added {
    guests: Vec<i64>,
    /// What to say about someone new. Starts with a space, or is empty.
    about: String,
}

impl Added {
    fn says(&self) -> String {
        let about = &self.about;
        match self.guests.as_slice() {
            [] => format!("No one was added: they were already on the list.{about}"),
            [_] => format!("Added 1 guest.{about} Check the details, then send the invitation."),
            many => {
                format!("Added {} guests.{about} Check the details of each, then send the invitations.", many.len())
            }
        }
    }

    /// Where to go next.
    fn href(&self, event_id: i64) -> String {
        match self.guests.as_slice() {
            [one] => format!("/events/{event_id}/guests/{one}"),
            _ => format!("/events/{event_id}/guests"),
        }
    }
}

/// Adds the guests; or returns the people whom someone new may be, with nothing added.
async fn add_all(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    new: &New,
    settings: &GuestSettings,
    now: OffsetDateTime,
) -> Result<Result<Added, Vec<Line>>> {
    let (mut people, mut about) = (new.people.clone(), String::new());
    if let Some(fresh) = &new.fresh {
        match choosing::settle(tx, actor, fresh, now).await? {
            Settled::Person { id, said } => {
                people.push(id);
                about = said;
            }
            Settled::Unsure(known) => return Ok(Err(known)),
        }
    }
    let mut guests = Vec::new();
    for id in people {
        let Some(person) = people::find(tx, id).await? else { continue };
        let details = &first_details(new, &person, settings);
        let guest = NewGuest { event_id, person_id: id, name: &person.details.name, details };
        guests.extend(store::add(tx, actor, &guest, now).await?);
    }
    Ok(Ok(Added { guests, about }))
}

/// A new guest's settings, from their contact record.
fn first_details(new: &New, person: &Person, settings: &GuestSettings) -> Details {
    let plain = |level| Details { responsible: new.responsible, ..Details::of(new.side, level) };
    if new.side != Side::Official {
        return Details { sponsor_level: new.sponsor_level, ..plain(Level::Sponsor) };
    }
    let (office, jurisdiction) = (&person.details.office, &person.details.jurisdiction);
    let (_, is_former) = offices::read(office, jurisdiction);
    match settings.find_office(office, jurisdiction) {
        Found::At(place) => {
            let office = &settings.offices[place];
            let address = office.address.clone();
            Details { office: Some(office.id), address, is_former, ..plain(office.level) }
        }
        // The guest's page says so and offers the closest: no one is placed by a guess.
        Found::Perhaps(_) => Details { is_former, ..plain(Level::Local) },
    }
}
