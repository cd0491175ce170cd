//! The page behind an emailed link: one question and its buttons, for somebody
//! without an account.

use super::form::AnswerForm;
use super::letters::{self, Sender};
use super::noted::{self, By};
use super::offer::{OfferPart, Taking};
use super::statement::{Change, Known, Statement};
use super::{Answer, Ask, Given, Request, Said, calendar, deputy, store};
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
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use std::sync::Arc;
use time::OffsetDateTime;

/// For strangers with a link.
pub fn router() -> Router<App> {
    Router::new()
        .route("/answer/{secret}", get(page).merge(post(press)))
        .route("/answer/{secret}/calendar", get(calendar_file))
        .route("/calendar/{secret}", get(feed))
        .route("/event-calendar/{secret}", get(feed))
}

/// What a link opened.
pub(super) struct Opened {
    pub found: store::Opened,
    pub path: String,
    pub now: OffsetDateTime,
}

#[derive(Template)]
#[template(path = "asks/answer.html")]
pub(super) struct AnswerPage<'a> {
    hello: &'a str,
    request: &'a Request,
    sender: &'a Sender,
    facts: Vec<(String, String)>,
    dates: Vec<DateLine>,
    until: String,
    is_closed: bool,
    /// Where the burn is now, if it is asked about no date of it.
    moved_to: String,
    /// The same day, as machines have it.
    moved_on: String,
    /// What was pressed on a page that was older than the date; may be empty.
    late: String,
    about: String,
    /// What changed since they said something last, or were asked.
    changes: Vec<Change>,
    /// What they said before the date changed, if the date came back.
    before: Vec<String>,
    /// When the confirmation goes out, if that isn't now.
    mail_at: String,
    secret_path: String,
    /// Where the reader's calendar can fetch everything they said yes to.
    feed: String,
    form: AnswerForm,
    offer: OfferPart,
    mistakes: Mistakes,
}

struct DateLine {
    ask_id: i64,
    /// The date, as machines have it.
    on: String,
    day: String,
    is_rain: bool,
    /// What stands, in words to the reader; empty if nothing does.
    stands: String,
    said: &'static str,
}

impl AnswerPage<'_> {
    /// Are two dates asked about, and none answered?
    fn asks_both(&self) -> bool {
        self.dates.len() > 1 && !self.has_answer()
    }

    fn has_answer(&self) -> bool {
        self.dates.iter().any(|date| !date.said.is_empty())
    }

    /// Is there something to put into a calendar?
    fn has_yes(&self) -> bool {
        !self.request.is_withdrawn
            && !self.request.kind.takes_offer()
            && self.dates.iter().any(|date| date.said == "yes")
    }
}

impl DateLine {
    fn of(event: &Event, request: &Request, ask: &Ask) -> Self {
        let day = words::day(ask.for_on);
        let stands = ask.stands().map(|answer| to_reader(request, answer, &day)).unwrap_or_default();
        let said = ask.stands().map_or("", |answer| answer.said.as_str());
        let on = words::iso(ask.for_on);
        Self { ask_id: ask.id, on, day, is_rain: Some(ask.for_on) == event.details.rain_on, stands, said }
    }
}

fn to_reader(request: &Request, answer: &Answer, day: &str) -> String {
    match answer.said {
        // What is given isn't given for a day.
        Said::Yes if request.kind.takes_offer() => "You said yes. Thank you.".to_owned(),
        Said::No if request.kind.takes_offer() => "You said no. Thank you for telling us.".to_owned(),
        Said::Maybe if request.kind.takes_offer() => "You said maybe. Come back here when you know.".to_owned(),
        Said::Yes => format!("You said yes to {day}. Thank you."),
        Said::No => format!("You said no to {day}. Thank you for telling us."),
        Said::Maybe => format!("You said maybe to {day}. Come back here when you know."),
        Said::Deputy => format!("You send {} on {day}. Thank you.", answer.deputy_says()),
    }
}

/// What changed of the event and the lines since they looked last.
fn changes(seen: &Statement, event: &Event, request: &Request) -> Vec<Change> {
    let mut changes = seen.changes(event, &Statement::of(event, request));
    changes.retain(|change| !change.label.starts_with("Your answer"));
    // The whole sentence about the event needs no line of its own.
    changes.retain(|change| change.label != "Event");
    changes
}

impl Opened {
    pub fn page(&self, app: &App, form: AnswerForm, mistakes: Mistakes, offer: OfferPart) -> AnswerPage<'_> {
        let Self { found: store::Opened { request, event, person, sender, feed, seen, .. }, now, path } = self;
        let mark = feed.map(|number| Opens::Calendar.mark(person.id, number)).unwrap_or_default();
        let is_lapsed = request.live().next().is_none();
        AnswerPage {
            hello: letters::greeted(person),
            facts: letters::facts(event, request),
            dates: request.live().map(|ask| DateLine::of(event, request, ask)).collect(),
            until: words::moment(event.details.zone.wall(request.closes_at)),
            is_closed: *now >= request.closes_at,
            moved_to: if is_lapsed { words::day(event.details.burn_on) } else { String::new() },
            moved_on: words::iso(event.details.burn_on),
            late: String::new(),
            about: letters::about(&event.details),
            changes: seen.as_ref().map(|seen| changes(seen, event, request)).unwrap_or_default(),
            before: letters::said_before_it_came_back(request),
            mail_at: mail::goes_out_at(&event.details.zone, *now).map(words::clock).unwrap_or_default(),
            secret_path: path.clone(),
            feed: app.link_key.fill(&mark, &app.config.base_url()),
            request,
            sender,
            form,
            offer,
            mistakes,
        }
    }

    /// Can it still be answered?
    pub fn takes_answers(&self) -> bool {
        self.now < self.found.request.closes_at && !self.found.request.is_withdrawn
    }

    /// What stands, to be added to.
    pub fn form(&self) -> AnswerForm {
        let newest = self.found.request.live().filter_map(Ask::stands).max_by_key(|answer| answer.at);
        newest.map(AnswerForm::of).unwrap_or_default()
    }
}

pub(super) async fn opened(app: &App, client: &str, secret: &str) -> Result<Result<Opened, Response>> {
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
pub(super) fn private(page: Result<Response>) -> Result<Response> {
    Ok(([(header::REFERRER_POLICY, "no-referrer")], page?).into_response())
}

async fn page(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    match opened(&app, &client, &secret).await? {
        Ok(opened) => {
            let offer = OfferPart::load(&app, &opened.found.request).await?;
            private(show(&opened.page(&app, opened.form(), Mistakes::default(), offer)))
        }
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
    let read = match form.read(&opened.found.request) {
        Ok(read) => read,
        Err(mistakes) => {
            return private(show_as(
                StatusCode::UNPROCESSABLE_ENTITY,
                &opened.page(&app, form, mistakes, OfferPart::default()),
            ));
        }
    };
    let request = &opened.found.request;
    // The page that comes says that it is closed or taken back.
    if !opened.takes_answers() || request.kind.takes_offer() {
        return private(Ok(Redirect::to(&here).into_response()));
    }
    let find = |id: i64| request.asks.iter().find(|ask| ask.id == id);
    let (live, late): (Vec<_>, Vec<_>) = read
        .into_iter()
        .filter_map(|(id, given)| Some((find(id)?.clone(), given)))
        .partition(|(ask, _)| !ask.is_lapsed);
    if !late.is_empty() {
        return too_late(&app, opened, form, late).await;
    }
    record(&app, opened, live.into_iter().map(|(ask, given)| (ask.id, given)).collect(), None).await?;
    private(Ok(Redirect::to(&here).into_response()))
}

/// What was pressed on a page that is older than the date: it is kept as it was
/// said, and the page says so and asks for the new date.
async fn too_late(app: &App, opened: Opened, form: AnswerForm, late: Vec<(Ask, Given)>) -> Result<Response> {
    let (request, now) = (opened.found.request.clone(), opened.now);
    let known = opened.found.known.clone().unwrap_or_default();
    let seen = Statement { entries: known.entries, ..Statement::of(&opened.found.event, &request) };
    let noted = late.clone();
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            for (ask, given) in &noted {
                store::add_late(tx, (&request, ask), given, now).await?;
            }
            noted::note_statement(tx, request.id, By::Page, &seen, (Actor::Link, now))
        })
    });
    write.await?;
    let says = |(ask, given): &(Ask, Given)| format!("{} to {}", given.said, words::day(ask.for_on));
    let late = late.iter().map(says).collect::<Vec<_>>().join(", ");
    let page = AnswerPage { late, ..opened.page(app, form, Mistakes::default(), OfferPart::default()) };
    private(show_as(StatusCode::CONFLICT, &page))
}

/// The answers and the letter that confirms them. The letter is made before the
/// write, where others don't wait for it.
pub(super) async fn record(app: &App, opened: Opened, given: Vec<(i64, Given)>, taking: Option<Taking>) -> Result<()> {
    let Opened { found: store::Opened { request, event, person, sender, known, .. }, now, .. } = opened;
    let known = Known::of(&event, request.clone(), known).statement;
    let new = given.iter().fold(request.clone(), |request, (ask, given)| request.with(*ask, given, now));
    let truth = Statement::of(&event, &new);
    let seen = truth.clone().seen_by(&known);
    let promise = taking.as_ref().and_then(Taking::says);
    let letter = if person.has_mail() {
        let letter =
            letters::confirming(&event, &new, (&known, promise.as_deref()), (&person, &sender, &app.link_key), now)?;
        Some((mail::Ready::of(&letter, now)?, letter.dedup))
    } else {
        None
    };
    let recorded = Arc::new((request, given, (truth, seen), (letter, taking), event));
    let key = app.link_key.clone();
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let (request, given, (truth, seen), (letter, taking), event) = &*recorded;
            let mut is_recorded = false;
            for (ask_id, given) in given {
                let is_new = store::add_answer(tx, Actor::Link, (request, *ask_id), given, now).await?;
                if let Some(taking) = taking.as_ref().filter(|_| is_new) {
                    taking.keep(tx, *ask_id).await?;
                }
                is_recorded |= is_new;
            }
            if !is_recorded {
                return Ok(());
            }
            let by = match letter {
                Some((ready, dedup)) => {
                    ready.queue(tx);
                    noted::note_statement(tx, request.id, By::Page, seen, (Actor::Link, now))?;
                    By::Mail(dedup)
                }
                None => By::Voice,
            };
            noted::note_statement(tx, request.id, by, truth, (Actor::Link, now))?;
            deputy::tell(tx, event, request, &key, now).await
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
            let sender = Sender::officer(db).await?;
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
