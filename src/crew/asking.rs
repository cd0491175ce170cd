//! Asking people about their positions: one question each, for burn day and the rain
//! date, about every position they haven't been asked about.

use super::editor::CrewEditor;
use super::page::{page, snapshot};
use super::question_lines::lines_of;
use super::reply_status::ReplyStatus;
use super::snapshot::CrewSnapshot;
use super::whom_to_ask::{Open, open};
use super::{Assignment, Post, store};
use crate::accounts::Visit;
use crate::asks::{
    self, Asked, AskingPart, Choosing, Kind, NewQuestion, QuestionForm, Recipient, Request, Sender, Sending,
};
use crate::countdown;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::mail;
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
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew/ask", get(show_page).merge(post(ask)))
}

const CHOOSING: Choosing = Choosing { field: "person", nothing: "Choose at least one person." };

/// The message as it is first drafted.
const WORDS: &str = "If you can only be there part of the time, tell us when in your answer.";

#[derive(Template)]
#[template(path = "crew/ask.html")]
struct AskPage {
    page: Page,
    event_id: i64,
    lines: Vec<AskLine>,
    /// No one is assigned yet.
    is_bare: bool,
    asking: AskingPart,
}

struct AskLine {
    id: i64,
    name: String,
    posts: String,
    stands: String,
    reached: &'static str,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    person: Option<i64>,
}

async fn show_page(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let closings = countdown::closings(app.clone(), snapshot.event.clone(), now).await?;
    let form = QuestionForm {
        words: WORDS.to_owned(),
        chosen: wanted.person.map_or_else(|| snapshot.to_ask(), |person| vec![person]),
        ..QuestionForm::usual(Kind::Post, &snapshot.event, &closings, now)
    };
    show(&view(&app, &visit, &snapshot, form, Mistakes::default(), now).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    snapshot: &CrewSnapshot,
    form: QuestionForm,
    mistakes: Mistakes,
    now: OffsetDateTime,
) -> Result<AskPage> {
    let (event, today) = (&snapshot.event, snapshot.event.today(now));
    let dates: Vec<Date> = snapshot.dates().collect();
    let line = |open: &Open<'_>| {
        let posts = snapshot.posts_of(open.person.id);
        let stands =
            posts.first().map_or(ReplyStatus::NotAsked, |(one, _)| snapshot.status(one, event.details.burn_on));
        AskLine {
            id: open.person.id,
            name: open.person.details.name.clone(),
            posts: posts.iter().map(|(_, post)| post.details.name.as_str()).collect::<Vec<_>>().join(", "),
            stands: stands.says(today),
            reached: if open.person.has_mail() { "by email" } else { "no email: call" },
        }
    };
    Ok(AskPage {
        page: page(app, visit, event, "Ask the crew").await?,
        event_id: event.id,
        lines: open(snapshot, &dates).iter().map(line).collect(),
        is_bare: snapshot.assigned.is_empty(),
        asking: AskingPart::of(form, mistakes, event, |on| Reader::App.near_day(on, today)),
    })
}

/// The question to one person, with their positions listed under it.
fn question_for(posts: &[(&Assignment, &Post)], question: &NewQuestion) -> NewQuestion {
    NewQuestion { facts: lines_of(posts), ..question.clone() }
}

/// The people chosen, with the questions that each would get.
fn recipients<'a>(
    snapshot: &'a CrewSnapshot,
    question: &NewQuestion,
    form: &QuestionForm,
    now: OffsetDateTime,
) -> Vec<Recipient<'a>> {
    let recipient = |open: Open<'a>| {
        let mut questions: Vec<Request> =
            open.again.iter().map(|request| with_dates(request, &question.dates)).collect();
        if !open.fresh.is_empty() {
            questions.push(question_for(&open.fresh, question).unsent(&snapshot.event, open.person.id, now));
        }
        Recipient { person: open.person, called: open.person.details.name.clone(), questions }
    };
    open(snapshot, &question.dates).into_iter().filter(|open| form.chooses(open.person.id)).map(recipient).collect()
}

/// A question as it will read once it also asks about these dates.
fn with_dates(request: &Request, dates: &[Date]) -> Request {
    let mut request = request.clone();
    for on in dates {
        if request.live().all(|ask| ask.for_on != *on) {
            request.asks.push(asks::Ask {
                id: 0,
                for_on: *on,
                date_revision: 0,
                is_lapsed: false,
                answers: Vec::new(),
            });
        }
    }
    request.asks.sort_by_key(|ask| ask.for_on);
    request
}

async fn ask(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path(id): Path<i64>,
    Form(form): Form<QuestionForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let question = match form.read(Kind::Post, CHOOSING, &snapshot.event, now, Mistakes::default()) {
        Ok(question) => question,
        Err(mistakes) => {
            let page = view(&app, &visit, &snapshot, form, mistakes, now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let sender = Sender::of(app.db.read(), &visit.user).await?;
    if form.act != "ask" {
        let recipients = recipients(&snapshot, &question, &form, now);
        let mut page = view(&app, &visit, &snapshot, form, Mistakes::default(), now).await?;
        page.asking.preview(&snapshot.event, &recipients, &sender, now)?;
        return show(&page);
    }
    let said = send(&app, &visit, (snapshot.event, question), form.chosen, sender, now).await?;
    Ok(flash::redirect(&format!("/events/{id}/crew"), &said))
}

/// Asks the people chosen, and says what became of it.
async fn send(
    app: &App,
    visit: &Visit,
    (event, question): (Event, NewQuestion),
    chosen: Vec<i64>,
    sender: Sender,
    now: OffsetDateTime,
) -> Result<String> {
    let (by, key) = (visit.user.account_id, app.link_key.clone());
    let night = mail::night_note(&event.details.zone, now);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let sending = Sending { actor: Actor::Account(by), sender: &sender, key: &key, now };
            ask_all(tx, by, &event, &question, &chosen, sending).await
        })
    });
    let asked = write.await?;
    let mut said = match asked.asked {
        0 => "No one was asked: they have all been asked already.".to_owned(),
        many => format!("You asked {}.", words::count(many, "person", "people")),
    };
    if asked.unreached() > 0 {
        let without = words::count(asked.unreached(), "person has", "people have");
        said = format!("{said} {without} no email. Call them, then record a reply.");
    }
    Ok(said + asked.night(&night))
}

/// Asks one person. Returns the numbers of the questions.
async fn ask_one(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    (question, open): (&NewQuestion, &Open<'_>),
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<Vec<i64>> {
    let mut requests = Vec::new();
    for request in &open.again {
        let what = (*request, question.dates.as_slice());
        if asks::ask_for(tx, Actor::Account(by), event, what, question.closes_at, key, now).await? {
            requests.push(request.id);
        }
    }
    if !open.fresh.is_empty() {
        let fresh = question_for(&open.fresh, question);
        let id = asks::ask(tx, by, event, open.person.id, &fresh, key, now).await?;
        let assignments: Vec<i64> = open.fresh.iter().map(|(one, _)| one.id).collect();
        store::put_request(tx, &assignments, id).await?;
        requests.push(id);
    }
    if !requests.is_empty() {
        store::add_link(tx, (event.id, open.person.id), key).await?;
    }
    Ok(requests)
}

/// Asks someone without writing an email, which the caller does. Returns the numbers of
/// the questions.
pub async fn ask_without_mail(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    (question, person_id): (&NewQuestion, i64),
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<Vec<i64>> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    let all = open(&snapshot, &question.dates);
    match all.iter().find(|open| open.person.id == person_id) {
        Some(open) => ask_one(tx, by, event, (question, open), key, now).await,
        None => Ok(Vec::new()),
    }
}

/// Asks the chosen people, except those who were asked in the meantime.
async fn ask_all(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    question: &NewQuestion,
    chosen: &[i64],
    sending: Sending<'_>,
) -> Result<Asked> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    let mut asked = Asked::default();
    for open in open(&snapshot, &question.dates).iter().filter(|open| chosen.contains(&open.person.id)) {
        let questions = ask_one(tx, by, event, (question, open), sending.key, sending.now).await?;
        asked.send(tx, event, &questions, sending).await?;
    }
    Ok(asked)
}
