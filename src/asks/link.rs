//! The page behind an emailed link: one question and its buttons, for someone without an
//! account.

use super::answer_form::AnswerForm;
use super::noted::{self, By};
use super::offer::{OfferPart, Taking};
use super::sending::Parties;
use super::statement::{Known, Statement};
use super::{Ask, Given, Said, calendar, deputy, feed, letters, store};
use crate::accounts::dead_link;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::mail;
use crate::state::App;
use crate::web::client::Client;
use crate::web::form::{Form, Mistakes};
use crate::web::limits::Limit;
use crate::web::link::Secret;
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
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
        .merge(feed::router())
}

/// What a link opened.
pub(super) struct Opened {
    pub found: store::Opened,
    pub path: String,
    pub now: OffsetDateTime,
}

impl Opened {
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
            let page = opened.page(&app, form, mistakes, OfferPart::default());
            return private(show_as(StatusCode::UNPROCESSABLE_ENTITY, &page));
        }
    };
    let request = &opened.found.request;
    // The next page says that it is closed or withdrawn.
    if !opened.takes_answers() || request.kind.takes_offer() {
        return private(Ok(Redirect::to(&here).into_response()));
    }
    let find = |id: i64| request.asks.iter().find(|ask| ask.id == id);
    let given = read.into_iter().filter_map(|(id, given)| Some((find(id)?.clone(), given)));
    let (live, late): (Vec<_>, Vec<_>) = given.partition(|(ask, _)| !ask.is_lapsed);
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
    let page = opened.page(app, form, Mistakes::default(), OfferPart::default()).too_late(late);
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
    let parties = Parties { sender: &sender, person: &person, key: &app.link_key };
    let letter = if person.has_mail() {
        let letter = letters::confirming(&event, &new, (&known, promise.as_deref()), parties, now)?;
        Some((mail::Ready::of(&letter, now)?, letter.dedup))
    } else {
        None
    };
    let recorded = Arc::new((request, given, (truth, seen), (letter, taking), event));
    let key = app.link_key.clone();
    let write = app.db.append(move |tx| {
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

/// What they said yes to here, as a calendar file.
async fn calendar_file(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    match opened(&app, &client, &secret).await? {
        Ok(opened) => {
            let store::Opened { request, event, person, sender, .. } = &opened.found;
            let parties = Parties { sender, person, key: &app.link_key };
            Ok(feed::ics(calendar::file(event, request, parties)))
        }
        Err(answer) => Ok(answer),
    }
}
