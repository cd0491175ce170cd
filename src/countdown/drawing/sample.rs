//! Plans to test drawings with, and what the drawings must not do.

use super::KeyDays;
use crate::calc::calendar::{Basis, Calendar};
use crate::calc::plan::Lead;
use crate::countdown::{Details, LinkTo, Outlook, Owner, Rain, Responsible, Strand, Task, TaskState, template};
use proptest::prelude::*;
use std::sync::Arc;
use time::macros::{date, time};
use time::{Date, Duration, OffsetDateTime};

const BURN_ON: Date = date!(2027 - 01 - 02);
/// The tasks of the usual plan that are late in the demo, and those that are waiting.
const LATE: [&str; 2] = ["burn-permit", "loan-requests"];
const WAITING: [&str; 5] =
    ["access-services", "collect-furnishings", "guest-replies", "volunteer-sign-up", "survey-cards"];

fn key_days(today: Date, rain: Option<i64>) -> KeyDays {
    let rain_on = rain.map(|days| BURN_ON + Duration::days(days));
    KeyDays { today, burn: BURN_ON.with_time(time!(10:00)), rain_on }
}

fn task(id: i64, strand: Strand, title: &str, (lead, duration): (i32, u16)) -> Task {
    let details = Details {
        strand,
        title: title.to_owned(),
        takes: String::new(),
        owner: Owner::Volunteers,
        person: None,
        lead: Lead { days: lead, basis: Basis::Calendar },
        duration,
        basis: Basis::Calendar,
        rain: Rain::Keep,
        links: Vec::new(),
    };
    Task {
        id,
        key: None,
        details,
        notices: Vec::new(),
        person_id: None,
        responsible: Responsible::of(Owner::Volunteers, None, &[]),
        state: TaskState::ToDo,
        waiting_for: String::new(),
        started_on: None,
        done_on: None,
        state_at: OffsetDateTime::UNIX_EPOCH,
        state_by: None,
        is_burn: false,
        version: 1,
    }
}

fn outlook(tasks: Vec<Task>, today: Date) -> Outlook {
    Outlook::of(tasks, Arc::new(Calendar::federal()), BURN_ON, today).unwrap()
}

/// The usual plan as in the demo: five weeks before burn day, with what was due done, except
/// two tasks, and a few waiting.
pub(in crate::countdown) fn usual() -> (KeyDays, Outlook) {
    let today = BURN_ON - Duration::days(38);
    let tasks = (1..).zip(template::tasks()).map(|(id, entry)| {
        let earlier = entry.after.iter().map(|after| {
            let place = template::place(&after.task).unwrap();
            LinkTo { earlier: i64::try_from(place).unwrap() + 1, lag: after.lag, basis: Basis::Calendar }
        });
        let plain = task(id, entry.strand, &entry.title, (entry.lead, entry.duration));
        let details =
            Details { owner: entry.owner, basis: entry.basis.basis(), links: earlier.collect(), ..plain.details };
        let person = Some((id % 7, ["Priya Okafor", "Jun Castellane"][usize::from(id % 2 == 0)].to_owned()));
        Task {
            key: Some(entry.key.clone()),
            details,
            responsible: Responsible::of(entry.owner, person, &[]),
            is_burn: entry.key == template::BURN,
            ..plain
        }
    });
    let mut fresh = outlook(tasks.collect(), today);
    for (task, row) in fresh.tasks.iter_mut().zip(&fresh.schedule.rows) {
        let key = task.key.as_deref().unwrap();
        if WAITING.contains(&key) {
            (task.state, task.started_on) = (TaskState::Waiting, Some(today - Duration::days(12)));
        } else if row.due < today && !LATE.contains(&key) {
            (task.state, task.done_on) = (TaskState::Done, Some(row.due));
        }
    }
    (key_days(today, Some(7)), outlook(fresh.tasks, today))
}

/// Any plan on any day, with tasks of any length, title, and status.
pub(in crate::countdown) fn any() -> impl Strategy<Value = (KeyDays, Outlook)> {
    let title = "[A-Z][A-Za-z ,’é]{0,110}";
    let one = (0..Strand::ALL.len(), (-400..500i32, 1..120u16), title, 0..4usize, 0..60i64, prop::bool::ANY);
    let plan = (prop::collection::vec(one, 0..60), -300..300i64, prop::option::of(1..60i64));
    plan.prop_map(|(drawn, ahead, rain)| {
        let today = BURN_ON - Duration::days(ahead);
        let mut tasks = vec![Task { is_burn: true, ..task(1, Strand::BurnDay, "Burn the rooms", (0, 1)) }];
        for (id, (strand, times, title, state, ago, is_linked)) in (2..).zip(drawn) {
            let mut next = task(id, Strand::ALL[strand], &title, times);
            let on = Some(today - Duration::days(ago));
            match state {
                0 => {}
                1 => (next.state, next.started_on) = (TaskState::Waiting, on),
                2 => (next.state, next.done_on) = (TaskState::Done, on),
                _ => next.state = TaskState::NotNeeded,
            }
            if is_linked && id > 2 {
                next.details.links.push(LinkTo { earlier: id - 1, lag: 2, basis: Basis::Working });
            }
            tasks.push(next);
        }
        (key_days(today, rain), outlook(tasks, today))
    })
}

/// Left, top, right, bottom.
pub(in crate::countdown) type Rect = [f64; 4];

pub(in crate::countdown) fn overlap(a: Rect, b: Rect) -> bool {
    // Places are drawn to a tenth.
    let more = 0.2;
    a[0] + more < b[2] && b[0] + more < a[2] && a[1] + more < b[3] && b[1] + more < a[3]
}
