//! The page behind an emailed link: one question and its buttons, for someone without an
//! account.

use super::form::AnswerForm;
use super::letters::{self, Sender};
use super::noted::{self, By};
use super::offer::{OfferPart, Taking};
use super::statement::{Change, Known, OWN_ANSWER, Statement};
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
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use std::sync::Arc;
use time::OffsetDateTime;

/// For anyone with a link.
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
    /// The burn's date now, if the question asks about none of its dates.
    moved_to: String,
    /// The same day in machine form.
    moved_on: String,
    /// The answer chosen on a page from before the date changed. May be empty.
    late: String,
    about: String,
    /// What changed since they last answered, or were asked.
    changes: Vec<Change>,
    /// What they said before the date changed, if the date came back.
    before: Vec<String>,
    /// When the confirmation goes out, if not now.
    mail_at: String,
    secret_path: String,
    /// Where their calendar can fetch everything they said yes to.
    feed: String,
    form: AnswerForm,
    offer: OfferPart,
    mistakes: Mistakes,
}

struct DateLine {
    ask_id: i64,
    /// The date in machine form.
    on: String,
    day: String,
    is_rain: bool,
    /// Their answer, in words to them. Empty without one.
    stands: String,
    said: &'static str,
}

impl AnswerPage<'_> {
    /// Does it ask about two dates, and is neither answered?
    fn asks_both(&self) -> bool {
        self.dates.len() > 1 && !self.has_answer()
    }

    fn has_answer(&self) -> bool {
        self.dates.iter().any(|date| !date.said.is_empty())
    }

    /// Is there something to add to a calendar?
    fn has_yes(&self) -> bool {
        !self.request.is_withdrawn
            && !self.request.kind.takes_offer()
            && self.dates.iter().any(|date| date.said == "yes")
    }
}

impl DateLine {
    fn of(event: &Event, request: &Request, ask: &Ask) -> Self {
        let day = Reader::Public.day(ask.for_on);
        let stands = ask.stands().map(|answer| to_reader(request, answer, &day)).unwrap_or_default();
        let said = ask.stands().map_or("", |answer| answer.said.as_str());
        let on = words::iso(ask.for_on);
        Self { ask_id: ask.id, on, day, is_rain: Some(ask.for_on) == event.details.rain_on, stands, said }
    }
}

fn to_reader(request: &Request, answer: &Answer, day: &str) -> String {
    match answer.said {
        // A donation isn't for one day.
        Said::Yes if request.kind.takes_offer() => "Your answer: yes. Thank you.".to_owned(),
        Said::No if request.kind.takes_offer() => "Your answer: no. Thank you for telling us.".to_owned(),
        Said::Maybe if request.kind.takes_offer() => "Your answer: maybe. Come back here when you know.".to_owned(),
        Said::Yes | Said::Deputy => format!("Your answer: {}. Thank you.", answer.says_to(day)),
        Said::No => format!("Your answer: {}. Thank you for telling us.", answer.says_to(day)),
        Said::Maybe => format!("Your answer: {}. Come back here when you know.", answer.says_to(day)),
    }
}

/// What changed about the event and the lines since they last looked.
fn changes(seen: &Statement, event: &Event, request: &Request) -> Vec<Change> {
    let mut changes = seen.changes(event, &Statement::of(event, request), Reader::Public);
    changes.retain(|change| !change.label.starts_with(OWN_ANSWER));
    // The page says the whole sentence about the event anyway.
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
            facts: letters::facts(event, request, Reader::Public),
            dates: request.live().map(|ask| DateLine::of(event, request, ask)).collect(),
            until: Reader::Public.moment(event.details.zone.wall(request.closes_at)),
            is_closed: *now >= request.closes_at,
            moved_to: if is_lapsed { Reader::Public.day(event.details.burn_on) } else { String::new() },
            moved_on: words::iso(event.details.burn_on),
            late: String::new(),
            about: letters::about(&event.details),
            changes: seen.as_ref().map(|seen| changes(seen, event, request)).unwrap_or_default(),
            before: letters::said_before_it_came_back(request),
            mail_at: mail::goes_out_at(&event.details.zone, *now).map(|at| Reader::Public.time(at)).unwrap_or_default(),
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

    /// Their newest answer, to add to.
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

/// The address holds a secret that no other page may learn.
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
    // The next page says that it is closed or withdrawn.
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

/// An answer from a page that is older than the date. It is saved as it was given; the
/// page says so and asks for the new date.
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
    let says = |(ask, given): &(Ask, Given)| {
        let day = Reader::Public.day(ask.for_on);
        if given.said == Said::Deputy {
            format!("you would send {} on {day}", given.deputy)
        } else {
            format!("{} to {day}", given.said)
        }
    };
    let late = late.iter().map(says).collect::<Vec<_>>().join(", and ");
    let page = AnswerPage { late, ..opened.page(app, form, Mistakes::default(), OfferPart::default()) };
    private(show_as(StatusCode::CONFLICT, &page))
}

/// Saves the answers and the letter that confirms them. The letter is made before the
/// write, so that no one has to wait for it.
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

/// What they said yes to here, as a calendar file.
async fn calendar_file(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    match opened(&app, &client, &secret).await? {
        Ok(opened) => {
            let store::Opened { request, event, person, sender, .. } = &opened.found;
            Ok(ics(calendar::file(event, request, (sender, person, &app.link_key))))
        }
        Err(answer) => Ok(answer),
    }
}

/// A calendar that apps fetch regularly.
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
