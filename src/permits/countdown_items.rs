//! What the countdown shows about permits and notices, and what a change of date, place or
//! time means for them.

use super::moved_record::lines;
use super::records::Records;
use crate::countdown::{Call, CountdownItems, Due, MoveLine, Outlook, Owner};
use crate::error::Result;
use crate::events::{Details, Event};
use crate::permit_records::{ASK, Permit, Problem, Rule};
use crate::state::App;
use crate::web::words;
use futures_util::future::BoxFuture;
use time::{Date, Duration, OffsetDateTime};

/// Ask about notice this many days before the task must begin. Common practice.
const ASK_BEFORE: Duration = Duration::days(14);
/// Renew a permit that expires too soon this many days before it does.
const RENEW_BEFORE: Duration = Duration::days(14);

/// For the countdown: what to ask, send and renew.
#[must_use]
pub fn countdown_items(app: App, event: Event, now: OffsetDateTime) -> BoxFuture<'static, Result<CountdownItems>> {
    Box::pin(async move {
        let records = Records::load(&app, event.id).await?;
        if records.permits.is_empty() || records.today > event.details.burn_on {
            return Ok(CountdownItems::default());
        }
        let outlook = Outlook::load(&app, &event, now).await?;
        let mut due: Vec<Due> = records.permits.iter().flat_map(|permit| dues(&records, &outlook, permit)).collect();
        due.extend(asks(&records, &outlook));
        // A task shows its permits itself.
        Ok(CountdownItems { due, ..CountdownItems::default() })
    })
}

fn item(records: &Records, permit: &Permit, title: String, beneath: String, on: Date) -> Due {
    let task = records.seen().task(permit).cloned();
    let person = task.as_ref().and_then(|task| task.person_id.zip(task.details.person.clone()));
    let owner = task.map_or(Owner::EducationOfficer, |task| task.details.owner);
    Due {
        title,
        beneath,
        said: String::new(),
        href: permit.href(),
        person,
        owner,
        on,
        call: call(permit),
        is_problem: false,
    }
}

/// The authority's phone.
fn call(permit: &Permit) -> Call {
    Call::Office { name: permit.whom().to_owned(), phone: permit.details.phone.clone() }
}

fn dues(records: &Records, outlook: &Outlook, permit: &Permit) -> Vec<Due> {
    if !records.is_needed(permit) {
        return Vec::new();
    }
    let (title, today) = (&permit.details.title, records.today);
    let all = records.seen().problems(permit);
    let lines = all.iter().filter_map(|problem| {
        let says = problem.says(permit, &outlook.calendar, today);
        let (what, on) = match problem {
            Problem::Send { by, .. } => (format!("Send “{title}”"), *by),
            Problem::Arrival { expected, .. } => (format!("Confirm that “{title}” arrived"), *expected),
            Problem::Expires { on, .. } => (format!("Renew “{title}”"), (*on).min(today.max(*on - RENEW_BEFORE))),
            Problem::OldFacts { .. } | Problem::OtherDates { .. } => {
                (format!("Tell {} about “{title}”", permit.whom()), today)
            }
            _ => return None,
        };
        Some(item(records, permit, what, says, on))
    });
    lines.collect()
}

/// The authorities to ask about notice by now, in one line. It is never late: no one knows
/// what an unknown rule requires.
fn asks(records: &Records, outlook: &Outlook) -> Option<Due> {
    let today = records.today;
    let is_time = |permit: &&Permit| {
        let task = permit.details.task_id.and_then(|id| outlook.place(id));
        task.is_none_or(|place| outlook.schedule.rows[place].latest_start - ASK_BEFORE <= today)
    };
    let unknown = records.permits.iter().filter(|permit| permit.details.rule == Rule::NotAsked);
    let unknown: Vec<&Permit> = unknown.filter(|permit| records.is_needed(permit)).filter(is_time).collect();
    if unknown.is_empty() {
        return None;
    }
    let names = unknown.iter().map(|permit| permit.details.title.as_str()).collect::<Vec<_>>().join(", ");
    let (title, beneath) = match unknown.as_slice() {
        [one] => (format!("Ask for the notice rule: {}", one.details.title), ASK.to_owned()),
        all => {
            let many = words::count(all.len(), "permit or notice", "permits and notices");
            (format!("Ask for the notice rules: {many}"), names)
        }
    };
    let (href, call) = match unknown.as_slice() {
        [one] => (one.href(), call(one)),
        _ => (format!("/events/{}/permits", records.event.id), Call::NoOne),
    };
    let owner = Owner::EducationOfficer;
    Some(Due { title, beneath, said: String::new(), href, person: None, owner, on: today, call, is_problem: false })
}

/// What must be sent again, reported or renewed if the event changes to this.
#[must_use]
pub fn moves(app: App, event: Event, to: Details, _now: OffsetDateTime) -> BoxFuture<'static, Result<Vec<MoveLine>>> {
    Box::pin(async move {
        let records = Records::load(&app, event.id).await?;
        let needed = records.permits.iter().filter(|permit| records.is_needed(permit));
        let mut lines: Vec<(u8, MoveLine)> =
            needed.flat_map(|permit| lines(permit, &event.details, &to, &records)).collect();
        lines.sort_by_key(|(order, _)| *order);
        let mut lines: Vec<MoveLine> = lines.into_iter().map(|(_, line)| line).collect();
        if to.dates() != event.dates() {
            lines.extend(not_asked(&records));
        }
        Ok(lines)
    })
}

fn not_asked(records: &Records) -> Option<MoveLine> {
    let unknown = records.permits.iter().filter(|permit| permit.details.rule == Rule::NotAsked);
    let names: Vec<&str> = unknown.map(|permit| permit.details.title.as_str()).collect();
    (!names.is_empty()).then(|| MoveLine {
        what: format!(
            "Ask for the notice rule before you decide: {}",
            words::count(names.len(), "permit or notice", "permits and notices")
        ),
        beneath: names.join(", "),
        href: format!("/events/{}/permits", records.event.id),
        is_open: false,
    })
}
