//! The first line of the countdown: what is late and does the most harm, by name.

use super::places::DueLine;
use super::{Due, Outlook, explain};
use crate::accounts::User;
use crate::calc::plan::PlanStatus;
use crate::web::words;
use std::cmp::Reverse;

/// So many other late things are named beside the worst.
const NAMED: usize = 2;

/// Something that is late.
#[derive(Debug)]
pub(super) struct Late {
    pub title: String,
    pub href: String,
    /// "2 working days overdue".
    pub overdue: String,
    pub who: String,
    /// What harm it does, as a sentence; may be empty.
    pub harm: String,
    /// For scripts and tests: "critical path", "holds up" or "late".
    pub why: &'static str,
}

/// The worst of what is late, and what else is.
#[derive(Debug)]
pub(super) struct Worst {
    pub first: Late,
    pub also: Vec<Late>,
    /// There is more than these.
    pub more: bool,
}

/// What counts when late things are compared: being on the critical path, then how many
/// tasks wait, then how many days late. The list of what to do uses it, too.
pub(super) type Harm = (bool, usize, i64);

/// The worst of these late tasks and of what other places report as due; none if nothing
/// is late.
pub(super) fn worst(event_id: i64, outlook: &Outlook, tasks: &[usize], due: &[&DueLine], user: &User) -> Option<Worst> {
    let tasks = tasks.iter().filter_map(|&place| of_task(event_id, outlook, place));
    let due = due.iter().filter_map(|line| of_due(outlook, line, user));
    let mut all: Vec<(Harm, Late)> = tasks.chain(due).collect();
    all.sort_by_key(|(harm, _)| Reverse(*harm));
    let mut all = all.into_iter().map(|(_, late)| late);
    let first = all.next()?;
    let also = all.by_ref().take(NAMED).collect();
    Some(Worst { first, also, more: all.next().is_some() })
}

/// The harm of a late task; none if it isn't late.
pub(super) fn of_late(outlook: &Outlook, place: usize) -> Option<Harm> {
    let (_, row) = outlook.row(place);
    let is_critical = outlook.schedule.chain.iter().any(|step| step.task == place);
    let harm = (is_critical, explain::held_up(outlook, place), (outlook.today - row.due).whole_days());
    (row.status == PlanStatus::Late).then_some(harm)
}

/// The same of what another place reports.
pub(super) fn of_overdue(outlook: &Outlook, due: &Due) -> Option<Harm> {
    let days = (outlook.today - due.on).whole_days();
    (days > 0).then_some((false, 0, days))
}

fn of_task(event_id: i64, outlook: &Outlook, place: usize) -> Option<(Harm, Late)> {
    let (task, row) = outlook.row(place);
    let harm = of_late(outlook, place)?;
    let (is_critical, held, _) = harm;
    let tasks = words::count(held, "later task", "later tasks");
    let (says, why) = match (is_critical, held) {
        (true, 0) => ("On the critical path.".to_owned(), "critical path"),
        (true, _) => (format!("On the critical path: {tasks} can't start until it is done."), "critical path"),
        (false, 0) => (String::new(), "late"),
        (false, _) => (format!("{tasks} can't start until it is done."), "holds up"),
    };
    let late = Late {
        title: task.details.title.clone(),
        href: format!("/events/{event_id}/tasks/{}", task.id),
        overdue: explain::overdue(outlook, task, row),
        who: task.who().to_owned(),
        harm: says,
        why,
    };
    Some((harm, late))
}

fn of_due(outlook: &Outlook, line: &DueLine, user: &User) -> Option<(Harm, Late)> {
    let harm = of_overdue(outlook, &line.due)?;
    let days = usize::try_from(harm.2).unwrap_or(usize::MAX);
    let late = Late {
        title: line.due.title.clone(),
        href: line.due.href.clone(),
        overdue: format!("{} overdue", words::count(days, "day", "days")),
        who: line.responsible.says().to_owned(),
        harm: line.due.beneath_for(user),
        why: "late",
    };
    Some((harm, late))
}
