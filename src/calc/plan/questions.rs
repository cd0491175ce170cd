//! Questions an education officer has about a plan. Each answer carries its reason as data, and
//! the pages put it into words.

use super::{Plan, Progress, RainRule, Step};
use crate::calc::calendar::{Calendar, day_number};
use crate::calc::notice::Notice;
use time::{Date, Duration, Weekday};

/// The earliest burn day, and why it can't be sooner.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Earliest {
    /// The first possible day that is on an allowed weekday.
    pub on: Date,
    /// The first possible day on any weekday.
    pub floor: Date,
    /// The task and the index of its notice, if a notice sets that day.
    pub held_by: Option<(usize, usize)>,
    /// The critical path: the tasks that set it, first to last.
    pub chain: Vec<Step>,
    /// The task on the critical path that takes the most days, including the wait after it.
    pub binding: Option<Binding>,
}

/// The task that counts most on the critical path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Binding {
    /// The task's index.
    pub task: usize,
    /// Days it takes on the path, from its start until the next task can start.
    pub days: i32,
    /// Days gained for the first possible burn day if this task is finished one day sooner (a
    /// working day, if its effort is counted in those).
    pub buys: i32,
    /// If that gains nothing, the task that sets the date instead. None then means that closed
    /// days use up the gain.
    pub instead: Option<usize>,
    /// The first allowed weekday in that case.
    pub on: Date,
}

/// What changing the burn day does to one task.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moved {
    /// The task's index.
    pub task: usize,
    /// Its due date before the change.
    pub old_due: Date,
    /// Its due date after it.
    pub new_due: Date,
    /// It isn't done, and its new due date would already have passed.
    pub passed: bool,
    /// It is done or started, and must be done again.
    pub redo: bool,
    /// It is done or started, and someone must be told that it moves.
    pub tell: bool,
}

/// What changing the burn day does.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Move {
    /// Days by which the burn day moves; negative for an earlier one.
    pub days: i64,
    /// The earliest burn day, counting what must be done again.
    pub earliest_burn_day: Date,
    /// The plan's slack: days from that day to the new burn day. Negative if it can't be met.
    pub spare: i32,
    /// The task and the index of its notice, if a notice sets that day.
    pub held_by: Option<(usize, usize)>,
    /// The critical path: the tasks that set that day, first to last.
    pub chain: Vec<Step>,
    /// Every task that is needed, in the order the tasks were given.
    pub tasks: Vec<Moved>,
}

impl Plan {
    /// The earliest possible burn day on one of the allowed weekdays, if work continues today. An
    /// empty list allows every weekday.
    ///
    /// ```
    /// use burnday::calc::calendar::{Basis, Calendar};
    /// use burnday::calc::plan::{Lead, Link, Plan, Progress, RainRule, Task};
    /// use time::Weekday;
    /// use time::macros::date;
    ///
    /// let task = |duration, links| Task {
    ///     duration,
    ///     basis: Basis::Working,
    ///     lead: Lead { days: 0, basis: Basis::Working },
    ///     notices: vec![],
    ///     links,
    ///     progress: Progress::ToDo,
    ///     rain: RainRule::Keep,
    /// };
    /// let permit_then_burn = Link { earlier: 0, lag: 0, basis: Basis::Calendar };
    /// let plan = Plan::new(vec![task(2, vec![]), task(1, vec![permit_then_burn])], 1).unwrap();
    ///
    /// // From Wednesday two days for the permit, and then the next Saturday.
    /// let found = plan.earliest(&Calendar::federal(), date!(2027-09-01), &[Weekday::Saturday]);
    /// assert_eq!((found.floor, found.on), (date!(2027-09-03), date!(2027-09-04)));
    /// ```
    #[must_use]
    pub fn earliest(&self, calendar: &Calendar, today: Date, allowed: &[Weekday]) -> Earliest {
        let named = self.named(today);
        // A notice that was given for a day no longer limits that day, but it limits every other.
        let mut counted_on = today;
        while let Some(before) = counted_on.previous_day().filter(|_| named.contains(&counted_on)) {
            counted_on = before;
        }
        let mut seen = self.schedule(calendar, counted_on, today);
        let mut on = next_allowed(seen.earliest_burn_day, allowed);
        for day in named.into_iter().filter(|day| next_allowed(*day, allowed) == *day) {
            let then = self.schedule(calendar, day, today);
            if day < on && then.spare >= 0 {
                (on, counted_on, seen) = (day, day, then);
            }
        }
        let binding = Self::heaviest(&seen.chain, &seen).map(|(task, days)| {
            let sooner = self.finished_a_day_sooner(task).schedule(calendar, counted_on, today);
            let in_chain = |chain: &[Step], task: usize| chain.iter().any(|step| step.task == task);
            let rival = sooner.chain.iter().rev().map(|step| step.task).find(|&other| !in_chain(&seen.chain, other));
            Binding {
                task,
                days,
                buys: day_number(seen.earliest_burn_day) - day_number(sooner.earliest_burn_day),
                instead: rival.filter(|_| sooner.earliest_burn_day == seen.earliest_burn_day),
                on: next_allowed(sooner.earliest_burn_day, allowed),
            }
        });
        Earliest { on, floor: seen.earliest_burn_day, held_by: seen.held_by, chain: seen.chain, binding }
    }

    /// The days from `today` on that are named in a notice that was sent, in order.
    fn named(&self, today: Date) -> Vec<Date> {
        let notices = self.tasks.iter().flat_map(|task| &task.notices);
        let mut named: Vec<Date> = notices.flat_map(Notice::named).filter(|day| *day >= today).collect();
        named.sort_unstable();
        named.dedup();
        named
    }

    /// The task that takes longest on the path. If two take equally long, the earlier one.
    fn heaviest(chain: &[Step], seen: &super::Schedule) -> Option<(usize, i32)> {
        let starts = chain.iter().map(|step| seen.rows[step.task].earliest_start);
        let ends = starts.clone().skip(1).chain([seen.earliest_burn_day]);
        let spans = chain.iter().zip(starts).zip(ends).map(|((step, start), end)| {
            let days = day_number(end) - day_number(start);
            (step.task, days)
        });
        spans.reduce(|best, next| if next.1 > best.1 { next } else { best })
    }

    /// The same plan with one task finished a day sooner.
    fn finished_a_day_sooner(&self, task: usize) -> Self {
        let mut tasks = self.tasks.clone();
        if tasks[task].duration > 1 {
            tasks[task].duration -= 1;
            return self.with(tasks);
        }
        // A one-day task can't be shorter, but what follows it can wait less.
        for link in tasks.iter_mut().flat_map(|later| &mut later.links).filter(|link| link.earlier == task) {
            link.lag = link.lag.saturating_sub(1);
        }
        self.with(tasks)
    }

    /// Everything that waits for this task and is neither done nor not needed, including the burn
    /// day, in the order the tasks were given.
    #[must_use]
    pub fn holds_up(&self, task: usize) -> Vec<usize> {
        let mut waits = vec![false; self.tasks.len()];
        waits[task] = true;
        // Tasks come after the ones they wait for, so one walk in order is enough.
        let order = self.before.iter().chain([&self.burn]).chain(&self.after);
        for &later in order.filter(|later| **later != task) {
            let done = matches!(self.tasks[later].progress, Progress::Done(_));
            waits[later] = !done && self.waits_for(later, &waits);
        }
        (0..self.tasks.len())
            .filter(|&later| later != task && waits[later] && self.tasks[later].progress != Progress::NotNeeded)
            .collect()
    }

    fn waits_for(&self, later: usize, these: &[bool]) -> bool {
        let linked = self.tasks[later].links.iter().any(|link| these[link.earlier]);
        // The burn day waits for everything before it, and everything due after it waits for the
        // burn day.
        let implied = (later == self.burn && self.before.iter().any(|&task| these[task]))
            || (self.tasks[later].lead.days < 0 && these[self.burn]);
        linked || implied
    }

    /// What changing the burn day from one day to another does, as of today. A task that is done
    /// or started and must be redone counts as to do, unless it is among the `kept`.
    ///
    /// ```
    /// use burnday::calc::calendar::{Basis, Calendar};
    /// use burnday::calc::plan::{Lead, Link, Plan, Progress, RainRule, Task};
    /// use time::macros::date;
    ///
    /// let task = |progress, links| Task {
    ///     duration: 1,
    ///     basis: Basis::Working,
    ///     lead: Lead { days: 3, basis: Basis::Calendar },
    ///     notices: vec![],
    ///     links,
    ///     progress,
    ///     rain: RainRule::Redo,
    /// };
    /// let rooms_then_burn = Link { earlier: 0, lag: 0, basis: Basis::Calendar };
    /// let rooms = task(Progress::Done(date!(2027-09-01)), vec![]);
    /// let plan = Plan::new(vec![rooms, task(Progress::ToDo, vec![rooms_then_burn])], 1).unwrap();
    ///
    /// let days = (date!(2027-10-09), date!(2027-10-16));
    /// let found = plan.moved(&Calendar::federal(), date!(2027-09-07), days, &[]);
    /// assert_eq!(found.days, 7);
    /// assert!(found.tasks[0].redo);
    /// assert_eq!(found.tasks[0].new_due, date!(2027-10-13));
    /// ```
    #[must_use]
    pub fn moved(&self, calendar: &Calendar, today: Date, (from, to): (Date, Date), kept: &[usize]) -> Move {
        let begun = |task: usize| matches!(self.tasks[task].progress, Progress::Done(_) | Progress::Started(_));
        let redone = |task: usize| begun(task) && self.tasks[task].rain == RainRule::Redo && task != self.burn;
        let mut tasks = self.tasks.clone();
        for task in (0..self.tasks.len()).filter(|task| redone(*task) && !kept.contains(task)) {
            tasks[task].progress = Progress::ToDo;
        }
        let again = self.with(tasks);
        let old = self.schedule(calendar, from, today);
        let new = again.schedule(calendar, to, today);
        let needed = (0..self.tasks.len()).filter(|&task| self.tasks[task].progress != Progress::NotNeeded);
        let tasks = needed.map(|task| Moved {
            task,
            old_due: old.rows[task].due,
            new_due: new.rows[task].due,
            passed: task != self.burn
                && !matches!(again.tasks[task].progress, Progress::Done(_))
                && new.rows[task].due < today,
            redo: redone(task),
            tell: begun(task) && self.tasks[task].rain == RainRule::Shift && task != self.burn,
        });
        Move {
            days: (to - from).whole_days(),
            earliest_burn_day: new.earliest_burn_day,
            spare: new.spare,
            held_by: new.held_by,
            tasks: tasks.collect(),
            chain: new.chain,
        }
    }
}

fn next_allowed(from: Date, allowed: &[Weekday]) -> Date {
    let is_allowed = |day: &Date| allowed.is_empty() || allowed.contains(&day.weekday());
    (0..7).filter_map(|ahead| from.checked_add(Duration::days(ahead))).find(is_allowed).unwrap_or(from)
}
