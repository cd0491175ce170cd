//! What a letter to a lender says at first: when the item will be returned, or in what
//! condition it was.

use crate::loans::choices::{Insured, Step};
use crate::loans::loan::Loan;
use crate::loans::phrases::trip_for_lender;
use crate::loans::snapshot::LoanSnapshot;
use crate::web::words::Reader;

/// What a letter is about.
pub(in crate::loans) const ABOUT: [&str; 2] = ["its return", "its condition"];

/// What a letter says at first, for the officer to edit.
pub(super) fn draft(snapshot: &LoanSnapshot, loan: &Loan, about: &str) -> String {
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

pub(super) fn subject(loan: &Loan, about: &str) -> String {
    if about == ABOUT[1] {
        format!("Condition of the {}", loan.details.what)
    } else {
        format!("Return of the {}", loan.details.what)
    }
}

/// The parts between empty lines.
pub(super) fn paragraphs(text: &str) -> Vec<String> {
    let text = text.replace("\r\n", "\n");
    text.split("\n\n").map(|part| part.trim().to_owned()).filter(|part| !part.is_empty()).collect()
}

/// The subject that was chosen, or else the likely one.
pub(super) fn about(loan: &Loan, wanted: &str) -> &'static str {
    let known = ABOUT.into_iter().find(|known| *known == wanted);
    known.unwrap_or(if loan.has(Step::Returned) { ABOUT[1] } else { ABOUT[0] })
}
