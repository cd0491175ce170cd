//! Puts what the plan finds about a task into words. The findings come from `calc::plan`.

use super::{Outlook, Task, TaskState, lead_says};
use crate::calc::calendar::Basis;
use crate::calc::plan::{DueReason, PlanStatus, Row};
use crate::permit_records;
use crate::web::words::{self, Reader};
use time::{Date, Duration};

/// "2 working days overdue", "Fri, Nov 27", "done Mon, Nov 2".
pub(super) fn due(outlook: &Outlook, task: &Task, row: &Row) -> String {
    let today = outlook.today;
    match row.status {
        PlanStatus::Done => format!("done {}", Reader::App.near_day(task.done_on.unwrap_or(row.due), today)),
        PlanStatus::NotNeeded => "not needed".to_owned(),
        PlanStatus::Late => overdue(outlook, task, row),
        _ if row.due == today => "today".to_owned(),
        _ => Reader::App.near_day(row.due, today),
    }
}

/// "2 working days overdue".
pub(super) fn overdue(outlook: &Outlook, task: &Task, row: &Row) -> String {
    match days_late(outlook, task, row) {
        Some(days) => format!("{} overdue", words::days(days, task.details.basis)),
        None => format!("overdue since {}", Reader::App.near_day(row.due, outlook.today)),
    }
}

impl Outlook {
    /// "2 working days overdue"; none unless the task is late.
    #[must_use]
    pub fn overdue(&self, id: i64) -> Option<String> {
        let (task, row) = self.row(self.place(id)?);
        (row.status == PlanStatus::Late).then(|| overdue(self, task, row))
    }
}

/// How many days late a late task is, counted as it counts days; none if no such day has
/// passed yet.
fn days_late(outlook: &Outlook, task: &Task, row: &Row) -> Option<u32> {
    let days = match task.details.basis {
        Basis::Calendar => i32::try_from((outlook.today - row.due).whole_days()).unwrap_or(i32::MAX),
        // From the day after it was due through today.
        Basis::Working => {
            let next = |day: Date| day.next_day().unwrap_or(day);
            outlook.calendar.count(next(row.due), next(outlook.today))
        }
    };
    u32::try_from(days).ok().filter(|days| *days > 0)
}

/// How many tasks before burn day wait for this one, directly or not.
pub(super) fn held_up(outlook: &Outlook, place: usize) -> usize {
    let held = outlook.plan.holds_up(place);
    held.iter().filter(|&&later| !outlook.plan.follows_burn(later) && later != outlook.plan.burn()).count()
}

/// A short note on a task that isn't simply on time.
pub(super) fn warning(outlook: &Outlook, task: &Task, row: &Row) -> Option<String> {
    let takes = words::days(u32::from(task.details.duration), task.details.basis);
    match row.status {
        PlanStatus::Impossible => Some(format!("can't be finished in time: takes {takes}")),
        PlanStatus::AtRisk => Some(match row.slack {
            Some(slack @ ..0) => {
                let short = words::days(slack.unsigned_abs(), task.details.basis);
                format!("earlier tasks run {short} over")
            }
            Some(0) | None => "no slack".to_owned(),
            Some(slack) => format!("{} of slack", words::days(slack.unsigned_abs(), task.details.basis)),
        }),
        PlanStatus::Late if task.state == TaskState::Waiting => Some(format!(
            "waiting since {}",
            Reader::App.near_day(task.started_on.unwrap_or(outlook.today), outlook.today)
        )),
        _ => None,
    }
}

/// A task's status, in a word or two.
pub(super) fn status(row: &Row) -> &'static str {
    match row.status {
        PlanStatus::Done => "done",
        PlanStatus::NotNeeded => "not needed",
        PlanStatus::BurnDay => "burn day",
        PlanStatus::Late => "late",
        PlanStatus::Impossible => "can't be on time",
        PlanStatus::AtRisk => "at risk",
        PlanStatus::OnTime => "on time",
    }
}

/// Why a task is due when it is.
pub(super) fn due_reason(outlook: &Outlook, task: &Task, row: &Row) -> String {
    match row.due_because {
        DueReason::BurnDay => "This is burn day.".to_owned(),
        DueReason::LeadTime => lead_time(outlook, task, row),
        DueReason::Notice(place) => {
            let known = &task.notices[place];
            let burn_on = outlook.schedule.burn_day;
            let by = permit_records::deadline_says(known.notice.rule, &outlook.calendar, burn_on, outlook.today);
            format!("“{}” {by}.", known.title)
        }
        DueReason::Before(later) => {
            let (later, dates) = outlook.row(later);
            format!(
                "“{}” waits for this and must start by {}.",
                later.details.title,
                Reader::App.near_day(dates.latest_start, outlook.today)
            )
        }
        DueReason::AsSoonAsPossible => "As soon after burn day as the earlier tasks allow.".to_owned(),
    }
}

/// The same for scripts and tests.
pub(super) fn due_mark(row: &Row) -> &'static str {
    match row.due_because {
        DueReason::BurnDay => "burn-day",
        DueReason::LeadTime => "lead-time",
        DueReason::Notice(_) => "notice",
        DueReason::Before(_) => "later-task",
        DueReason::AsSoonAsPossible => "earlier-tasks",
    }
}

/// The closed day a lead time ends on, if that makes the task due before it.
pub(super) fn closed(outlook: &Outlook, task: &Task, row: &Row) -> Option<Date> {
    let lead = task.details.lead;
    let counted = match lead.basis {
        Basis::Working if lead.days != 0 => row.due,
        Basis::Working | Basis::Calendar => outlook.schedule.burn_day - Duration::days(i64::from(lead.days)),
    };
    (row.due_because == DueReason::LeadTime && counted != row.due).then_some(counted)
}

/// The lead time, and what moving back to a working day did to it.
fn lead_time(outlook: &Outlook, task: &Task, row: &Row) -> String {
    let (lead, burn_on) = (task.details.lead, outlook.schedule.burn_day);
    let Some(counted) = closed(outlook, task, row) else {
        return format!("Lead time: {}.", lead_says(lead));
    };
    let day = |date| Reader::App.near_day(date, outlook.today);
    let counts = if lead.days == 0 { "Burn day".to_owned() } else { lead_says(lead) };
    let away = (burn_on - row.due).whole_days();
    let days = words::days(u32::try_from(away.unsigned_abs()).unwrap_or(u32::MAX), Basis::Calendar);
    let side = if away < 0 { "after" } else { "before" };
    format!("{counts} is {}, not a working day, so this is due {}, {days} {side}.", day(counted), day(row.due))
}
