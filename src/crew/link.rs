//! A crew member's private page: the current call sheet, "I'm coming" and "I can't come",
//! and on the day signing in and out.

use super::page::event;
use super::reply_status::ReplyStatus;
use super::sheet::Sheet;
use super::snapshot::CrewSnapshot;
use super::{day, store};
use crate::accounts::dead_link;
use crate::asks::{self, Confirm, Given, Said, Sender, Way};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::people::Person;
use crate::state::App;
use crate::web::client::Client;
use crate::web::form::{Form, Mistakes};
use crate::web::limits::Limit;
use crate::web::link::{LinkKey, Secret};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use time::{Date, Duration, OffsetDateTime};

/// How long the page still opens after the last date.
const LINK_LASTS: Duration = Duration::days(30);

/// For anyone with a link.
pub fn router() -> Router<App> {
    Router::new().route("/call-sheet/{secret}", get(show_page).merge(post(press)))
}

#[derive(Template)]
#[template(path = "crew/call_sheet.html")]
struct CallSheet {
    sheet: Option<Sheet>,
    burn_day: String,
    sender: Sender,
    /// Their answer for burn day: "yes", "no" or empty.
    said: &'static str,
    /// They said no, or yes and then once more. Their answer comes first, and the buttons are
    /// folded under it.
    is_settled: bool,
    may_say: bool,
    is_today: bool,
    is_over: bool,
    /// When they signed in, if they are here now.
    in_since: String,
    /// The same as a mark.
    since: String,
    /// Each time they were here, from when to when.
    times: Vec<String>,
    note: String,
    mistakes: Mistakes,
}

/// What a link opened.
struct Opened {
    snapshot: CrewSnapshot,
    person: Person,
    path: String,
    now: OffsetDateTime,
}

impl Opened {
    fn event(&self) -> &Event {
        &self.snapshot.event
    }

    fn status(&self) -> ReplyStatus {
        let on = self.event().details.burn_on;
        let all = self.snapshot.posts_of(self.person.id).into_iter().map(|(one, _)| self.snapshot.status(one, on));
        all.min().unwrap_or(ReplyStatus::NotAsked)
    }

    fn page(&self, sender: Sender, note: String, mistakes: Mistakes) -> CallSheet {
        let event = self.event();
        let (on, zone, today) = (event.details.burn_on, &event.details.zone, event.today(self.now));
        let clock = |at: OffsetDateTime| zone.wall(at).time();
        let here: Vec<_> = self.snapshot.attendances.iter().filter(|one| one.person_id == self.person.id).collect();
        let status = self.status();
        let since = here.iter().find(|one| one.out_at.is_none()).map(|one| clock(one.in_at));
        let span = |from, until| Reader::CallSheet.times(clock(from), clock(until));
        let said = match status {
            ReplyStatus::Confirmed => "yes",
            ReplyStatus::Declined => "no",
            _ => "",
        };
        CallSheet {
            sheet: Sheet::of(&self.snapshot, &self.person, self.now).filter(|sheet| !sheet.posts.is_empty()),
            burn_day: Reader::CallSheet.day(on),
            sender,
            said,
            is_settled: said == "no" || (said == "yes" && self.snapshot.reconfirmed(self.person.id)),
            may_say: today <= on && status != ReplyStatus::NotAsked && !matches!(status, ReplyStatus::OtherDate(_)),
            is_today: today == on,
            is_over: today > on,
            in_since: since.map(|at| Reader::CallSheet.time(at)).unwrap_or_default(),
            since: since.map(words::iso_time).unwrap_or_default(),
            times: here.iter().filter_map(|one| Some(span(one.in_at, one.out_at?))).collect(),
            note,
            mistakes,
        }
    }
}

/// An event's last date.
fn last_day(event: &Event) -> Date {
    event.details.rain_on.map_or(event.details.burn_on, |rain| rain.max(event.details.burn_on))
}

async fn opened(app: &App, client: &str, secret: &str) -> Result<Result<Opened, Response>> {
    if let Err(too_often) = app.limits.take(Limit::LinkAddress, client) {
        return Ok(Err(too_often.into_response()));
    }
    let now = app.clock.now();
    let found = match Secret::read(secret) {
        Some(secret) => store::opened(app.db.read(), &secret).await?,
        None => None,
    };
    let Some((event_id, person_id)) = found else { return Ok(Err(dead_link(app).await?)) };
    let event = event(app, event_id).await?;
    if event.today(now) > last_day(&event) + LINK_LASTS {
        return Ok(Err(dead_link(app).await?));
    }
    let mut db = app.db.read().acquire().await?;
    let snapshot = CrewSnapshot::load(&mut db, &event).await?;
    let person = crate::people::find(&mut db, person_id).await?;
    drop(db);
    let Some(person) = person else { return Ok(Err(dead_link(app).await?)) };
    Ok(Ok(Opened { snapshot, person, path: format!("/call-sheet/{secret}"), now }))
}

/// The address holds a secret, which no other site may learn.
fn private(page: Result<Response>) -> Result<Response> {
    Ok(([(header::REFERRER_POLICY, "no-referrer")], page?).into_response())
}

async fn show_page(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    match opened(&app, &client, &secret).await? {
        Ok(opened) => {
            let sender = Sender::named(app.db.read(), None).await?;
            private(show(&opened.page(sender, String::new(), Mistakes::default())))
        }
        Err(answer) => Ok(answer),
    }
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct PressForm {
    /// The button: `yes`, `no`, `in`, `out`.
    act: String,
    note: String,
}

async fn press(
    State(app): State<App>,
    Client(client): Client,
    Path(secret): Path<String>,
    Form(form): Form<PressForm>,
) -> Result<Response> {
    let opened = match opened(&app, &client, &secret).await? {
        Ok(opened) => opened,
        Err(answer) => return Ok(answer),
    };
    let mut mistakes = Mistakes::default();
    let note = mistakes.note("note", crate::web::form::paragraph(&form.note, 1_000));
    let known = matches!(form.act.as_str(), "yes" | "no" | "in" | "out");
    if !known {
        mistakes.add("act", "Choose one of the buttons.");
    }
    let Some(note) = note.filter(|_| known) else {
        let sender = Sender::named(app.db.read(), None).await?;
        let page = opened.page(sender, form.note, mistakes);
        return private(show_as(StatusCode::UNPROCESSABLE_ENTITY, &page));
    };
    let Opened { snapshot, person, path, now } = opened;
    let (act, event) = (form.act, snapshot.event);
    let (sender, key) = (Sender::officer(app.db.read()).await?, app.link_key.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move { pressed(tx, &event, &person, (&act, &note), (&sender, &key), now).await })
    });
    write.await?;
    private(Ok(Redirect::to(&path).into_response()))
}

/// What a button does. If it is too late for that, nothing: the next page shows how
/// things are.
async fn pressed(
    tx: &mut Tx,
    event: &Event,
    person: &Person,
    (act, note): (&str, &str),
    word: (&Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<()> {
    let (today, on) = (event.today(now), event.details.burn_on);
    let who = (person.id, person.details.name.as_str());
    match act {
        "yes" if today <= on => say(tx, event, person.id, (Said::Yes, note), word, now).await?,
        "no" if today <= on => say(tx, event, person.id, (Said::No, note), word, now).await?,
        "in" if today == on => drop(day::store::come_in(tx, Actor::Link, event.id, who, now).await?),
        // Anyone who stays past midnight can still sign out.
        "out" => drop(day::store::go_out(tx, Actor::Link, event.id, who, now).await?),
        _ => {}
    }
    Ok(())
}

/// Records an answer for burn day to every question about their positions.
async fn say(
    tx: &mut Tx,
    event: &Event,
    person_id: i64,
    (said, note): (Said, &str),
    (sender, key): (&Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<()> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    let mut answered = Vec::new();
    let questions = snapshot.posts_of(person_id).into_iter().flat_map(|(assignment, _)| snapshot.questions(assignment));
    for request in questions {
        if answered.contains(&request.id) {
            continue;
        }
        answered.push(request.id);
        let Some(ask) = request.live().find(|ask| ask.for_on == event.details.burn_on) else { continue };
        let given = Given {
            note: note.to_owned(),
            access_needs: ask.stands().map(|answer| answer.access_needs.clone()).unwrap_or_default(),
            there: ask.stands().and_then(|answer| answer.there),
            ..Given::of(said, Way::Link)
        };
        // The same answer again: they already have it in writing.
        let is_same = ask.stands().is_some_and(|answer| answer.said == said);
        let word = if is_same { Confirm::Not } else { Confirm::InWriting(sender, key) };
        asks::answer(tx, Actor::Link, (event, request), (ask.id, &given), word, now).await?;
    }
    Ok(())
}
