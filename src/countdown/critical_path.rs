//! The box under the timeline: what sets the date, and how much slack there is.

use super::earliest::Holding;
use super::{Outlook, TaskState};
use crate::calc::calendar::Basis;
use crate::calc::plan::{StartReason, Step};
use crate::web::words::{self, Reader};

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
    let holding = Holding::of(outlook, schedule.held_by);
    let parts = [then, holding.says];
    let then = parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ");
    ChainNote { calm: schedule.spare > 2, heading, path, then, steps, held_by: holding.title, ..note }
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
