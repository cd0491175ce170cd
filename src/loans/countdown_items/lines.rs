//! What is due about loans, line by line.

use crate::countdown::{Call, Due, Owner};
use crate::loans::choices::Step;
use crate::loans::joined::joined;
use crate::loans::loan::Loan;
use crate::loans::phrases;
use crate::loans::problems::Wrong;
use crate::loans::snapshot::LoanSnapshot;
use crate::web::words::Reader;
use time::macros::time;
use time::{Date, Duration, Time};

/// A replacement for an item we can't get is due this long before burn day: common
/// practice, no published source.
const BEFORE: Duration = Duration::days(14);
/// From this hour on burn day, returns are listed as due.
const EVENING: Time = time!(17:00);
/// This long after burn day, late returns go to the education officer: common practice, no
/// published source.
const ESCALATES: Duration = Duration::days(2);

fn line(loan: &Loan, title: String, beneath: String, on: Date) -> Due {
    let our_contact = loan.our_contact_id.map(|id| (id, loan.details.our_contact.clone()));
    Due {
        title,
        beneath,
        said: String::new(),
        href: loan.href(),
        person: our_contact,
        owner: Owner::EducationOfficer,
        on,
        call: Call::People(vec![loan.lender_contact_id.unwrap_or(loan.details.lender_id)]),
        is_problem: false,
    }
}

/// The education officer is responsible for these, whoever our contact is.
pub(super) fn problems(snapshot: &LoanSnapshot) -> Vec<Due> {
    let on = (snapshot.event.details.burn_on - BEFORE).max(snapshot.today.min(snapshot.event.details.burn_on));
    let due = snapshot.problems().into_iter().map(|problem| Due {
        title: match problem.kind {
            Wrong::NotFree | Wrong::NotFreeOnRainDate => format!("Find a replacement: {}", problem.what),
            Wrong::Twice => format!("Settle which event gets it: {}", problem.what),
            Wrong::NoBackup => format!("Name a backup: {}", problem.what),
        },
        beneath: match problem.kind {
            Wrong::NotFree | Wrong::NotFreeOnRainDate => format!("{}; {}", problem.short, problem.beneath),
            Wrong::Twice | Wrong::NoBackup => problem.beneath,
        },
        said: String::new(),
        href: problem.href,
        person: None,
        owner: Owner::EducationOfficer,
        on,
        call: Call::NoOne,
        is_problem: true,
    });
    due.collect()
}

pub(super) fn fetch(snapshot: &LoanSnapshot, loan: &Loan) -> Option<Due> {
    let on = snapshot.fetched_on(loan, snapshot.event.details.burn_on)?;
    if loan.has(Step::Collected) || !loan.is_live() {
        return None;
    }
    let trip = &loan.details.collect;
    let at = trip.at.map(|at| Reader::App.time(at)).unwrap_or_default();
    let beneath = joined([loan.lender().to_owned(), trip.place.clone(), at, phrases::driver(trip)], " · ");
    Some(line(loan, format!("Pick up: {}", loan.title()), beneath, on))
}

/// From the evening of burn day on. Two days after burn day it goes to the education officer.
pub(super) fn bring_back(snapshot: &LoanSnapshot, loan: &Loan, hour: Time) -> Option<Due> {
    let burn_on = snapshot.event.details.burn_on;
    let begins = snapshot.today > burn_on || (snapshot.today == burn_on && hour >= EVENING);
    if !loan.is_out() || !begins {
        return None;
    }
    let due = snapshot.goes_back(loan);
    let by = phrases::driver(&loan.details.bring);
    let beneath = format!("{} · {} · {by}", loan.lender_in_full(), due.why);
    let own = line(loan, format!("Return: {}", loan.title()), beneath, due.on);
    let escalates = snapshot.today >= burn_on + ESCALATES && due.on < snapshot.today;
    Some(if escalates { Due { person: None, ..own } } else { own })
}

/// A letter is due to the lender of an item that came back damaged or incomplete.
pub(super) fn write_about(snapshot: &LoanSnapshot, loan: &Loan) -> Option<Due> {
    let returned = loan.record(true)?;
    let harms = loan.harms();
    if harms.is_empty() || loan.has(Step::Closed) {
        return None;
    }
    let (title, beneath) = (format!("Settle with the lender: {}", loan.title()), harms.join(", "));
    let line = line(loan, title, beneath, snapshot.calendar.after(returned.on, 1));
    Some(Due { person: None, ..line })
}
