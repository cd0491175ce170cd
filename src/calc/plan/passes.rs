//! The forward and the backward pass, in day numbers.

use super::{DueReason, Flat, Plan, PlanStatus, Progress, Row, Schedule, StartReason, Step};
use crate::calc::calendar::{Basis, Calendar, Day, day_number};
use std::cmp::Reverse;
use time::Date;

/// For a start that no earlier task sets.
const NOBODY: usize = usize::MAX;

/// With this many working days of slack or fewer, a task is at risk.
const RISKY: i32 = 2;

/// The result of the forward pass.
pub(super) struct Forward {
    start: Vec<Day>,
    pub(super) finish: Vec<Day>,
    /// The earlier task that sets the start, unless today does.
    set_by: Vec<usize>,
    /// The earliest burn day.
    pub(super) floor: Day,
    floor_set_by: usize,
    /// The index of that task's notice, if a notice sets it.
    floor_notice: Option<usize>,
}

/// The result of the backward pass.
struct Backward {
    start: Vec<Day>,
    due: Vec<Day>,
    because: Vec<DueReason>,
}

impl Plan {
    /// All dates of the plan for a burn day, as of `today`.
    ///
    /// The time is linear in tasks and links.
    ///
    /// ```
    /// use burnday::calc::calendar::{Basis, Calendar};
    /// use burnday::calc::plan::{Lead, Link, Plan, Progress, RainRule, Task};
    /// use time::macros::date;
    ///
    /// let task = |duration, days, links| Task {
    ///     duration,
    ///     basis: Basis::Working,
    ///     lead: Lead { days, basis: Basis::Working },
    ///     notices: vec![],
    ///     links,
    ///     progress: Progress::ToDo,
    ///     rain: RainRule::Keep,
    /// };
    /// let permit_then_burn = Link { earlier: 0, lag: 0, basis: Basis::Calendar };
    /// let plan = Plan::new(vec![task(2, 10, vec![]), task(1, 0, vec![permit_then_burn])], 1).unwrap();
    ///
    /// let seen = plan.schedule(&Calendar::federal(), date!(2027-10-09), date!(2027-09-01));
    /// assert_eq!(seen.rows[0].due, date!(2027-09-27));
    /// assert_eq!(seen.rows[0].latest_start, date!(2027-09-24));
    /// assert_eq!(seen.earliest_burn_day, date!(2027-09-03));
    /// ```
    #[must_use]
    pub fn schedule(&self, calendar: &Calendar, burn_day: Date, today: Date) -> Schedule {
        let (burn_on, now) = (day_number(burn_day), day_number(today));
        let forward = self.forward(calendar, burn_on, now);
        let backward = self.backward(calendar, burn_on);
        Schedule {
            burn_day,
            today,
            earliest_burn_day: calendar.date(forward.floor),
            spare: burn_on - forward.floor,
            held_by: forward.floor_notice.map(|notice| (forward.floor_set_by, notice)),
            chain: self.chain(calendar, &forward, now),
            rows: (0..self.tasks.len()).map(|task| self.row(calendar, &forward, &backward, now, task)).collect(),
        }
    }

    pub(super) fn forward(&self, calendar: &Calendar, burn_on: Day, now: Day) -> Forward {
        let size = self.tasks.len();
        let mut found = Forward {
            start: vec![now; size],
            finish: vec![now; size],
            set_by: vec![NOBODY; size],
            floor: now,
            floor_set_by: NOBODY,
            floor_notice: None,
        };
        for &task in &self.before {
            self.run(calendar, &mut found, now, task);
        }
        self.find_floor(calendar, &mut found, burn_on, now);
        let burns_at = match self.tasks[self.burn].progress {
            Progress::Done(on) => {
                found.floor = burn_on;
                found.floor_set_by = NOBODY;
                found.floor_notice = None;
                day_number(on)
            }
            _ => burn_on.max(found.floor),
        };
        found.start[self.burn] = burns_at;
        found.finish[self.burn] = burns_at;
        for &task in &self.after {
            self.run(calendar, &mut found, now, task);
        }
        found
    }

    /// The start and finish of one task, once those before it are known.
    fn run(&self, calendar: &Calendar, found: &mut Forward, now: Day, index: usize) {
        let task = &self.tasks[index];
        let (start, finish) = match task.progress {
            Progress::Done(on) => (day_number(on), day_number(on)),
            Progress::Started(on) => {
                let start = day_number(on);
                (start, worked_from(calendar, task.basis, last_day(calendar, task, start).max(now)))
            }
            Progress::NotNeeded => {
                let implied = self.implied(index);
                let earlier = implied.iter().chain(self.links(index)).map(|link| link.earlier);
                let latest = earlier.map(|earlier| (found.finish[earlier], Reverse(earlier))).max();
                let through = latest.map_or(now - 1, |(finish, Reverse(earlier))| {
                    found.set_by[index] = earlier;
                    finish
                });
                (through, through)
            }
            Progress::ToDo => {
                let mut start = now;
                for link in self.implied(index).iter().chain(self.links(index)) {
                    let at = step(calendar, found.finish[link.earlier], link);
                    if wins(at, link.earlier, start, found.set_by[index]) {
                        start = at;
                        found.set_by[index] = link.earlier;
                    }
                }
                if task.basis == Basis::Working {
                    start = calendar.nth_after(start, 0);
                }
                (start, last_day(calendar, task, start))
            }
        };
        found.start[index] = start;
        found.finish[index] = finish;
    }

    /// The link to the burn day of a task due after it, if no other link leads there.
    fn implied(&self, task: usize) -> Option<Flat> {
        let linked = || self.links(task).iter().any(|link| self.is_burn_or_after(link.earlier));
        (self.follows_burn[task] && !linked()).then_some(Flat { earlier: self.burn, lag: 0, basis: Basis::Calendar })
    }

    fn is_burn_or_after(&self, task: usize) -> bool {
        task == self.burn || self.follows_burn[task]
    }

    fn find_floor(&self, calendar: &Calendar, found: &mut Forward, burn_on: Day, now: Day) {
        let mut offer = |day: Day, task: usize, notice: Option<usize>| {
            if wins(day, task, found.floor, found.floor_set_by) {
                found.floor = day;
                found.floor_set_by = task;
                found.floor_notice = notice;
            }
        };
        for link in self.links(self.burn) {
            offer(step(calendar, found.finish[link.earlier], link), link.earlier, None);
        }
        for &index in &self.before {
            let task = &self.tasks[index];
            let sent = match task.progress {
                Progress::NotNeeded => continue,
                // What a done task hasn't sent can go out today.
                Progress::Done(_) => now,
                Progress::ToDo | Progress::Started(_) => {
                    offer(found.finish[index] + i32::from(task.lead.days > 0), index, None);
                    found.finish[index]
                }
            };
            for (place, notice) in task.notices.iter().enumerate() {
                if let Some(day) = notice.first_day(calendar, burn_on, sent, now) {
                    offer(day, index, Some(place));
                }
            }
        }
    }

    fn backward(&self, calendar: &Calendar, burn_on: Day) -> Backward {
        let size = self.tasks.len();
        let mut found = Backward {
            start: vec![burn_on; size],
            due: vec![Day::MAX; size],
            because: vec![DueReason::LeadTime; size],
        };
        let usual = self.usual(calendar, burn_on);
        for &task in self.after.iter().rev() {
            self.run_back(calendar, &mut found, burn_on, &usual, task);
        }
        found.due[self.burn] = burn_on;
        found.because[self.burn] = DueReason::BurnDay;
        self.bind_earlier(calendar, &mut found, self.burn);
        for &task in self.before.iter().rev() {
            self.run_back(calendar, &mut found, burn_on, &usual, task);
        }
        found
    }

    /// The latest finish and start of one task, once those after it are known.
    fn run_back(&self, calendar: &Calendar, found: &mut Backward, burn_on: Day, usual: &[Day], index: usize) {
        let task = &self.tasks[index];
        if task.progress == Progress::NotNeeded {
            let bounded = found.due[index] != Day::MAX;
            let due = if bounded { found.due[index] } else { burn_on };
            found.due[index] = if self.follows_burn[index] { due.max(usual[index]) } else { due };
            found.start[index] = found.due[index];
            if bounded {
                self.bind_earlier(calendar, found, index);
            }
            return;
        }
        let own = lead_day(calendar, task, burn_on);
        if own <= found.due[index] {
            found.due[index] = own;
            found.because[index] = DueReason::LeadTime;
        }
        // Notices are given before the burn.
        let notices = if self.follows_burn[index] { &[][..] } else { &task.notices };
        for (place, notice) in notices.iter().enumerate() {
            if let Some(by) = notice.due(calendar, burn_on).filter(|by| *by <= found.due[index]) {
                found.due[index] = by;
                found.because[index] = DueReason::Notice(place);
            }
        }
        if task.basis == Basis::Working {
            found.due[index] = calendar.nth_before(found.due[index], 0);
        }
        if self.follows_burn[index] && usual[index] > found.due[index] {
            found.due[index] = usual[index];
            found.because[index] = DueReason::AsSoonAsPossible;
        }
        found.start[index] = first_day(calendar, task, found.due[index]);
        self.bind_earlier(calendar, found, index);
    }

    /// Applies the latest start of a task to the tasks before it.
    fn bind_earlier(&self, calendar: &Calendar, found: &mut Backward, index: usize) {
        let task = &self.tasks[index];
        if matches!(task.progress, Progress::Done(_)) {
            return;
        }
        for link in self.links(index) {
            if self.follows_burn[link.earlier] != self.follows_burn[index] {
                continue;
            }
            let bound = if task.progress == Progress::NotNeeded {
                found.due[index]
            } else {
                unstep(calendar, found.start[index], link)
            };
            if bound < found.due[link.earlier] {
                found.due[link.earlier] = bound;
                found.because[link.earlier] = DueReason::Before(index);
            }
        }
    }

    /// When each task after the burn day would be finished if the burn is on its day and
    /// everything after it starts as soon as it can. An earlier due date would be impossible.
    fn usual(&self, calendar: &Calendar, burn_on: Day) -> Vec<Day> {
        let mut finish = vec![burn_on; self.tasks.len()];
        for &index in &self.after {
            let task = &self.tasks[index];
            let known = |link: &&Flat| self.is_burn_or_after(link.earlier);
            if task.progress == Progress::NotNeeded {
                let through = self.links(index).iter().filter(known).map(|link| finish[link.earlier]).max();
                finish[index] = through.unwrap_or(burn_on);
                continue;
            }
            let mut start = burn_on + 1;
            for link in self.links(index).iter().filter(known) {
                start = start.max(step(calendar, finish[link.earlier], link));
            }
            finish[index] = last_day(calendar, task, worked_from(calendar, task.basis, start));
        }
        finish
    }

    fn row(&self, calendar: &Calendar, forward: &Forward, backward: &Backward, now: Day, index: usize) -> Row {
        let (finish, due) = (forward.finish[index], backward.due[index]);
        let status = self.status(calendar, finish, due, now, index);
        let settled = matches!(status, PlanStatus::Done | PlanStatus::NotNeeded);
        Row {
            earliest_start: calendar.date(forward.start[index]),
            earliest_finish: calendar.date(finish),
            latest_start: calendar.date(backward.start[index]),
            due: calendar.date(due),
            due_because: backward.because[index],
            slack: (!settled).then(|| match self.tasks[index].basis {
                Basis::Calendar => due - finish,
                Basis::Working => calendar.rank(due) - calendar.rank(finish),
            }),
            status,
        }
    }

    fn status(&self, calendar: &Calendar, finish: Day, due: Day, now: Day, index: usize) -> PlanStatus {
        let task = &self.tasks[index];
        let alone = match task.progress {
            Progress::Done(_) => return PlanStatus::Done,
            Progress::NotNeeded => return PlanStatus::NotNeeded,
            Progress::Started(_) => finish,
            Progress::ToDo => last_day(calendar, task, worked_from(calendar, task.basis, now)),
        };
        if index == self.burn {
            PlanStatus::BurnDay
        } else if due < now {
            PlanStatus::Late
        } else if alone > due {
            PlanStatus::Impossible
        } else if calendar.rank(due + 1) - calendar.rank(finish + 1) <= RISKY {
            PlanStatus::AtRisk
        } else {
            PlanStatus::OnTime
        }
    }

    /// The critical path, found by walking back from what sets the earliest burn day.
    fn chain(&self, calendar: &Calendar, forward: &Forward, now: Day) -> Vec<Step> {
        let mut chain = Vec::new();
        let mut next = forward.floor_set_by;
        while next != NOBODY {
            let task = &self.tasks[next];
            let earlier = forward.set_by[next];
            match task.progress {
                Progress::Done(_) => {
                    if chain.is_empty() && forward.floor_notice.is_some() {
                        chain.push(Step { task: next, because: StartReason::Unsent });
                    }
                    break;
                }
                Progress::Started(on) => {
                    chain.push(Step { task: next, because: StartReason::Started(on) });
                    break;
                }
                Progress::NotNeeded => {
                    next = if forward.finish[next] + 1 > now { earlier } else { NOBODY };
                }
                Progress::ToDo => {
                    let because = match self.links(next).iter().find(|link| link.earlier == earlier) {
                        None => StartReason::Today,
                        Some(link) => {
                            let Flat { lag, basis, .. } = *link;
                            StartReason::After {
                                task: earlier,
                                finish: calendar.date(forward.finish[earlier]),
                                lag,
                                basis,
                            }
                        }
                    };
                    chain.push(Step { task: next, because });
                    next = earlier;
                }
            }
        }
        chain.reverse();
        chain
    }
}

/// Does this day from this task beat the best so far? If days are equal, the task listed first
/// wins, so that the path doesn't depend on the order of links.
fn wins(day: Day, task: usize, best: Day, best_task: usize) -> bool {
    day > best || (day == best && best_task != NOBODY && task < best_task)
}

/// The first day the later task of a link can start.
fn step(calendar: &Calendar, finish: Day, link: &Flat) -> Day {
    match link.basis {
        Basis::Working if link.lag > 0 => calendar.nth_after(finish, link.lag) + 1,
        _ => finish + link.lag + 1,
    }
}

/// The last day the earlier task of a link can finish.
fn unstep(calendar: &Calendar, start: Day, link: &Flat) -> Day {
    match link.basis {
        Basis::Working if link.lag > 0 => calendar.nth_before(start, link.lag) - 1,
        _ => start - 1 - link.lag,
    }
}

fn worked_from(calendar: &Calendar, basis: Basis, day: Day) -> Day {
    if basis == Basis::Working { calendar.nth_after(day, 0) } else { day }
}

/// The last day of a task that starts on a day.
fn last_day(calendar: &Calendar, task: &super::Task, start: Day) -> Day {
    let days = i32::from(task.duration.max(1)) - 1;
    match task.basis {
        Basis::Calendar => start + days,
        Basis::Working if days == 0 => calendar.nth_after(start, 0),
        Basis::Working => calendar.nth_after(calendar.nth_after(start, 0), days),
    }
}

/// The first day of a task that finishes on a day.
fn first_day(calendar: &Calendar, task: &super::Task, finish: Day) -> Day {
    let days = i32::from(task.duration.max(1)) - 1;
    match task.basis {
        Basis::Calendar => finish - days,
        Basis::Working => calendar.nth_before(calendar.nth_before(finish, 0), days),
    }
}

/// The day a task's own lead time asks for. A closed day moves away from the burn day: back
/// before it, and forward after it, where back could be before the burn.
fn lead_day(calendar: &Calendar, task: &super::Task, burn_on: Day) -> Day {
    let days = task.lead.days;
    let working = task.basis == Basis::Working;
    match task.lead.basis {
        Basis::Working if days >= 0 => calendar.nth_before(burn_on, days),
        Basis::Working => calendar.nth_after(burn_on, -days),
        Basis::Calendar if !working => burn_on - days,
        Basis::Calendar if days >= 0 => calendar.nth_before(burn_on - days, 0),
        Basis::Calendar => calendar.nth_after(burn_on - days, 0),
    }
}
