//! The facts on the page of a loan.

use crate::accounts::{Private, User};
use crate::loans::choices::{Free, state_says};
use crate::loans::joined::joined;
use crate::loans::loan::Loan;
use crate::loans::phrases::{self, date_label};
use crate::loans::snapshot::LoanSnapshot;
use crate::web::words::Reader;
use time::Date;

/// One of the event's dates: the status for it, and the loan dates.
fn date_says(snapshot: &LoanSnapshot, loan: &Loan, on: Date) -> String {
    let availability = snapshot.availability(loan, on);
    let day = |on| Reader::App.near_day(on, snapshot.today);
    let stage = state_says(availability.stage);
    match (availability.free, availability.span) {
        (Free::NotFree, _) => format!("{}: not available, {}", day(on), availability.why),
        (_, Some(span)) => format!("{}: {stage}, from {} to {}", day(on), day(span.from_on), day(span.until_on)),
        _ => format!("{}: {stage}", day(on)),
    }
}

/// What its page says about a loan, line by line.
pub(super) fn facts(snapshot: &LoanSnapshot, loan: &Loan, user: &User) -> Vec<(&'static str, String)> {
    let details = &loan.details;
    let mut facts =
        vec![("Lender", format!("{}{}", loan.lender_in_full(), if details.is_school { ", a school" } else { "" }))];
    let mut add = |label, text: String| {
        if !text.is_empty() {
            facts.push((label, text));
        }
    };
    add("Serial number", details.serial.clone());
    for on in snapshot.dates() {
        add(date_label(snapshot, on), date_says(snapshot, loan, on));
    }
    let back = snapshot.goes_back(loan);
    if loan.is_live() {
        let pickup_on = snapshot.fetched_on(loan, snapshot.event.details.burn_on);
        add("Pickup", phrases::trip(&details.collect, pickup_on, snapshot.today));
        let trip = phrases::trip(&details.bring, Some(back.on), snapshot.today);
        add("Return", format!("{trip} ({})", back.why));
    }
    add("Their contact", phrases::lender_contact(loan));
    add(
        "Our contact",
        if details.our_contact.is_empty() { "none yet".to_owned() } else { details.our_contact.clone() },
    );
    add("Place on burn day", phrases::stands(loan));
    for (label, text) in details.facts_of_use() {
        add(label, text);
    }
    add(
        "Agreed value",
        user.shown(Private::Money, &details.value.map_or("none yet".to_owned(), |value| value.to_string())),
    );
    add("Insured", joined([details.insured.label().to_owned(), details.certificate.clone()], ", "));
    let backup = snapshot.backup_says(loan);
    let none = if details.is_single { "none, and there is only one" } else { "" };
    add("Backup", if backup.is_empty() { none.to_owned() } else { backup });
    add("Notes", user.shown(Private::Notes, &details.notes));
    facts
}
