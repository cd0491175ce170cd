//! The page behind an emailed link: one question and its buttons, for somebody
//! without an account.

use super::form::AnswerForm;
use super::letters::{self, Sender};
use super::{Answer, Ask, Given, Request, Said, Way, calendar, deputy, store};
use crate::accounts::dead_link;
use crate::db::journal::{self, Actor};
use crate::error::Result;
use crate::events::{self, Event};
use crate::mail;
use crate::people;
use crate::state::App;
use crate::web::form::{Form, Mistakes};
use crate::web::limits::{Client, Limit};
use crate::web::link::{Opens, Secret};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use std::sync::Arc;
use time::OffsetDateTime;

/// For strangers with a link.
pub fn router() -> Router<App> {
    Router::new()
        .route("/answer/{secret}", get(page).post(press))
        .route("/answer/{secret}/calendar", get(calendar_file))
        .route("/calendar/{secret}", get(feed))
        .route("/event-calendar/{secret}", get(feed))
}

/// What a link opened.
struct Opened {
    found: store::Opened,
    path: String,
    now: OffsetDateTime,
}

#[derive(Template)]
#[template(path = "asks/answer.html")]
struct AnswerPage<'a> {
    hello: &'a str,
    request: &'a Request,
    sender: &'a Sender,
    facts: Vec<(String, String)>,
    dates: Vec<DateLine>,
    until: String,
    is_closed: bool,
    /// Where the burn is now, if the question's dates are no more.
    moved_to: String,
    secret_path: String,
    /// Where the reader's calendar can fetch everything they said yes to.
    feed: String,
    form: AnswerForm,
    mistakes: Mistakes,
}

struct DateLine {
    ask_id: i64,
    day: String,
    is_rain: bool,
    /// What stands, in words to the reader; empty if nothing does.
    stands: String,
    said: &'static str,
}

impl AnswerPage<'_> {
    /// Is there something to put into a calendar?
    fn has_yes(&self) -> bool {
        !self.request.is_withdrawn && self.dates.iter().any(|date| date.said == "yes")
    }
}

impl DateLine {
    fn of(event: &Event, ask: &Ask) -> Self {
        let day = words::day(ask.for_on);
        let stands = ask.stands().map(|answer| to_reader(answer, &day)).unwrap_or_default();
        let said = ask.stands().map_or("", |answer| answer.said.as_str());
        Self { ask_id: ask.id, day, is_rain: Some(ask.for_on) == event.details.rain_on, stands, said }
    }
}

fn to_reader(answer: &Answer, day: &str) -> String {
    match answer.said {
        Said::Yes => format!("You said yes to {day}. Thank you."),
        Said::No => format!("You said no to {day}. Thank you for telling us."),
        Said::Maybe => format!("You said maybe to {day}. Come back here when you know."),
        Said::Deputy => format!("You send {} on {day}. Thank you.", answer.deputy_says()),
    }
}

impl Opened {
    fn page(&self, app: &App, form: AnswerForm, mistakes: Mistakes) -> AnswerPage<'_> {
        let Self { found: store::Opened { request, event, person, sender, feed }, now, path } = self;
        let mark = feed.map(|number| Opens::Calendar.mark(person.id, number)).unwrap_or_default();
        let is_lapsed = request.live().next().is_none();
        AnswerPage {
            hello: letters::greeted(person),
            facts: letters::facts(event, request),
            dates: request.live().map(|ask| DateLine::of(event, ask)).collect(),
            until: words::moment(event.details.zone.wall(request.closes_at)),
            is_closed: *now >= request.closes_at,
            moved_to: if is_lapsed { words::day(event.details.burn_on) } else { String::new() },
            secret_path: path.clone(),
            feed: app.link_key.fill(&mark, &app.config.base_url()),
            request,
            sender,
            form,
            mistakes,
        }
    }

    /// What stands, to be added to.
    fn form(&self) -> AnswerForm {
        let newest = self.found.request.live().filter_map(Ask::stands).max_by_key(|answer| answer.at);
        newest.map(AnswerForm::of).unwrap_or_default()
    }
}

async fn opened(app: &App, client: &str, secret: &str) -> Result<Result<Opened, Response>> {
    if let Err(too_often) = app.limits.take(Limit::LinkAddress, client) {
        return Ok(Err(too_often.into_response()));
    }
    let now = app.clock.now();
    let found = match Secret::read(secret) {
        Some(secret) => store::opened(app.db.read(), &secret, now).await?,
        None => None,
    };
    let Some(found) = found else { return Ok(Err(dead_link(app).await?)) };
    Ok(Ok(Opened { found, path: format!("/answer/{secret}"), now }))
}

/// The address holds a secret: no other page may be told it.
fn private(page: Result<Response>) -> Result<Response> {
    Ok(([(header::REFERRER_POLICY, "no-referrer")], page?).into_response())
}

async fn page(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    match opened(&app, &client, &secret).await? {
        Ok(opened) => private(show(&opened.page(&app, opened.form(), Mistakes::default()))),
        Err(answer) => Ok(answer),
    }
}

async fn press(
    State(app): State<App>,
    Client(client): Client,
    Path(secret): Path<String>,
    Form(form): Form<AnswerForm>,
) -> Result<Response> {
    let opened = match opened(&app, &client, &secret).await? {
        Ok(opened) => opened,
        Err(answer) => return Ok(answer),
    };
    let here = opened.path.clone();
    let request = &opened.found.request;
    let asks: Vec<i64> = request.live().map(|ask| ask.id).collect();
    let can_answer = opened.now < request.closes_at && !request.is_withdrawn;
    match form.read(request.kind) {
        // The page that comes says that it is closed, taken back or moved.
        Ok((ask_id, _)) if !can_answer || !asks.contains(&ask_id) => private(Ok(Redirect::to(&here).into_response())),
        Ok((ask_id, given)) => {
            record(&app, opened, ask_id, given).await?;
            private(Ok(Redirect::to(&here).into_response()))
        }
        Err(mistakes) => private(show_as(StatusCode::UNPROCESSABLE_ENTITY, &opened.page(&app, form, mistakes))),
    }
}

/// The answer and the letter that confirms it. The letter is made before the
/// write, where others don't wait for it.
async fn record(app: &App, opened: Opened, ask_id: i64, given: Given) -> Result<()> {
    let given = Given { way: Way::Link, evidence: String::new(), ..given };
    let Opened { found: store::Opened { request, event, person, sender, .. }, now, .. } = opened;
    let new = request.clone().with(ask_id, &given, now);
    let answered = new.live().find(|ask| ask.id == ask_id).and_then(|ask| Some((ask, ask.stands()?)));
    let letter = match answered.filter(|_| person.has_mail()) {
        Some(answered) => {
            let letter = letters::confirming(&event, &new, answered, (&person, &sender, &app.link_key), now)?;
            Some(mail::Ready::of(&letter, now)?)
        }
        None => None,
    };
    let key = app.link_key.clone();
    let told = Arc::new((request, given, letter, event));
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let (request, given, letter, event) = &*told;
            if store::answer(tx, Actor::Link, (request, ask_id), given, now).await? {
                letter.iter().for_each(|letter| letter.queue(tx));
                deputy::tell(tx, event, request, &key, now).await?;
            }
            Ok(())
        })
    });
    write.await
}

fn ics(file: String) -> Response {
    ([(header::CONTENT_TYPE, "text/calendar; charset=utf-8"), (header::REFERRER_POLICY, "no-referrer")], file)
        .into_response()
}

/// What the reader said yes to here, once, for a calendar.
async fn calendar_file(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    match opened(&app, &client, &secret).await? {
        Ok(opened) => {
            let store::Opened { request, event, person, sender, .. } = &opened.found;
            Ok(ics(calendar::file(event, request, (sender, person, &app.link_key))))
        }
        Err(answer) => Ok(answer),
    }
}

/// A calendar that a program fetches now and then.
async fn feed(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    if let Err(too_often) = app.limits.take(Limit::LinkAddress, &client) {
        return Ok(too_often.into_response());
    }
    let db = app.db.read();
    let of = match Secret::read(&secret) {
        Some(secret) => store::opened_feed(db, &secret).await?,
        None => None,
    };
    match of {
        Some(store::FeedOf::Event(id)) => {
            let Some(event) = events::find(db, id).await? else { return dead_link(&app).await };
            let sender = Sender::named(db, None).await?;
            let told = journal::of(db, "event", id).await?;
            let changed = told.first().map_or(event.details.burn_on.midnight().assume_utc(), |change| change.at);
            Ok(ics(calendar::of_event(&event, &sender, &app.link_key, changed)))
        }
        Some(store::FeedOf::Person(id)) => {
            let Some(person) = people::find(&mut *db.acquire().await?, id).await? else { return dead_link(&app).await };
            let mut entries = Vec::new();
            for request in store::of_person(db, id).await? {
                let sender = Sender::named(db, request.asked_by).await?;
                if let Some(event) = events::find(db, request.event_id).await? {
                    entries.extend(calendar::standing(&event, &request, (&sender, &person, &app.link_key)));
                }
            }
            let department = Sender::named(db, None).await?.department;
            Ok(ics(mail::ics::feed(&department, &entries)))
        }
        None => dead_link(&app).await,
    }
}
