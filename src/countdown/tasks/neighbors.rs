//! The tasks just before and after another in the plan, and what waits for it.

use crate::calc::calendar::Basis;
use crate::countdown::{Outlook, Task, explain};
use crate::web::words::{self, Reader};

/// A task just before or after another in the plan.
#[derive(Debug)]
pub(super) struct Neighbor {
    pub id: i64,
    pub title: String,
    pub state: &'static str,
    pub lag: String,
    pub when: String,
}

fn neighbor(outlook: &Outlook, place: usize, lag: u16, basis: Basis) -> Neighbor {
    let (task, row) = outlook.row(place);
    Neighbor {
        id: task.id,
        title: task.details.title.clone(),
        state: task.state.as_str(),
        lag: if lag == 0 { String::new() } else { format!("{} of waiting", words::days(u32::from(lag), basis)) },
        when: if task.is_burn {
            Reader::App.near_day(row.due, outlook.today)
        } else {
            explain::due(outlook, task, row)
        },
    }
}

/// What a task waits for.
pub(super) fn earlier(outlook: &Outlook, task: &Task) -> Vec<Neighbor> {
    let links = task.details.links.iter();
    links.filter_map(|link| Some(neighbor(outlook, outlook.place(link.earlier)?, link.lag, link.basis))).collect()
}

/// What waits for a task.
pub(super) fn later(outlook: &Outlook, task: &Task) -> Vec<Neighbor> {
    let waits = |later: &Task| later.details.links.iter().find(|link| link.earlier == task.id).cloned();
    let places = 0..outlook.tasks.len();
    places.filter_map(|place| waits(&outlook.tasks[place]).map(|l| neighbor(outlook, place, l.lag, l.basis))).collect()
}

/// How much can't be done before a task is, in words; empty for nothing.
pub(super) fn holds_up(outlook: &Outlook, place: usize) -> String {
    let held = outlook.plan.holds_up(place);
    let before = held.iter().filter(|&&place| !outlook.plan.follows_burn(place) && place != outlook.plan.burn());
    let burn = if held.contains(&outlook.plan.burn()) { " and the burn itself" } else { "" };
    match before.count() {
        0 if burn.is_empty() => String::new(),
        0 => "the burn itself".to_owned(),
        n => format!("{}{burn}", words::count(n, "task before burn day", "tasks before burn day")),
    }
}
