//! Puts what the plan finds into words. The findings come from `calc::plan`.

use super::{Outlook, Task, TaskState};
use crate::calc::calendar::Basis;
use crate::calc::notice;
use crate::calc::plan::{DueReason, PlanStatus, Row, StartReason, Step};
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
        return format!("Lead time: {}.", super::lead_says(lead));
    };
    let day = |date| Reader::App.near_day(date, outlook.today);
    let counts = if lead.days == 0 { "Burn day".to_owned() } else { super::lead_says(lead) };
    let away = (burn_on - row.due).whole_days();
    let days = words::days(u32::try_from(away.unsigned_abs()).unwrap_or(u32::MAX), Basis::Calendar);
    let side = if away < 0 { "after" } else { "before" };
    format!("{counts} is {}, not a working day, so this is due {}, {days} {side}.", day(counted), day(row.due))
}

/// The notice that sets the date, in words: "The notice period for “Burn permit” sets
/// the date: 10 working days before, counted when sent."
pub(super) fn holds(outlook: &Outlook, held_by: Option<(usize, usize)>) -> String {
    held_by.map_or_else(String::new, |(task, notice)| {
        let known = &outlook.tasks[task].notices[notice];
        holds_says(&known.title, known.notice.rule)
    })
}

/// The title of the notice that sets the date, or nothing if none does.
pub(super) fn holder(outlook: &Outlook, held_by: Option<(usize, usize)>) -> String {
    held_by.map_or_else(String::new, |(task, notice)| outlook.tasks[task].notices[notice].title.clone())
}

pub(super) fn holds_says(title: &str, rule: notice::Rule) -> String {
    format!("The notice period for “{title}” sets the date: {}.", permit_records::notice_says(rule))
}

/// The box under the timeline: what sets the date, and how much slack there is.
#[derive(Debug)]
pub(super) struct ChainNote {
    pub calm: bool,
    pub heading: String,
    /// Titles along the critical path, shortened in the middle.
    pub path: Vec<String>,
    pub then: String,
    pub steps: Vec<ChainStep>,
    /// Days from the first possible burn day to burn day; negative when the plan can't
    /// meet it.
    pub spare: i32,
    /// That first day, in ISO form.
    pub earliest: String,
    /// The title of the notice that sets it, or nothing.
    pub held_by: String,
    /// Once the burn is over: how many tasks are left.
    pub left: Option<usize>,
}

/// One step of the critical path.
#[derive(Debug)]
pub(super) struct ChainStep {
    pub id: i64,
    pub title: String,
    pub when: String,
    pub because: String,
}

/// With this many days of slack or fewer, name the next task on the critical path.
const NEAR: i32 = 10;

/// What sets the date, and how much slack that leaves.
pub(super) fn chain(outlook: &Outlook) -> ChainNote {
    let schedule = &outlook.schedule;
    let day = |date| Reader::App.near_day(date, outlook.today);
    let burn = day(schedule.burn_day);
    let spare = words::days(schedule.spare.unsigned_abs(), Basis::Calendar);
    let steps: Vec<ChainStep> = schedule.chain.iter().map(|step| chain_step(outlook, step)).collect();
    let path = path(&steps);
    let note = ChainNote {
        calm: true,
        heading: String::new(),
        path: Vec::new(),
        then: String::new(),
        steps: Vec::new(),
        spare: schedule.spare,
        earliest: words::iso(schedule.earliest_burn_day),
        held_by: String::new(),
        left: None,
    };
    if outlook.today > schedule.burn_day {
        let left = outlook.tasks.iter().filter(|task| task.is_open() && !task.is_burn).count();
        let heading = match left {
            0 => "The burn is over. Nothing is left to do.".to_owned(),
            left => format!("The burn is over. {} left.", words::count(left, "task is", "tasks are")),
        };
        return ChainNote { heading, left: Some(left), ..note };
    }
    let Some(first) = schedule.chain.first() else {
        let heading = format!("No task holds up burn day, {burn}.");
        return ChainNote { heading, path, steps, ..note };
    };
    let is_unsent = first.because == StartReason::Unsent;
    let (first, dates) = outlook.row(first.task);
    let by = day(dates.earliest_finish);
    let heading = match schedule.spare {
        ..0 => format!("The plan is {spare} too long for {burn}."),
        0 => "Burn day has no slack.".to_owned(),
        _ => format!("Burn day has {spare} of slack."),
    };
    let title = &first.details.title;
    let then = match schedule.spare {
        ..0 => format!(
            "The earliest possible burn day is {}. Finish a task on the critical path sooner, or change the date.",
            day(schedule.earliest_burn_day)
        ),
        0.. if is_unsent => format!("“{title}” is done, but its notice for {burn} hasn't been sent."),
        0 => format!("Finish “{title}” by {by}, or the date has to change."),
        1..=NEAR => format!("That counts on finishing “{title}” by {by}."),
        _ => String::new(),
    };
    let parts = [then, holds(outlook, schedule.held_by)];
    let then = parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ");
    let held_by = holder(outlook, schedule.held_by);
    ChainNote { calm: schedule.spare > 2, heading, path, then, steps, held_by, ..note }
}

/// At most five titles: the first and last say the most.
fn path(steps: &[ChainStep]) -> Vec<String> {
    let titles: Vec<String> = steps.iter().map(|step| step.title.clone()).collect();
    if titles.len() <= 5 {
        return titles;
    }
    let between = format!("{} more", titles.len() - 4);
    [&titles[..3], &[between], &titles[titles.len() - 1..]].concat()
}

fn chain_step(outlook: &Outlook, step: &Step) -> ChainStep {
    let (task, row) = outlook.row(step.task);
    let day = |date| Reader::App.near_day(date, outlook.today);
    let because = match step.because {
        StartReason::Today => "can start now".to_owned(),
        StartReason::Unsent => "done, but a notice for this burn day hasn't been sent".to_owned(),
        StartReason::Started(on) if task.state == TaskState::Waiting => format!("waiting since {}", day(on)),
        StartReason::Started(on) => format!("started {}", day(on)),
        StartReason::After { task: earlier, finish, lag, basis } => {
            let (earlier, _) = outlook.row(earlier);
            let done = if earlier.is_open() { "projected finish" } else { "done" };
            let wait = match u32::try_from(lag) {
                Ok(lag @ 1..) => format!(", then {} of waiting", words::days(lag, basis)),
                _ => String::new(),
            };
            format!("after “{}” ({done} {}){wait}", earlier.details.title, day(finish))
        }
    };
    let when = if row.earliest_start == row.earliest_finish {
        day(row.earliest_finish)
    } else {
        format!("{} to {}", day(row.earliest_start), day(row.earliest_finish))
    };
    ChainStep { id: task.id, title: task.details.title.clone(), when, because }
}
