//! An event's questions and replies, for the people who work on it.

use super::form::{AskForm, RecordForm};
use super::letters::{self, Sender};
use super::pressing::{self, Press};
use super::texting::Phones;
use super::views::{self, New, Preview, RequestPage};
use super::{Confirm, Kind, NewQuestion, ReadClosings, ReadCoverage, Request, answer, send_question, store, take_back};
use super::{calendar_link, calls, list, same_hours, telling};
use crate::accounts::{Officer, Role, SignedIn, Visit, Worker};
use crate::db::journal::{self, Actor};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::mail;
use crate::people::choosing::{Chooser, Find};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Both, Form, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::link;
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;
use time::OffsetDateTime;

/// The most emails to preview.
const PREVIEWS: usize = 50;

/// Shown in place of a name after personal data is erased.
pub(super) const ERASED: &str = "name erased";

/// Said when a reply came too late to be saved.
pub(super) const NOT_SAVED: &str =
    "Not saved: the question was withdrawn or its date changed. Check it, then record the reply again.";

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/replies", get(list::index))
        .route("/events/{id}/replies/new", get(new).merge(post(create)))
        .route("/events/{id}/replies/again", post(again))
        .route("/events/{id}/replies/{request}", get(request_page))
        .route("/events/{id}/replies/{request}/answers", post(record))
        .route("/events/{id}/replies/{request}/withdraw", post(withdraw))
        .merge(calendar_link::router())
        .merge(telling::router())
        .merge(calls::logging::router())
        .merge(same_hours::router())
}

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    kind: String,
}

async fn new(
    State(app): State<App>,
    Extension(closings): Extension<ReadClosings>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
    Query(find): Query<Find>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let kind = wanted.kind.parse().ok().filter(|kind: &Kind| !kind.takes_offer()).unwrap_or(Kind::Post);
    let closings = closings(app.clone(), event.clone(), now).await?;
    let form = AskForm::usual(kind, &event, &closings, now);
    show(&new_page(&app, &visit, &event, (form, &find), Mistakes::default(), now).await?)
}

async fn new_page(
    app: &App,
    visit: &Visit,
    event: &Event,
    (form, find): (AskForm, &Find),
    mistakes: Mistakes,
    now: OffsetDateTime,
) -> Result<New> {
    let here = format!("/events/{}/replies/new", event.id);
    let mut db = app.db.read().acquire().await?;
    let chooser = Chooser::load(&mut db, here, find, &form.person, &[], views::reached).await?;
    drop(db);
    Ok(New {
        page: events::page(app, visit, Some(event), now).await?.titled("Ask people"),
        event_id: event.id,
        burn_day: Reader::App.day(event.details.burn_on),
        rain_day: event.details.rain_on.map(|on| Reader::App.day(on)).unwrap_or_default(),
        form: AskForm { person: chooser.ids(), ..form },
        chooser,
        mistakes,
        previews: Vec::new(),
        to_ring: Vec::new(),
    })
}

async fn create(
    State(app): State<App>,
    Extension(coverage): Extension<ReadCoverage>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Both(form, find): Both<AskForm, Find>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    if find.is_looking() && form.act != "ask" {
        return show(&new_page(&app, &visit, &event, (form, &find), Mistakes::default(), now).await?);
    }
    let mut question = match form.read(&event, now) {
        Ok(question) => question,
        Err(mistakes) => {
            let page = new_page(&app, &visit, &event, (form, &find), mistakes, now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    if question.kind.takes_offer() {
        return Err(Error::BadRequest(BY_ROOMS.to_owned()));
    }
    if question.kind == Kind::Coverage {
        question.facts = coverage(&mut *app.db.read().acquire().await?, id).await?;
    }
    let chosen = people::some(&mut *app.db.read().acquire().await?, &form.person).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    if form.act == "see" {
        let mut page = new_page(&app, &visit, &event, (form, &find), Mistakes::default(), now).await?;
        page.previews = previews(&event, &question, &chosen, &sender, now)?;
        page.to_ring = chosen.iter().filter(|p| !p.has_mail()).map(|p| p.details.name.clone()).collect();
        return show(&page);
    }
    let said = ask_all(&app, &visit, event, question, chosen, sender, now).await?;
    Ok(flash::redirect(&format!("/events/{id}/replies"), &said))
}

fn previews(
    event: &Event,
    question: &NewQuestion,
    chosen: &[Person],
    sender: &Sender,
    now: OffsetDateTime,
) -> Result<Vec<Preview>> {
    let reached = chosen.iter().filter(|person| person.has_mail()).take(PREVIEWS);
    let preview = |person: &Person| {
        let letter = letters::asking(event, &question.unsent(event, person.id, now), person, sender, now)?;
        Ok(Preview {
            to: format!("{} <{}>", letter.to.name, letter.to.address),
            subject: letter.subject,
            text: link::without_links(&letter.body.text, "[their own link]"),
        })
    };
    reached.map(preview).collect()
}

async fn ask_all(
    app: &App,
    visit: &Visit,
    event: Event,
    question: NewQuestion,
    chosen: Vec<Person>,
    sender: Sender,
    now: OffsetDateTime,
) -> Result<String> {
    let (by, key) = (visit.user.account_id, app.link_key.clone());
    let night = mail::night_note(&event.details.zone, now);
    let count = chosen.len();
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let known = store::of_event(tx, event.id).await?;
            let (mut asked, mut written) = (0, 0);
            for person in &chosen {
                let same = |old: &Request| old.question == question.question && old.person_id == person.id;
                if known.iter().any(|old| same(old) && !old.is_withdrawn && !old.is_stale()) {
                    continue;
                }
                let id = store::ask(tx, by, &event, person.id, &question, &key, now).await?;
                asked += 1;
                written +=
                    usize::from(send_question(tx, Actor::Account(by), (&event, id), (&sender, &key), now).await?);
            }
            Ok((asked, written))
        })
    });
    let (asked, written) = write.await?;
    let mut said = vec![format!("{} asked.", words::count(asked, "person was", "people were"))];
    if written < asked {
        said.push(format!("{} no working email: call.", words::count(asked - written, "has", "have")));
    }
    if asked < count {
        said.push(format!("{} asked before and not again.", words::count(count - asked, "was", "were")));
    }
    let night = if written > 0 { night } else { String::new() };
    Ok(said.join(" ") + &night)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Again {
    request: Vec<i64>,
}

async fn again(
    State(app): State<App>,
    Extension(closings): Extension<ReadClosings>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<Again>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (actor, key) = (visit.user.actor(), app.link_key.clone());
    let closings = closings(app.clone(), event.clone(), now).await?;
    let night = mail::night_note(&event.details.zone, now);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let mut asked = 0;
            for request_id in form.request {
                let request = store::of_request_in(tx, request_id).await?;
                let Some(request) = request.filter(|request| request.event_id == event.id) else { continue };
                let closes_at = closings.last(request.kind, &event, now);
                if !store::ask_again(tx, actor, &event, request_id, closes_at, &key, now).await? {
                    continue;
                }
                asked += 1;
                send_question(tx, actor, (&event, request_id), (&sender, &key), now).await?;
            }
            Ok(asked)
        })
    });
    let said = match write.await? {
        0 => "No one was asked again. Either no one was checked, or everyone has already been asked about these dates."
            .to_owned(),
        asked => format!("{} asked again.{night}", words::count(asked, "person was", "people were")),
    };
    Ok(flash::redirect(&format!("/events/{id}/replies"), &said))
}

/// A question of this event.
pub(super) async fn found(app: &App, event_id: i64, id: i64) -> Result<(Event, Request)> {
    let event = event(app, event_id).await?;
    let request = store::find(app.db.read(), id).await?.filter(|request| request.event_id == event_id);
    Ok((event, request.ok_or(Error::NotFound)?))
}

async fn request_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, request)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, request) = found(&app, id, request).await?;
    show(&request_view(&app, &visit, &event, request, RecordForm::default(), Mistakes::default(), now).await?)
}

pub(super) async fn request_view(
    app: &App,
    visit: &Visit,
    event: &Event,
    request: Request,
    form: RecordForm,
    mistakes: Mistakes,
    now: OffsetDateTime,
) -> Result<RequestPage> {
    let mut db = app.db.read().acquire().await?;
    let person = people::find(&mut db, request.person_id).await?;
    let left = calls::store::of_request(&mut db, request.id).await?;
    let is_officer = visit.user.is_officer();
    let requests = if is_officer { store::to_person(&mut db, event.id, request.person_id).await? } else { Vec::new() };
    drop(db);
    let who = person.as_ref().map_or(ERASED.to_owned(), |person| person.details.name.clone());
    let history = journal::of(app.db.read(), "question", request.id).await?;
    let moment = |at| Reader::App.moment(event.details.zone.wall(at));
    let sees = visit.user.sees_people();
    let is_open = !request.is_withdrawn;
    let phones = Phones { app, user: &visit.user, event, now };
    let shown = person.as_ref().filter(|_| sees);
    Ok(RequestPage {
        page: events::page(app, visit, Some(event), now).await?.titled(who.clone()),
        event_id: event.id,
        who,
        person_place: person.as_ref().map(Person::place).unwrap_or_default(),
        mail: shown.map(|person| person.details.mail.clone()).unwrap_or_default(),
        phone: shown.map(|person| phones.number(person)).unwrap_or_default(),
        call: shown.map(|person| phones.call(person)).unwrap_or_default(),
        text: shown.map(|person| phones.text(&request, person)).unwrap_or_default(),
        sees,
        facts: letters::facts(event, &request, Reader::App),
        says: views::says(&request, event, now),
        left: calls::says(&left, &visit.user, event, now),
        asked: moment(request.asked_at),
        closes: moment(request.closes_at),
        answers: views::answers(&request, event, sees, now),
        messages: views::messages(&left, event, &visit.user),
        dates: request.live().map(|ask| (ask.id, Reader::App.day(ask.for_on))).collect(),
        form,
        left_note: String::new(),
        mistakes,
        may_record: is_open && !request.kind.takes_offer() && visit.user.role != Role::Reader,
        may_log: is_open && visit.user.role != Role::Reader,
        can_ask_again: is_open && !request.lacks(event.details.burn_on, event.details.rain_on).is_empty(),
        may_reopen: same_hours::replaced_by(&request, &requests).is_none(),
        others: same_hours::others(&request, &requests).into_iter().map(|other| other.question.clone()).collect(),
        history: visit
            .user
            .shown_history(history)
            .into_iter()
            .map(|entry| HistoryLine::of(entry, &event.details.zone))
            .collect(),
        request,
    })
}

/// Donations become gifts, too.
const BY_ROOMS: &str = "Ask for furniture and material in Rooms, on the shopping and donations list. Record the \
                        replies there, too.";

async fn record(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, request)): Path<(i64, i64)>,
    Both(press, form): Both<Press, RecordForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, request) = found(&app, id, request).await?;
    if request.kind.takes_offer() {
        return Err(Error::BadRequest(BY_ROOMS.to_owned()));
    }
    if !press.say.is_empty() {
        return pressing::press(&app, &visit, (event, request), &press, now).await;
    }
    let (ask, given) = match form.read(request.kind) {
        Ok(read) => read,
        Err(mistakes) => {
            let page = request_view(&app, &visit, &event, request, form, mistakes, now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, number, key) = (visit.user.actor(), request.id, app.link_key.clone());
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            answer(tx, actor, (&event, &request, ask), &given, Confirm::InWriting(&sender, &key), now).await
        })
    });
    let said = if write.await? { "Reply saved. If email reaches them, they get a confirmation." } else { NOT_SAVED };
    Ok(flash::redirect(&format!("/events/{id}/replies/{number}"), said))
}

async fn withdraw(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, request)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, request) = found(&app, id, request).await?;
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    let (actor, number, key) = (visit.user.actor(), request.id, app.link_key.clone());
    let write = app
        .db
        .write(move |tx| Box::pin(async move { take_back(tx, actor, (&event, &request), (&sender, &key), now).await }));
    write.await?;
    Ok(flash::redirect(
        &format!("/events/{id}/replies/{number}"),
        "Question withdrawn. Its link now says so, and anyone who may be counting on it gets an email.",
    ))
}
