//! The loan agreement on paper: what is lent, when, its place on burn day, who pays, and
//! two signatures.

use super::agreed::Agreed;
use super::choices::{Free, Insured};
use super::joined::joined;
use super::loan::Loan;
use super::page;
use super::phrases::{self, date_label};
use super::snapshot::LoanSnapshot;
use crate::accounts::{Private, SignedIn, User};
use crate::error::Result;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
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
    href: String,
    what: String,
    department: String,
    phone: String,
    date: String,
    to: Vec<String>,
    facts: Vec<(&'static str, String)>,
    terms: Vec<String>,
    /// What isn't agreed yet and should be before anyone signs, as a mark and in words.
    missing: Vec<(&'static str, &'static str)>,
    lender: String,
    /// The value is agreed, but this user may not see it, so the paper lacks it.
    lacks_value: bool,
}

/// One of the event's dates, as the agreement states it.
fn date_says(snapshot: &LoanSnapshot, loan: &Loan, on: Date) -> String {
    let availability = snapshot.availability(loan, on);
    match (availability.free, availability.span) {
        (Free::NotFree, _) => "not on loan".to_owned(),
        (_, Some(span)) => format!("on loan {}", phrases::span_says(&span)),
        _ => "loan dates not agreed yet".to_owned(),
    }
}

fn facts(snapshot: &LoanSnapshot, loan: &Loan, user: &User) -> Vec<(&'static str, String)> {
    let details = &loan.details;
    let event = &snapshot.event.details;
    let mut facts = vec![("Item", phrases::called(loan))];
    let mut add = |label, text: String| {
        if !text.is_empty() {
            facts.push((label, text));
        }
    };
    add("Event", joined([event.name.clone(), event.site.clone()], ", "));
    for on in snapshot.dates() {
        add(date_label(snapshot, on), format!("{}: {}", Reader::Public.day(on), date_says(snapshot, loan, on)));
    }
    add("Pickup", phrases::trip_for_lender(&details.collect, snapshot.fetched_on(loan, event.burn_on)));
    add("Return", phrases::trip_for_lender(&details.bring, Some(snapshot.goes_back(loan).on)));
    add("Lender's contact", phrases::lender_contact(loan));
    add("Department's contact", details.our_contact.clone());
    let accessories = details.checklist.accessories.iter().map(|it| format!("{} × {}", it.count, it.name));
    add("Comes with it", joined(accessories, ", "));
    for (label, text) in details.facts_of_use() {
        add(label, text);
    }
    add("Agreed value", details.value.map(|value| user.shown(Private::Money, &value.to_string())).unwrap_or_default());
    let insured = match details.insured {
        Insured::Us => format!("by {}", user.department.name),
        other => other.label().to_owned(),
    };
    add("Insured", joined([insured, details.certificate.clone()], ", "));
    facts
}

/// Our wording, for a department without an agreement of its own.
fn terms(snapshot: &LoanSnapshot, loan: &Loan) -> Vec<String> {
    let due = snapshot.goes_back(loan);
    let moved = match loan.details.agreed.get(&snapshot.event.details.rain_on.unwrap_or(snapshot.event.details.burn_on))
    {
        Some(Agreed::NotFree) => {
            "If the burn moves to its rain date, this agreement ends and we will use something else."
        }
        _ => {
            "If the burn is postponed, we will tell the lender right away, and the loan dates agreed for the rain date \
             apply."
        }
    };
    let place = phrases::place(loan);
    let place = if place.is_empty() { String::new() } else { format!(" On burn day it will be {place}.") };
    let returned = if loan.details.is_school {
        format!("We will return it by {}, the lender's next working day after the burn.", Reader::Public.day(due.on))
    } else {
        format!("We will return it by {}.", Reader::Public.day(due.on))
    };
    vec![
        format!(
            "The item never goes into a room that burns, or so close that heat, water or smoke could reach it.{place} If \
             the wind shifts toward it, we will move it."
        ),
        "At pickup and at return, both sides check the item against the same list, take photos, and sign the condition \
         record. Each side keeps a copy of both records."
            .to_owned(),
        returned,
        "We will pay for anything that these two records show is damaged or missing at return, up to the agreed value, \
         unless insurance named above pays."
            .to_owned(),
        "Only people the lender has shown how to use it will use it. We will not lend it to anyone else.".to_owned(),
        moved.to_owned(),
    ]
}

fn missing(snapshot: &LoanSnapshot, loan: &Loan) -> Vec<(&'static str, &'static str)> {
    let details = &loan.details;
    let burn_on = snapshot.event.details.burn_on;
    let all = [
        (snapshot.availability(loan, burn_on).span.is_none(), ("days", "the loan dates")),
        (details.value.is_none(), ("value", "the value")),
        (details.insured == Insured::Open, ("insurer", "who insures it")),
        (details.distance_ft.is_none(), ("distance", "its distance from the rooms")),
        (details.our_contact.is_empty(), ("our_contact", "our contact")),
    ];
    all.into_iter().filter(|(is, _)| *is).map(|(_, what)| what).collect()
}

async fn agreement(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, loan)): Path<(i64, i64)>,
) -> Result<Response> {
    let (snapshot, loan) = page::found(&app, id, loan, app.clock.now()).await?;
    let department = visit.user.department.clone();
    let to = [loan.organization.clone(), loan.person.clone()].into_iter().filter(|line| !line.is_empty());
    show(&Agreement {
        page: page::page(&app, &visit, &snapshot.event, "Loan agreement").await?.under(loan.href(), loan.title()),
        href: loan.href(),
        what: loan.details.what.clone(),
        department: department.name,
        phone: department.phone,
        date: Reader::Public.day(snapshot.today),
        to: to.collect(),
        facts: facts(&snapshot, &loan, &visit.user),
        lacks_value: loan.details.value.is_some() && !visit.user.sees(Private::Money),
        terms: terms(&snapshot, &loan),
        missing: missing(&snapshot, &loan),
        lender: loan.lender().to_owned(),
    })
}
