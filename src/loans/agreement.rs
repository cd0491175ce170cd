//! The agreement on paper: what is lent, when, where it stands, who pays, and two
//! signatures.

use super::book::Book;
use super::{Agreed, Free, Insured, Loan, Span, date_name, letters, routes};
use crate::accounts::{Private, SignedIn, User};
use crate::error::Result;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/loans/{loan}/agreement", get(agreement))
}

#[derive(Template)]
#[template(path = "loans/agreement.html")]
struct Agreement {
    page: Page,
    event_id: i64,
    href: String,
    what: String,
    department: String,
    phone: String,
    date: String,
    to: Vec<String>,
    facts: Vec<(&'static str, String)>,
    terms: Vec<String>,
    /// What isn't agreed yet and should be before anybody signs, as a mark and in
    /// words.
    missing: Vec<(&'static str, &'static str)>,
    lender: String,
    /// The value is agreed and not for this reader, so it is missing on the paper.
    lacks_value: bool,
}

fn span_says(span: &Span) -> String {
    format!("{} to {}", words::day(span.from_on), words::day(span.until_on))
}

/// One of the event's dates as the agreement has it.
fn date_says(book: &Book, loan: &Loan, on: Date) -> String {
    let standing = book.standing(loan, on);
    match (standing.free, standing.span) {
        (Free::NotFree, _) => "not lent for this date".to_owned(),
        (_, Some(span)) => span_says(&span),
        _ => "days still to be agreed".to_owned(),
    }
}

fn facts(book: &Book, loan: &Loan, user: &User) -> Vec<(&'static str, String)> {
    let draft = &loan.draft;
    let details = &book.event.details;
    let mut facts = vec![("Thing", letters::called(loan))];
    let mut add = |label, text: String| {
        if !text.is_empty() {
            facts.push((label, text));
        }
    };
    add("For", format!("{}, {}", details.name, details.site));
    for on in book.dates() {
        let label = if date_name(&book.event, on) == "rain date" { "Rain date" } else { "Burn day" };
        add(label, format!("{}: {}", words::day(on), date_says(book, loan, on)));
    }
    add("Collected", letters::trip(&draft.collect, book.fetched_on(loan, details.burn_on)));
    add("Brought back", letters::trip(&draft.bring, Some(book.goes_back(loan).on)));
    add("Contacts", answers(loan));
    add(
        "Goes with it",
        draft
            .checklist
            .accessories
            .iter()
            .map(|it| format!("{} × {}", it.count, it.name))
            .collect::<Vec<_>>()
            .join(", "),
    );
    add("Transport", draft.transport.clone());
    add(
        "Power",
        [draft.power.clone(), draft.connector.clone()]
            .into_iter()
            .filter(|p| !p.is_empty())
            .collect::<Vec<_>>()
            .join(", "),
    );
    add("Operator", draft.operator.clone());
    add("Training", draft.training.clone());
    add("Value agreed", draft.value.map(|value| user.shown(Private::Money, &value.to_string())).unwrap_or_default());
    let insured = match draft.insured {
        Insured::Open => "still to be agreed".to_owned(),
        other => other.to_string(),
    };
    add(
        "Insured",
        [insured, draft.certificate.clone()].into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(", "),
    );
    facts
}

fn answers(loan: &Loan) -> String {
    let their = if loan.draft.their.is_empty() { &loan.person } else { &loan.draft.their };
    if loan.draft.keeper.is_empty() {
        format!("for the lender {their}")
    } else {
        format!("for the lender {their}, for us {}", loan.draft.keeper)
    }
}

/// Our own words, for a department that has none.
fn terms(book: &Book, loan: &Loan) -> Vec<String> {
    let due = book.goes_back(loan);
    let moved = match loan.draft.agreed.get(&book.event.details.rain_on.unwrap_or(book.event.details.burn_on)) {
        Some(Agreed::NotFree) => {
            "If the burn is put off to its rain date, this agreement ends and we use something else."
        }
        _ => "If the burn is put off, we tell the lender at once, and the days agreed for the rain date hold.",
    };
    let place = [loan.draft.stands.clone(), loan.distance()].into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>();
    let place = if place.is_empty() { String::new() } else { format!(" It stands {}.", place.join(", ")) };
    let returned = if loan.draft.is_school {
        format!("It is back by {}, the lender's next working day after the burn.", words::day(due.on))
    } else {
        format!("It is back by {}.", words::day(due.on))
    };
    vec![
        format!(
            "Nothing borrowed goes into a room that burns, nor so near that heat, water or smoke reach it.{place} If the \
             wind turns towards it, we move it."
        ),
        "Both sides look at it by the same list when it is handed over and when it comes back, take photographs, and \
         sign both records. Each side keeps a copy."
            .to_owned(),
        returned,
        "What is damaged or missing when it comes back, by these two records, we make good up to the value agreed, \
         unless an insurance named above pays."
            .to_owned(),
        "Only people whom the lender has shown how use it. We lend it to nobody else.".to_owned(),
        moved.to_owned(),
    ]
}

fn missing(book: &Book, loan: &Loan) -> Vec<(&'static str, &'static str)> {
    let draft = &loan.draft;
    let burn_on = book.event.details.burn_on;
    let all = [
        (book.standing(loan, burn_on).span.is_none(), ("days", "the days we have it")),
        (draft.value.is_none(), ("value", "its value")),
        (draft.insured == Insured::Open, ("insurer", "who insures it")),
        (draft.distance_ft.is_none(), ("distance", "how far from the rooms it stands")),
        (draft.keeper.is_empty(), ("keeper", "who answers for it on our side")),
    ];
    all.into_iter().filter(|(is, _)| *is).map(|(_, what)| what).collect()
}

async fn agreement(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, loan)): Path<(i64, i64)>,
) -> Result<Response> {
    let (book, loan) = routes::found(&app, id, loan, app.clock.now()).await?;
    let department = visit.user.department.clone();
    let to = [loan.organisation.clone(), loan.person.clone()].into_iter().filter(|line| !line.is_empty());
    show(&Agreement {
        page: routes::page(&app, &visit, &book.event, "Loan agreement").await?,
        event_id: id,
        href: loan.href(),
        what: loan.draft.what.clone(),
        department: department.name,
        phone: department.phone,
        date: words::day(book.today),
        to: to.collect(),
        facts: facts(&book, &loan, &visit.user),
        lacks_value: loan.draft.value.is_some() && !visit.user.sees(Private::Money),
        terms: terms(&book, &loan),
        missing: missing(&book, &loan),
        lender: loan.lender().to_owned(),
    })
}
