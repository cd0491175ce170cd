//! Asking a lender by email: one request for everything we want to borrow from them,
//! for both dates.

use super::snapshot::LoanSnapshot;
use super::{Agreed, Loan, page, phrases, store};
use crate::accounts::{Officer, Visit};
use crate::asks::{self, AskingPart, Choosing, Kind, NewQuestion, QuestionForm, Recipient, Request, Sender, Sending};
use crate::countdown;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::mail;
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::link::LinkKey;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/loans/{loan}/ask", get(show_page).merge(post(send)))
}

const CHOOSING: Choosing = Choosing { field: "thing", nothing: "Choose at least one item." };

#[derive(Template)]
#[template(path = "loans/ask.html")]
struct AskPage {
    page: Page,
    event_id: i64,
    href: String,
    lender: String,
    things: Vec<(i64, String)>,
    /// The request that is already out, if any.
    asked: Option<i64>,
    mail: String,
    asking: AskingPart,
}

/// The question as it is first drafted.
fn question(loan: &Loan) -> String {
    format!("Can you lend us your {} for the live burn?", loan.details.what)
}

/// The message as it is first drafted. What a live burn is, the email says anyway.
const WORDS: &str = "Your yes covers only the days listed here. Before we pick anything up, we will send you an \
                     agreement to sign.";

/// Is no request out that still counts?
fn can_be_asked(loan: &Loan, request: Option<&Request>) -> bool {
    let is_out = request.is_some_and(|request| !request.is_withdrawn && request.live().next().is_some());
    loan.is_live() && loan.record(false).is_none() && !is_out
}

/// The lines under the question: what we want to borrow, and when.
pub(super) fn lines_of(snapshot: &LoanSnapshot, loan: &Loan, dates: &[Date]) -> Vec<(String, String)> {
    let mut lines = vec![("Item".to_owned(), phrases::called(loan))];
    for on in dates {
        if let Some(Agreed::Free(span)) = loan.details.agreed.get(on) {
            let label =
                if Some(*on) == snapshot.event.details.rain_on { "If postponed, we need it" } else { "We need it" };
            lines.push((label.to_owned(), phrases::span_says(span)));
        }
    }
    lines.extend(phrases::plan(snapshot, loan, snapshot.event.details.burn_on).into_iter().skip(1));
    lines
}

struct AskContext {
    snapshot: LoanSnapshot,
    loan: Loan,
    person: Option<Person>,
    sender: Sender,
    now: OffsetDateTime,
}

impl AskContext {
    async fn of(app: &App, visit: &Visit, (id, loan): (i64, i64)) -> Result<Self> {
        let now = app.clock.now();
        let (snapshot, loan) = page::found(app, id, loan, now).await?;
        let sender = Sender::of(app.db.read(), &visit.user).await?;
        let person = people::find(&mut *app.db.read().acquire().await?, loan.details.lender_id).await?;
        Ok(Self { snapshot, loan, person, sender, now })
    }

    /// Everything the same lender can be asked for in one request.
    fn things(&self) -> impl Iterator<Item = &Loan> {
        let same = self.snapshot.loans.iter().filter(|loan| loan.details.lender_id == self.loan.details.lender_id);
        same.filter(|loan| can_be_asked(loan, self.snapshot.request(loan)))
    }

    async fn page(&self, app: &App, visit: &Visit, form: QuestionForm, mistakes: Mistakes) -> Result<AskPage> {
        let asked = self.loan.request_id.filter(|_| !can_be_asked(&self.loan, self.snapshot.request(&self.loan)));
        let mail = self.person.as_ref().filter(|person| person.has_mail());
        let page = page::page(app, visit, &self.snapshot.event, "Ask the lender").await?;
        Ok(AskPage {
            page: page.under(self.loan.href(), self.loan.title()),
            event_id: self.snapshot.event.id,
            href: self.loan.href(),
            lender: self.loan.lender_in_full(),
            things: self.things().map(|loan| (loan.id, loan.details.what.clone())).collect(),
            asked,
            mail: mail.map(|person| person.details.mail.clone()).unwrap_or_default(),
            asking: AskingPart::of(form, mistakes, &self.snapshot.event, |on| {
                Reader::App.near_day(on, self.snapshot.today)
            }),
        })
    }

    /// The question with the lines about everything asked for.
    fn with_facts(&self, question: NewQuestion, things: &[i64]) -> NewQuestion {
        let chosen = self.things().filter(|loan| things.contains(&loan.id));
        let facts = chosen.flat_map(|loan| lines_of(&self.snapshot, loan, &question.dates)).collect();
        NewQuestion { facts, ..question }
    }

    /// The lender, if email reaches them, with the question they would get.
    fn recipients<'a>(&'a self, question: &NewQuestion) -> Vec<Recipient<'a>> {
        let recipient = |person: &'a Person| Recipient {
            person,
            called: person.details.name.clone(),
            questions: vec![question.unsent(&self.snapshot.event, person.id, self.now)],
        };
        self.person.iter().filter(|person| person.has_mail()).map(recipient).collect()
    }
}

async fn show_page(State(app): State<App>, Officer(visit): Officer, Path(ids): Path<(i64, i64)>) -> Result<Response> {
    let context = AskContext::of(&app, &visit, ids).await?;
    let closings = countdown::closings(app.clone(), context.snapshot.event.clone(), context.now).await?;
    let form = QuestionForm {
        chosen: vec![context.loan.id],
        question: question(&context.loan),
        words: WORDS.to_owned(),
        ..QuestionForm::usual(Kind::Loan, &context.snapshot.event, &closings, context.now)
    };
    show(&context.page(&app, &visit, form, Mistakes::default()).await?)
}

async fn send(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(ids): Path<(i64, i64)>,
    Form(form): Form<QuestionForm>,
) -> Result<Response> {
    let context = AskContext::of(&app, &visit, ids).await?;
    let event = &context.snapshot.event;
    let question = match form.read(Kind::Loan, CHOOSING, event, context.now, Mistakes::default()) {
        Ok(question) => context.with_facts(question, &form.chosen),
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &context.page(&app, &visit, form, mistakes).await?);
        }
    };
    if form.act != "ask" {
        let mut page = context.page(&app, &visit, form, Mistakes::default()).await?;
        page.asking.preview(event, &context.recipients(&question), &context.sender, context.now)?;
        return show(&page);
    }
    let href = context.loan.href();
    let said = ask(&app, &visit, context, question, form.chosen).await?;
    Ok(flash::redirect(&href, &said))
}

/// Asks by email, and says what became of it.
async fn ask(app: &App, visit: &Visit, context: AskContext, question: NewQuestion, things: Vec<i64>) -> Result<String> {
    let (by, key) = (visit.user.account_id, app.link_key.clone());
    let AskContext { snapshot, loan, sender, now, .. } = context;
    let (event, lender) = (snapshot.event, loan.person);
    let night = mail::night_note(&event.details.zone, now);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let Some(id) = tie(tx, by, &event, (&question, &things), &key, now).await? else { return Ok(None) };
            let sending = Sending { actor: Actor::Account(by), sender: &sender, key: &key, now };
            Ok(Some(asks::send_question(tx, (&event, id), sending).await?))
        })
    });
    Ok(match write.await? {
        None => "Nothing was sent. Someone already asked the lender.".to_owned(),
        Some(true) => format!("The email to {lender} is on its way.{night}"),
        Some(false) => format!("Saved as asked. {lender} has no email: call, then record the reply."),
    })
}

/// Creates one request to the lender of these loans and links it to the ones nobody has
/// asked for in the meantime. Returns its number, or `None` if no loan is left.
pub async fn tie(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    (question, things): (&NewQuestion, &[i64]),
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let mut loans = Vec::new();
    for loan in store::some(tx, things).await?.into_iter().filter(|loan| loan.event_id == event.id) {
        let request = match loan.request_id {
            Some(id) => asks::of_request_in(tx, id).await?,
            None => None,
        };
        if can_be_asked(&loan, request.as_ref()) {
            loans.push(loan);
        }
    }
    let Some(lender_id) = loans.first().map(|loan| loan.details.lender_id) else { return Ok(None) };
    loans.retain(|loan| loan.details.lender_id == lender_id);
    let id = asks::ask(tx, by, event, lender_id, question, key, now).await?;
    for loan in &loans {
        store::asked(tx, Actor::Account(by), &loan.name(), id, now).await?;
    }
    Ok(Some(id))
}
