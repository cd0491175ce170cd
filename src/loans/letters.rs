//! Letters to a lender: when the item will be returned, and in what condition it was
//! returned.

use super::snapshot::LoanSnapshot;
use super::store::{self, Written};
use super::{Insured, Loan, Span, Step, Trip, routes};
use crate::accounts::{Officer, Visit};
use crate::asks::{Sender, greeted};
use crate::error::Result;
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::{self, Person};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;
use serde::Deserialize;
use time::{Date, Duration, OffsetDateTime, PrimitiveDateTime};

/// After this long without getting an email out, a person must follow up.
const TRIED_FOR: Duration = Duration::days(7);
pub(super) const ABOUT: [&str; 2] = ["its return", "its condition"];

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/loans/{loan}/letter", get(show_page).merge(post(send)))
}

/// "sports clock, serial number MS-0412".
pub(super) fn called(loan: &Loan) -> String {
    let details = &loan.details;
    if details.serial.is_empty() {
        details.what.clone()
    } else {
        format!("{}, serial number {}", details.what, details.serial)
    }
}

/// A pickup or a return for people inside the department: "Thu, Dec 31, 15:30 · Gym door
/// · driver: Tomás Brandt".
pub(super) fn trip(trip: &Trip, on: Option<Date>, today: Date) -> String {
    let when = match (on, trip.at) {
        (Some(on), Some(at)) => Reader::App.near_moment(PrimitiveDateTime::new(on, at), today),
        (Some(on), None) => Reader::App.near_day(on, today),
        (None, at) => at.map(|at| Reader::App.time(at)).unwrap_or_default(),
    };
    joined(when, trip, " · ")
}

/// The same for the lender: "Thursday, December 31, 2026, at 3:30 p.m.; Gym door; driver:
/// Tomás Brandt".
pub(super) fn trip_for_lender(trip: &Trip, on: Option<Date>) -> String {
    let when = match (on, trip.at) {
        (Some(on), Some(at)) => Reader::Public.moment(PrimitiveDateTime::new(on, at)),
        (Some(on), None) => Reader::Public.day(on),
        (None, at) => at.map(|at| Reader::Public.time(at)).unwrap_or_default(),
    };
    joined(when, trip, "; ")
}

fn joined(when: String, trip: &Trip, between: &str) -> String {
    let by = if trip.by.is_empty() { String::new() } else { format!("driver: {}", trip.by) };
    [when, trip.place.clone(), by].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(between)
}

/// "Thursday, June 3, 2027, to Monday, June 7, 2027".
pub(super) fn span_says(span: &Span) -> String {
    format!("{}, to {}", Reader::Public.day(span.from_on), Reader::Public.day(span.until_on))
}

/// Its place on burn day, and where it never goes.
pub(super) fn stands(loan: &Loan) -> String {
    let place = [loan.details.stands.clone(), loan.distance()].into_iter().filter(|part| !part.is_empty());
    let place = place.collect::<Vec<_>>().join(", ");
    let never = "nothing borrowed goes into a room that burns";
    if place.is_empty() { format!("outside; {never}") } else { format!("{place}; {never}") }
}

/// What, when and where if the burn is on that date, for the lender.
pub(super) fn plan(snapshot: &LoanSnapshot, loan: &Loan, burn_on: Date) -> Vec<(String, String)> {
    let mut lines = vec![("Item".to_owned(), called(loan))];
    let mut add = |label: &str, text: String| {
        if !text.is_empty() {
            lines.push((label.to_owned(), text));
        }
    };
    add("Pickup", trip_for_lender(&loan.details.collect, snapshot.fetched_on(loan, burn_on)));
    add("Return", trip_for_lender(&loan.details.bring, Some(snapshot.due(loan, burn_on).on)));
    add("Place on burn day", stands(loan));
    lines
}

/// The first details of a letter, for the officer to edit.
pub(super) fn details(snapshot: &LoanSnapshot, loan: &Loan, about: &str) -> String {
    if about == ABOUT[1] { of_condition(loan) } else { of_return(snapshot, loan) }
}

fn of_return(snapshot: &LoanSnapshot, loan: &Loan) -> String {
    let (what, due) = (&loan.details.what, snapshot.goes_back(loan).on);
    let how = trip_for_lender(&loan.details.bring, None);
    let how = if how.is_empty() { String::new() } else { format!(" The plan: {}.", how.trim_end_matches('.')) };
    let day = Reader::Public.day(due);
    match snapshot.days_late(loan) {
        None if due == snapshot.today => format!("We will return the {what} today, {day}.{how}"),
        None => format!("We will return the {what} on {day}.{how}"),
        Some(_) => format!(
            "The {what} was due back with you on {day}. We still have it, and we are sorry.\n\nWe will return it on \
             [day and time]. Please call us if you need it sooner, or if you had to pay for a replacement.{how}"
        ),
    }
}

fn of_condition(loan: &Loan) -> String {
    let what = &loan.details.what;
    let on = loan.record(true).map(|record| format!(" on {},", Reader::Public.day(record.on))).unwrap_or_default();
    let found = loan.differences();
    if found.is_empty() {
        return format!(
            "Thank you for lending us the {what}. We returned it{on} in the same condition as when we picked it up."
        );
    }
    let list: Vec<String> = found.iter().map(|difference| format!("- {}", difference.says)).collect();
    let mut parts = vec![
        format!("Thank you for lending us the {what}. We returned it{on} but not as we picked it up:"),
        list.join("\n"),
        "This list comes from the two condition records. You have a copy of both.".to_owned(),
    ];
    let value = loan.details.value.map(|value| format!("We agreed on a value of {value}. ")).unwrap_or_default();
    let insured = match loan.details.insured {
        Insured::Us => "It is insured by us, and we will report this to our insurer. ",
        Insured::Lender => "It is insured by you. We will give you whatever your insurer asks for. ",
        Insured::Nobody | Insured::Open => "",
    };
    parts.push(format!("{value}{insured}Please tell us how you would like us to make this right."));
    parts.join("\n\n")
}

fn subject(loan: &Loan, about: &str) -> String {
    if about == ABOUT[1] {
        format!("Condition of the {}", loan.details.what)
    } else {
        format!("Return of the {}", loan.details.what)
    }
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct LetterForm {
    about: String,
    text: String,
    act: String,
}

#[derive(Template)]
#[template(path = "loans/letter.html")]
struct LetterPage {
    page: Page,
    href: String,
    about: String,
    heading: String,
    form: LetterForm,
    mistakes: Mistakes,
    department: String,
    date: String,
    to: Vec<String>,
    /// How it begins.
    dear: String,
    paragraphs: Vec<String>,
    signed: String,
    /// The title of whoever signs; may be empty.
    signed_as: String,
    phone: String,
    /// The lender's email address; empty without one.
    mail: String,
    person: String,
}

/// Everything needed to show or send a letter.
struct LetterContext {
    snapshot: LoanSnapshot,
    loan: Loan,
    person: Option<Person>,
    sender: Sender,
    written: Vec<Written>,
    now: OffsetDateTime,
}

impl LetterContext {
    async fn of(app: &App, visit: &Visit, (id, loan): (i64, i64)) -> Result<Self> {
        let now = app.clock.now();
        let (snapshot, loan) = routes::found(app, id, loan, now).await?;
        let sender = Sender::of(app.db.read(), &visit.user).await?;
        let mut db = app.db.read().acquire().await?;
        let person = people::find(&mut db, loan.details.lender_id).await?;
        let written = store::letters(&mut db, loan.id).await?;
        Ok(Self { snapshot, loan, person, sender, written, now })
    }

    async fn page(&self, app: &App, visit: &Visit, form: LetterForm, mistakes: Mistakes) -> Result<LetterPage> {
        let (loan, sender) = (&self.loan, &self.sender);
        let heading = subject(loan, &form.about);
        let person = self.person.as_ref();
        let lender = person.map_or_else(|| loan.person.clone(), |person| person.details.in_full());
        let to = [lender, loan.organization.clone()].into_iter().filter(|line| !line.is_empty());
        let page = routes::page(app, visit, &self.snapshot.event, "Letter to the lender").await?;
        Ok(LetterPage {
            page: page.under(loan.href(), loan.title()),
            href: loan.href(),
            about: form.about.clone(),
            heading,
            paragraphs: paragraphs(&form.text),
            form,
            mistakes,
            department: sender.department.clone(),
            date: Reader::Public.day(self.snapshot.today),
            to: to.collect(),
            dear: person.map_or_else(|| format!("Dear {}:", loan.person), |person| person.details.salutation()),
            signed: sender.name.clone(),
            signed_as: sender.title.clone(),
            phone: sender.phone.clone(),
            mail: person.filter(|person| person.has_mail()).map(|p| p.details.mail.clone()).unwrap_or_default(),
            person: loan.person.clone(),
        })
    }

    /// Sending twice makes one letter.
    fn letter(&self, person: &Person, about: &str, text: &str) -> Result<Letter> {
        let (loan, sender, now) = (&self.loan, &self.sender, self.now);
        let mut words = paragraphs(text);
        let lead = if words.is_empty() { String::new() } else { words.remove(0) };
        let parts = Parts {
            hello: greeted(person),
            dear: &person.details.salutation(),
            lead: &lead,
            words: &words,
            from: &sender.name,
            title: &sender.title,
            phone: &sender.phone,
            department: &sender.department,
            ..Parts::default()
        };
        Ok(Letter {
            kind: Kind::Notice,
            event_id: Some(loan.event_id),
            person_id: Some(person.id),
            request_id: None,
            facts_revision: None,
            dedup: format!("loan/{}/{}", loan.id, self.written.len()),
            to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
            reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
            subject: subject(loan, about),
            body: mail::body(&parts)?,
            calendars: Vec::new(),
            in_reply_to: None,
            urgent: false,
            due_at: now,
            not_after: now + TRIED_FOR,
        })
    }
}

fn paragraphs(text: &str) -> Vec<String> {
    let text = text.replace("\r\n", "\n");
    text.split("\n\n").map(|part| part.trim().to_owned()).filter(|part| !part.is_empty()).collect()
}

/// The subject that was chosen, or else the likely one.
fn about(loan: &Loan, wanted: &str) -> &'static str {
    let known = ABOUT.into_iter().find(|known| *known == wanted);
    known.unwrap_or(if loan.has(Step::Returned) { ABOUT[1] } else { ABOUT[0] })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Wanted {
    about: String,
}

async fn show_page(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(ids): Path<(i64, i64)>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let context = LetterContext::of(&app, &visit, ids).await?;
    let about = about(&context.loan, &wanted.about);
    let form = LetterForm {
        about: about.to_owned(),
        text: details(&context.snapshot, &context.loan, about),
        act: String::new(),
    };
    show(&context.page(&app, &visit, form, Mistakes::default()).await?)
}

impl LetterForm {
    fn read(&self) -> Result<String, Mistakes> {
        let mut mistakes = Mistakes::default();
        let text = mistakes.note("text", form::paragraph(&self.text, 4_000)).unwrap_or_default();
        if text.is_empty() {
            mistakes.add("text", "Write the letter first.");
        } else if text.contains("[day and time]") {
            mistakes.add("text", "Replace “[day and time]” with the day and the time.");
        }
        if mistakes.is_empty() { Ok(text) } else { Err(mistakes) }
    }
}

async fn send(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(ids): Path<(i64, i64)>,
    Form(form): Form<LetterForm>,
) -> Result<Response> {
    let context = LetterContext::of(&app, &visit, ids).await?;
    let about = about(&context.loan, &form.about);
    let form = LetterForm { about: about.to_owned(), ..form };
    let text = match form.read() {
        Ok(text) => text,
        Err(mistakes) => {
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &context.page(&app, &visit, form, mistakes).await?);
        }
    };
    let by_mail = context.person.clone().filter(|person| person.has_mail() && form.act == "mail");
    if by_mail.is_none() && form.act != "on paper" {
        return show(&context.page(&app, &visit, form, Mistakes::default()).await?);
    }
    let letter = by_mail.map(|person| context.letter(&person, about, &text)).transpose()?;
    let said =
        if letter.is_some() { "The letter is on its way by email." } else { "The letter is saved as sent on paper." };
    let (by, loan, now, seen) = (visit.user.account_id, context.loan, context.now, context.written.len());
    let href = loan.href();
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            // Sent twice.
            if store::letters(tx, loan.id).await?.len() != seen {
                return Ok(false);
            }
            let mail_id = match &letter {
                Some(letter) => mail::queue(tx, letter, now).await?,
                None => None,
            };
            if letter.is_some() && mail_id.is_none() {
                return Ok(false);
            }
            store::add_letter(tx, by, &loan, (about, &text, mail_id), now).await?;
            Ok(true)
        })
    });
    Ok(flash::redirect(
        &href,
        if write.await? { said } else { "Nothing was sent. Someone sent a letter a moment ago." },
    ))
}
