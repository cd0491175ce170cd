//! What the countdown shows about loans, and what a new burn day does to them.

mod lines;

use super::choices::{Free, Step, state_says};
use super::loan::Loan;
use super::phrases;
use super::snapshot::LoanSnapshot;
use super::unlisted::unlisted;
use crate::countdown::{CountdownItems, ForTask, MoveLine, Need, Ready, Strand};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::state::App;
use crate::web::words::Reader;
use futures_util::future::BoxFuture;
use time::{Date, OffsetDateTime, Time};

/// The pips, and what is due.
#[must_use]
pub fn countdown_items(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        let snapshot = LoanSnapshot::of_event(&app, event, now).await?;
        let hour = snapshot.event.details.zone.wall(now).time();
        let mut items = items(&snapshot, hour);
        if snapshot.today <= snapshot.event.details.burn_on {
            let unlisted = unlisted(&app, &snapshot, now).await?;
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
        due.extend(lines::problems(snapshot));
        due.extend(snapshot.loans.iter().filter_map(|loan| lines::fetch(snapshot, loan)));
    }
    due.extend(snapshot.loans.iter().filter_map(|loan| lines::bring_back(snapshot, loan, hour)));
    due.extend(snapshot.loans.iter().filter_map(|loan| lines::write_about(snapshot, loan)));
    let ready = if snapshot.loans.is_empty() { Vec::new() } else { vec![ready] };
    let needs = snapshot.loans.iter().filter_map(|loan| need(snapshot, loan)).collect();
    CountdownItems { strand: Some(Strand::Loans), ready, due, needs, problems: wrong, rooms: None }
}

/// A loan that a task needs.
fn need(snapshot: &LoanSnapshot, loan: &Loan) -> Option<Need> {
    let task = ForTask::Id(loan.details.task_id?);
    let state = state_says(snapshot.state(loan)).to_owned();
    Some(Need { task, title: format!("{}, {}", loan.title(), loan.lender()), state, href: loan.href() })
}

/// What a new burn day does: which items aren't available then, whom to ask again, and
/// which items must go back on another day.
#[must_use]
#[expect(clippy::needless_pass_by_value, reason = "the places share one shape")]
pub fn moves(app: App, event: Event, to: Details, now: OffsetDateTime) -> BoxFuture<'static, Result<Vec<MoveLine>>> {
    Box::pin(async move {
        if to.burn_on == event.details.burn_on {
            return Ok(Vec::new());
        }
        let snapshot = LoanSnapshot::of_event(&app, event, now).await?;
        let mut lines: Vec<(u8, MoveLine)> = snapshot
            .loans
            .iter()
            .filter(|loan| loan.is_live())
            .filter_map(|loan| move_line(&snapshot, loan, to.burn_on))
            .collect();
        lines.sort_by_key(|(order, _)| *order);
        Ok(lines.into_iter().map(|(_, line)| line).collect())
    })
}

fn move_line(snapshot: &LoanSnapshot, loan: &Loan, to: Date) -> Option<(u8, MoveLine)> {
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
            let backup = phrases::with_backup(&snapshot.backup_says(loan));
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
