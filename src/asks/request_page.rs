//! The page of one question: its answers, the calls about it, and recording a reply.

use super::answer_form::{AnswerForm, RecordForm};
use super::texting::Phones;
use super::views::{self, AnswerLine, MessageLine, Stands};
use super::{Request, calls, found, lines, same_hours, store};
use crate::accounts::{Role, SignedIn, Visit};
use crate::db::journal;
use crate::error::Result;
use crate::events::{self, Event};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/replies/{request}", get(show_page))
}

#[derive(Template)]
#[template(path = "asks/request.html")]
pub(super) struct RequestPage {
    page: Page,
    event_id: i64,
    request: Request,
    who: String,
    person_place: String,
    mail: String,
    phone: String,
    /// The links that call and text them. Either may be empty.
    call: String,
    text: String,
    /// May the user see how to reach people and what they need?
    sees: bool,
    facts: Vec<(String, String)>,
    says: Vec<Stands>,
    /// "left a message Mon, Nov 30". May be empty.
    left: String,
    asked: String,
    closes: String,
    answers: Vec<AnswerLine>,
    messages: Vec<MessageLine>,
    /// The dates a reply can be recorded for.
    dates: Vec<(i64, String)>,
    pub recorded: RecordForm,
    /// The answer beneath it.
    pub form: AnswerForm,
    /// The note on a message someone left.
    pub left_note: String,
    pub mistakes: Mistakes,
    may_record: bool,
    /// May the user save that they left a message?
    may_log: bool,
    can_ask_again: bool,
    /// No newer question took its place.
    may_reopen: bool,
    /// Other open questions to the same person for hours that this yes takes.
    others: Vec<String>,
    history: Vec<HistoryLine>,
}

impl RequestPage {
    pub async fn load(app: &App, visit: &Visit, event: &Event, request: Request, now: OffsetDateTime) -> Result<Self> {
        let mut db = app.db.read().acquire().await?;
        let person = people::find(&mut db, request.person_id).await?;
        let left = calls::store::of_request(&mut db, request.id).await?;
        let is_officer = visit.user.is_officer();
        let requests =
            if is_officer { store::to_person(&mut db, event.id, request.person_id).await? } else { Vec::new() };
        drop(db);
        let who = found::name(person.as_ref()).to_owned();
        let history = journal::of(app.db.read(), "question", request.id).await?;
        let moment = |at| Reader::App.moment(event.details.zone.wall(at));
        let sees = visit.user.sees_people();
        let is_open = !request.is_withdrawn;
        let phones = Phones { app, user: &visit.user, event, now };
        let shown = person.as_ref().filter(|_| sees);
        Ok(Self {
            page: events::page(app, visit, Some(event), now).await?.titled(who.clone()),
            event_id: event.id,
            who,
            person_place: person.as_ref().map(Person::place).unwrap_or_default(),
            mail: shown.map(|person| person.details.mail.clone()).unwrap_or_default(),
            phone: shown.map(|person| phones.number(person)).unwrap_or_default(),
            call: shown.map(|person| phones.call(person)).unwrap_or_default(),
            text: shown.map(|person| phones.text(&request, person)).unwrap_or_default(),
            sees,
            facts: lines::facts(event, &request, Reader::App),
            says: views::says(&request, event, now),
            left: calls::says(&left, &visit.user, event, now),
            asked: moment(request.asked_at),
            closes: moment(request.closes_at),
            answers: views::answers(&request, event, sees, now),
            messages: views::messages(&left, event, &visit.user),
            dates: request.live().map(|ask| (ask.id, Reader::App.day(ask.for_on))).collect(),
            recorded: RecordForm::default(),
            form: AnswerForm::default(),
            left_note: String::new(),
            mistakes: Mistakes::default(),
            may_record: is_open && !request.kind.takes_offer() && visit.user.role != Role::Reader,
            may_log: is_open && visit.user.role != Role::Reader,
            can_ask_again: is_open && !request.lacks(event.details.burn_on, event.details.rain_on).is_empty(),
            may_reopen: same_hours::replaced_by(&request, &requests).is_none(),
            others: same_hours::others(&request, &requests).into_iter().map(|other| other.question.clone()).collect(),
            history: app.history.lines(visit.user.shown_history(history), &event.details.zone),
            request,
        })
    }
}

async fn show_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, request)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (event, request) = found::question(&app, id, request).await?;
    show(&RequestPage::load(&app, &visit, &event, request, now).await?)
}
