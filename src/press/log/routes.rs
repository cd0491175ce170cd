use super::{CHANNELS, Channel, Entry, LogForm, NewEntry, OUTCOMES, Shown, open_follow_ups, store};
use crate::accounts::{Private, SignedIn, User, Visit};
use crate::asks::{self, Confirm, Given, Kind, NewQuestion, Sender};
use crate::countdown;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::people::{Name, Person};
use crate::press::editor::{PressEditor, event};
use crate::press::outlet_status::Reach;
use crate::press::outlets::{self, Contact};
use crate::press::{facts, papers, timeline};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::link::LinkKey;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/press/log", get(index).merge(post(create)))
        .route("/events/{id}/press/log/{entry}", get(entry).merge(post(correct)))
}

/// The choices where someone logs a contact.
pub(in crate::press) struct Choices {
    pub contacts: Vec<Contact>,
    pub followers: Vec<Name>,
    pub versions: Vec<(i64, String)>,
    /// Each with its label.
    pub channels: Vec<(&'static str, &'static str)>,
    pub outcomes: &'static [&'static str],
}

impl Choices {
    pub async fn load(app: &App, event_id: i64) -> Result<Self> {
        let versions = papers::versions_of_event(app.db.read(), event_id).await?;
        let mut db = app.db.read().acquire().await?;
        let listings = outlets::listings(&mut db, event_id).await?;
        let mut contacts = outlets::contacts(&mut db).await?;
        // Those on the list first.
        contacts.sort_by_key(|contact| !listings.iter().any(|listing| listing.outlet_id == contact.outlet_id));
        Ok(Self {
            contacts,
            followers: outlets::owners(&crate::accounts::list_in(&mut db).await?),
            versions: versions.into_iter().map(|version| (version.id, version.called())).collect(),
            channels: CHANNELS.into_iter().zip(Channel::ALL.map(Channel::label)).collect(),
            outcomes: &OUTCOMES,
        })
    }
}

#[derive(Template)]
#[template(path = "press/log.html")]
struct Log {
    page: Page,
    event_id: i64,
    keeps: bool,
    lines: Vec<Shown>,
    total: usize,
    outlets: Vec<(i64, String)>,
    people: Vec<(i64, String)>,
    filter: Filter,
    form: LogForm,
    mistakes: Mistakes,
    choices: Choices,
    action: String,
    /// The entry to correct.
    corrects: Option<Shown>,
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct Filter {
    outlet: String,
    person: String,
    contact: String,
}

impl Filter {
    fn fits(&self, entry: &Entry) -> bool {
        let is = |wanted: &str, id: i64| wanted.is_empty() || wanted == id.to_string();
        is(&self.outlet, entry.outlet_id) && is(&self.person, entry.person_id)
    }
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

async fn view(
    app: &App,
    visit: &Visit,
    event: &Event,
    filter: Filter,
    (form, mistakes): (LogForm, Mistakes),
    corrects: Option<&Entry>,
) -> Result<Log> {
    let title = if corrects.is_some() { "Edit an entry" } else { "Contact log" };
    let page = events::page(app, visit, Some(event), app.clock.now()).await?.titled(title);
    let entries = store::of_event(app.db.read(), event.id).await?;
    let mut outlets: Vec<_> = entries.iter().map(|entry| (entry.outlet_id, entry.outlet.clone())).collect();
    let mut people: Vec<_> = entries.iter().map(|entry| (entry.person_id, entry.person.clone())).collect();
    for names in [&mut outlets, &mut people] {
        names.sort_by(|a, b| (&a.1, a.0).cmp(&(&b.1, b.0)));
        names.dedup();
    }
    let here = format!("/events/{}/press/log", event.id);
    let mut choices = Choices::load(app, event.id).await?;
    if let Some(entry) = corrects {
        // The entry stays with its outlet.
        choices.contacts.retain(|contact| contact.outlet_id == entry.outlet_id);
    }
    let wanted = corrects.map(|entry| entry.id);
    Ok(Log {
        page,
        event_id: event.id,
        keeps: visit.user.keeps_people(),
        lines: super::shown(&entries, event, &visit.user, |entry| filter.fits(entry)),
        total: entries.len(),
        outlets,
        people,
        filter,
        form,
        mistakes,
        choices,
        action: corrects.map_or_else(|| here.clone(), |entry| format!("{here}/{}", entry.id)),
        corrects: super::shown(&entries, event, &visit.user, |entry| Some(entry.id) == wanted).pop(),
    })
}

/// What a form says, and why its date to follow up is a bad one.
async fn read(
    app: &App,
    event: &Event,
    form: &LogForm,
    now: OffsetDateTime,
) -> Result<Result<(NewEntry, Contact, String), Mistakes>> {
    let versions = papers::versions_of_event(app.db.read(), event.id).await?;
    let versions: Vec<i64> = versions.iter().map(|version| version.id).collect();
    let outlets = outlets::all(app.db.read()).await?;
    let mut db = app.db.read().acquire().await?;
    let (contacts, listings) = (outlets::contacts(&mut db).await?, outlets::listings(&mut db, event.id).await?);
    let able = outlets::owners(&crate::accounts::list_in(&mut db).await?);
    let owner = |outlet: i64| listings.iter().find(|listing| listing.outlet_id == outlet)?.owner_id;
    let today = event.today(now);
    let read = form.read(event, &contacts, &versions, owner, now).map(|(mut entry, contact)| {
        entry.follow_up_by = entry.follow_up_by.filter(|by| able.iter().any(|known| known.id == *by));
        let outlet = outlets.iter().find(|outlet| outlet.id == entry.outlet_id);
        let against = entry.follow_up_on.zip(outlet).map(|(on, outlet)| timeline::against(outlet, on, today));
        (entry, contact, against.unwrap_or_default())
    });
    Ok(read)
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
        Ok((mut new, contact, against)) => {
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

/// Adds the entry. What they said about covering the burn is an answer too.
async fn keep(
    app: &App,
    visit: &Visit,
    event: Event,
    new: NewEntry,
    contact: &Contact,
    now: OffsetDateTime,
) -> Result<bool> {
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let closings = countdown::closings(app.clone(), event.clone(), now).await?;
    let closes_at = closings.last(Kind::Coverage, &event, now);
    let (by, key, title) =
        (visit.user.account_id, app.link_key.clone(), format!("{}, {}", contact.name, contact.outlet));
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let added = store::add(tx, Some(by), &new, &title, now).await?;
            if added.is_some() && new.outcome.said().is_some() {
                answer(tx, by, (&event, closes_at), &new, (&sender, &key), now).await?;
            }
            Ok(added.is_some())
        })
    });
    write.await
}

/// Saves what someone said about coming as an answer for burn day.
async fn answer(
    tx: &mut Tx,
    by: i64,
    (event, closes_at): (&Event, OffsetDateTime),
    new: &NewEntry,
    (sender, key): (&Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<()> {
    let Some(said) = new.outcome.said() else { return Ok(()) };
    let known = asks::of_event(tx, event.id).await?;
    let fits = |request: &&asks::Request| {
        request.kind == Kind::Coverage && request.person_id == new.person_id && !request.is_withdrawn
    };
    let burn_on = event.details.burn_on;
    let id = if let Some(request) = known.iter().rfind(fits) {
        if request.live().all(|ask| ask.for_on != burn_on) {
            asks::ask_again(tx, Actor::Account(by), event, request.id, closes_at, key, now).await?;
        }
        request.id
    } else {
        let question = NewQuestion {
            kind: Kind::Coverage,
            question: Kind::Coverage.question().to_owned(),
            facts: facts::coverage_facts(&facts::of_event(tx, event.id).await?),
            words: String::new(),
            closes_at,
            dates: vec![burn_on],
        };
        asks::ask(tx, by, event, new.person_id, &question, key, now).await?
    };
    let Some(request) = asks::of_request_in(tx, id).await? else { return Ok(()) };
    let Some(ask) = request.live().find(|ask| ask.for_on == burn_on).map(|ask| ask.id) else { return Ok(()) };
    let given = Given { evidence: new.words.chars().take(200).collect(), ..Given::of(said, new.channel.way()) };
    asks::answer(tx, Actor::Account(by), (event, &request), (ask, &given), Confirm::InWriting(sender, key), now)
        .await?;
    Ok(())
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
        Ok((new, contact, _)) => {
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

/// A follow-up that is due, as a page shows it.
#[derive(Debug)]
pub(in crate::press) struct DueLine {
    /// The contact to log next.
    pub contact: String,
    pub person: String,
    pub outlet: String,
    pub phone: String,
    pub words: String,
    pub due: String,
    pub due_on: String,
    pub is_late: bool,
    pub who: String,
    pub against: String,
}

/// The follow-ups due until a day.
pub(in crate::press) fn due(
    entries: &[Entry],
    contacts: &[Contact],
    outlets: &[outlets::Outlet],
    (today, until): (time::Date, time::Date),
    (user, people): (&User, &[Person]),
) -> Vec<DueLine> {
    let line = |(entry, on): (&Entry, time::Date)| {
        let contact = contacts.iter().find(|c| (c.outlet_id, c.person_id) == (entry.outlet_id, entry.person_id));
        let outlet = outlets.iter().find(|outlet| outlet.id == entry.outlet_id);
        let person = people.iter().find(|person| person.id == entry.person_id);
        DueLine {
            contact: contact.map(|contact| contact.id.to_string()).unwrap_or_default(),
            person: entry.person.clone(),
            outlet: entry.outlet.clone(),
            words: user.shown(Private::Notes, &entry.words),
            phone: Reach::of(person, user).phone,
            due: Reader::App.near_day(on, today),
            due_on: words::iso(on),
            is_late: on < today,
            who: entry.follow_up_by.as_ref().map(|(_, name)| name.clone()).unwrap_or_default(),
            // If it is late, what matters is whether they are open today.
            against: outlet.map(|outlet| timeline::against(outlet, on.max(today), today)).unwrap_or_default(),
        }
    };
    open_follow_ups(entries).into_iter().filter(|(_, on)| *on <= until).map(line).collect()
}
