//! A loan in words, as its page, the agreement, questions, and letters say it.

use super::agreed::Span;
use super::details::Trip;
use super::joined::joined;
use super::loan::{Loan, date_name};
use super::snapshot::LoanSnapshot;
use crate::web::words::Reader;
use time::{Date, PrimitiveDateTime};

/// The label of one of the event's dates.
pub(super) fn date_label(snapshot: &LoanSnapshot, on: Date) -> &'static str {
    if date_name(&snapshot.event, on) == "rain date" { "Rain date" } else { "Burn day" }
}

/// The backup, as lists say it.
pub(super) fn with_backup(says: &str) -> String {
    if says.is_empty() { "no backup".to_owned() } else { format!("backup: {says}") }
}

/// Who drives, as lists say it.
pub(super) fn driver(trip: &Trip) -> String {
    if trip.by.is_empty() { "no driver yet".to_owned() } else { format!("driver: {}", trip.by) }
}

/// The lender's contact, who is the lender if nobody else is named.
pub(super) fn lender_contact(loan: &Loan) -> String {
    let contact = &loan.details.lender_contact;
    if contact.is_empty() { loan.person.clone() } else { contact.clone() }
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
    trip_says(when, trip, " · ")
}

/// The same for the lender: "Thursday, December 31, 2026, at 3:30 p.m.; Gym door; driver:
/// Tomás Brandt".
pub(super) fn trip_for_lender(trip: &Trip, on: Option<Date>) -> String {
    let when = match (on, trip.at) {
        (Some(on), Some(at)) => Reader::Public.moment(PrimitiveDateTime::new(on, at)),
        (Some(on), None) => Reader::Public.day(on),
        (None, at) => at.map(|at| Reader::Public.time(at)).unwrap_or_default(),
    };
    trip_says(when, trip, "; ")
}

fn trip_says(when: String, trip: &Trip, between: &str) -> String {
    let by = if trip.by.is_empty() { String::new() } else { format!("driver: {}", trip.by) };
    joined([when, trip.place.clone(), by], between)
}

/// "Thursday, June 3, 2027, to Monday, June 7, 2027".
pub(super) fn span_says(span: &Span) -> String {
    format!("{}, to {}", Reader::Public.day(span.from_on), Reader::Public.day(span.until_on))
}

/// Its place on burn day; empty if it isn't known.
pub(super) fn place(loan: &Loan) -> String {
    joined([loan.details.stands.clone(), loan.distance()], ", ")
}

/// Its place on burn day, and where it never goes.
pub(super) fn stands(loan: &Loan) -> String {
    let place = place(loan);
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
