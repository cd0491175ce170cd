//! What the countdown shows about loans, and what a new burn day does to them.

use super::snapshot::{LoanSnapshot, Wrong};
use super::{Free, Loan, Step, routes};
use crate::countdown::{Call, CountdownItems, Due, ForTask, MoveLine, Need, Owner, Ready, Strand};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::state::App;
use crate::web::words::Reader;
use std::pin::Pin;
use time::macros::time;
use time::{Date, Duration, OffsetDateTime, Time};

/// A replacement for an item we can't get is due this long before burn day: common
/// practice, no published source.
const BEFORE: Duration = Duration::days(14);
/// From this hour on burn day, returns are listed as due.
const EVENING: Time = time!(17:00);
/// This long after burn day, late returns go to the education officer: common practice, no
/// published source.
const ESCALATES: Duration = Duration::days(2);

/// The pips, and what is due.
#[must_use]
pub fn countdown_items(
    app: App,
    event: Event,
    now: OffsetDateTime,
) -> Pin<Box<dyn Future<Output = Result<CountdownItems>> + Send>> {
    Box::pin(async move {
        let snapshot = LoanSnapshot::of_event(&app, event, now).await?;
        let hour = snapshot.event.details.zone.wall(now).time();
        let mut items = items(&snapshot, hour);
        if snapshot.today <= snapshot.event.details.burn_on {
            let unlisted = routes::unlisted(&app, &snapshot, now).await?;
            items.problems.extend(unlisted.iter().map(|_| format!("/events/{}/loans", snapshot.event.id)));
        }
        Ok(items)
    })
}

fn items(snapshot: &LoanSnapshot, hour: Time) -> CountdownItems {
    let wanted: Vec<Option<Step>> =
        snapshot.loans.iter().map(|loan| snapshot.state(loan)).filter(|state| *state != Some(Step::NotLent)).collect();
    let many = |fits: fn(Option<Step>) -> bool| wanted.iter().filter(|state| fits(**state)).count();
    let ready = Ready {
        name: "Loans",
        href: format!("/events/{}/loans", snapshot.event.id),
        done: many(|state| state >= Some(Step::Confirmed)),
        waiting: many(|state| matches!(state, Some(Step::Asked | Step::Promised))),
        open: many(|state| state.is_none()),
        what: "loans confirmed",
        rain: None,
    };
    let (mut due, mut wrong) = (Vec::new(), Vec::new());
    if snapshot.today <= snapshot.event.details.burn_on {
        wrong.extend(snapshot.problems().into_iter().map(|problem| problem.href));
        due.extend(problems(snapshot));
        due.extend(snapshot.loans.iter().filter_map(|loan| fetch(snapshot, loan)));
    }
    due.extend(snapshot.loans.iter().filter_map(|loan| bring_back(snapshot, loan, hour)));
    due.extend(snapshot.loans.iter().filter_map(|loan| write_about(snapshot, loan)));
    let ready = if snapshot.loans.is_empty() { Vec::new() } else { vec![ready] };
    let needs = snapshot.loans.iter().filter_map(|loan| need(snapshot, loan)).collect();
    CountdownItems { strand: Some(Strand::Loans), ready, due, needs, problems: wrong, rooms: None }
}

/// A loan that a task needs.
fn need(snapshot: &LoanSnapshot, loan: &Loan) -> Option<Need> {
    let task = ForTask::Id(loan.details.task_id?);
    let state = snapshot.state(loan).map_or("not asked yet", Step::label).to_owned();
    Some(Need { task, title: format!("{}, {}", loan.title(), loan.lender()), state, href: loan.href() })
}

/// An item we have that must go back, for the reminder.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Out {
    pub id: i64,
    pub title: String,
    pub lender: String,
    pub href: String,
    /// Our contact for it.
    pub our_contact_id: Option<i64>,
    pub due: Date,
}

/// The items we have that must go back.
///
/// # Errors
/// The store's.
pub async fn out(app: &App, event: &Event, now: OffsetDateTime) -> Result<Vec<Out>> {
    let snapshot = LoanSnapshot::of(app, event.id, now).await?;
    let out = snapshot.loans.iter().filter(|loan| loan.is_out()).map(|loan| Out {
        id: loan.id,
        title: loan.title(),
        lender: loan.lender_in_full(),
        href: loan.href(),
        our_contact_id: loan.our_contact_id,
        due: snapshot.goes_back(loan).on,
    });
    Ok(out.collect())
}

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
fn problems(snapshot: &LoanSnapshot) -> Vec<Due> {
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

fn fetch(snapshot: &LoanSnapshot, loan: &Loan) -> Option<Due> {
    let on = snapshot.fetched_on(loan, snapshot.event.details.burn_on)?;
    if loan.has(Step::Collected) || !loan.is_live() {
        return None;
    }
    let trip = &loan.details.collect;
    let at = trip.at.map(|at| Reader::App.time(at)).unwrap_or_default();
    let by = if trip.by.is_empty() { "no driver yet".to_owned() } else { format!("driver: {}", trip.by) };
    let parts = [loan.lender().to_owned(), trip.place.clone(), at, by];
    let beneath = parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ");
    Some(line(loan, format!("Pick up: {}", loan.title()), beneath, on))
}

/// From the evening of burn day on. Two days after burn day it goes to the education officer.
fn bring_back(snapshot: &LoanSnapshot, loan: &Loan, hour: Time) -> Option<Due> {
    let burn_on = snapshot.event.details.burn_on;
    let begins = snapshot.today > burn_on || (snapshot.today == burn_on && hour >= EVENING);
    if !loan.is_out() || !begins {
        return None;
    }
    let due = snapshot.goes_back(loan);
    let by = &loan.details.bring.by;
    let by = if by.is_empty() { "no driver yet".to_owned() } else { format!("driver: {by}") };
    let beneath = format!("{} · {} · {by}", loan.lender_in_full(), due.why);
    let own = line(loan, format!("Return: {}", loan.title()), beneath, due.on);
    let escalates = snapshot.today >= burn_on + ESCALATES && due.on < snapshot.today;
    Some(if escalates { Due { person: None, ..own } } else { own })
}

/// A letter is due to the lender of an item that came back damaged or incomplete.
fn write_about(snapshot: &LoanSnapshot, loan: &Loan) -> Option<Due> {
    let returned = loan.record(true)?;
    let harms = loan.harms();
    if harms.is_empty() || loan.has(Step::Closed) {
        return None;
    }
    let (title, beneath) = (format!("Settle with the lender: {}", loan.title()), harms.join(", "));
    let line = line(loan, title, beneath, snapshot.calendar.after(returned.on, 1));
    Some(Due { person: None, ..line })
}

/// What a new burn day does: which items aren't available then, whom to ask again, and
/// which items must go back on another day.
#[must_use]
#[expect(clippy::needless_pass_by_value, reason = "the places share one shape")]
pub fn moved(
    app: App,
    event: Event,
    to: Details,
    now: OffsetDateTime,
) -> Pin<Box<dyn Future<Output = Result<Vec<MoveLine>>> + Send>> {
    Box::pin(async move {
        if to.burn_on == event.details.burn_on {
            return Ok(Vec::new());
        }
        let snapshot = LoanSnapshot::of_event(&app, event, now).await?;
        let mut lines: Vec<(u8, MoveLine)> = snapshot
            .loans
            .iter()
            .filter(|loan| loan.is_live())
            .filter_map(|loan| moves(&snapshot, loan, to.burn_on))
            .collect();
        lines.sort_by_key(|(order, _)| *order);
        Ok(lines.into_iter().map(|(_, line)| line).collect())
    })
}

fn moves(snapshot: &LoanSnapshot, loan: &Loan, to: Date) -> Option<(u8, MoveLine)> {
    let day = |on| Reader::App.near_day(on, snapshot.today);
    let what = loan.title();
    // One that only goes back on another day is not open.
    let line = |order: u8, what: String, beneath: String| {
        Some((order, MoveLine { what, beneath, href: loan.href(), is_open: order < 2 }))
    };
    let availability = snapshot.availability(loan, to);
    let back = (snapshot.goes_back(loan).on, snapshot.due(loan, to).on);
    match availability.free {
        Free::NotFree => {
            let backup = snapshot.backup_says(loan);
            let backup = if backup.is_empty() { "no backup".to_owned() } else { format!("backup: {backup}") };
            line(
                0,
                format!("{what}: not available on {}", day(to)),
                format!("{}: {}; {backup}", loan.lender(), availability.why),
            )
        }
        Free::Open if availability.stage == Some(Step::Asked) => {
            let beneath = format!("{} was asked about {} and hasn't said yes", loan.lender_in_full(), day(to));
            line(1, format!("{what}: not promised for {}", day(to)), beneath)
        }
        Free::Open => {
            let beneath = format!(
                "{}: an answer for {} doesn't count for this date",
                loan.lender_in_full(),
                day(snapshot.event.details.burn_on)
            );
            line(1, format!("{what}: ask again about {}", day(to)), beneath)
        }
        Free::Free if back.0 != back.1 => {
            let beneath = format!("{}: due {} instead of {}", loan.lender(), day(back.1), day(back.0));
            line(2, format!("{what}: return on {}", day(back.1)), beneath)
        }
        Free::Free => None,
    }
}
