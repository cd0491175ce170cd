//! What there is to do on the countdown, and in which order.

use super::late::{Harm, of_late, of_overdue};
use super::line::Line;
use super::places::DueLine;
use super::{Outlook, Task, TaskState};
use crate::accounts::User;
use crate::calc::plan::PlanStatus;
use std::cmp::Reverse;
use time::{Date, Duration};

/// How many tasks to list as next: neither late nor due this week.
const NEXT: usize = 6;
/// Whatever is due from today through six days ahead is to do now.
pub(super) const WEEK: Duration = Duration::days(6);

/// What there is to do: indexes of tasks, each part sorted by due date.
pub(super) struct Agenda {
    /// Late, or due within seven days.
    pub now: Vec<usize>,
    /// How many of those are late.
    pub late: usize,
    /// A few more that can start, and if those are few, some that can't yet.
    pub next: Vec<usize>,
    pub later: Vec<usize>,
    pub waiting: Vec<usize>,
}

impl Agenda {
    pub fn of(outlook: &Outlook, chosen: impl Fn(&Task) -> bool) -> Self {
        let mut open: Vec<usize> = (0..outlook.tasks.len())
            .filter(|&place| outlook.tasks[place].is_open() && !outlook.tasks[place].is_burn)
            .filter(|&place| chosen(&outlook.tasks[place]))
            .collect();
        open.sort_by_key(|&place| (outlook.schedule.rows[place].due, place));
        let (waiting, todo): (Vec<usize>, Vec<usize>) =
            open.into_iter().partition(|&place| outlook.tasks[place].state == TaskState::Waiting);
        let week_ends = outlook.today + WEEK;
        let (now, rest): (Vec<usize>, Vec<usize>) =
            todo.into_iter().partition(|&place| outlook.schedule.rows[place].due <= week_ends);
        let late = now.iter().filter(|&&place| outlook.schedule.rows[place].status == PlanStatus::Late).count();
        let (mut next, mut later): (Vec<usize>, Vec<usize>) =
            rest.into_iter().partition(|&place| outlook.can_start(place));
        next.truncate(NEXT);
        later.truncate(NEXT.saturating_sub(next.len()));
        Self { now, late, next, later, waiting }
    }

    /// The lines of `now`, with what other places report among them: what is late first, the
    /// worst of it at the top, then by due date.
    pub fn with(&self, due: &[&DueLine], lines: Vec<Line>, user: &User, outlook: &Outlook) -> Vec<Line> {
        let order = |harm: Option<Harm>, on: Date| (harm.is_none(), Reverse(harm), on);
        let tasks = self.now.iter().map(|&place| order(of_late(outlook, place), outlook.schedule.rows[place].due));
        let mut all: Vec<_> = tasks.zip(lines).collect();
        let elsewhere = due.iter().map(|line| {
            (order(of_overdue(outlook, &line.due), line.due.on), Line::elsewhere(line, user, outlook.today))
        });
        all.extend(elsewhere);
        all.sort_by_key(|(order, _)| *order);
        all.into_iter().map(|(_, line)| line).collect()
    }
}
