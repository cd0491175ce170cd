//! The plan: tasks counted back from burn day, and what follows from them.
//!
//! It answers two questions from the same tasks and links, and they differ on purpose:
//!
//! - **When is each task due?** The latest finish that keeps the task's own lead time and leaves
//!   every later task enough time ([`Row::due`]). Lead times are good practice: a task can be
//!   late and the burn day can still be met.
//! - **What is the earliest possible burn day?** The one that links, lags, and notice periods
//!   leave no way around ([`Schedule::earliest_burn_day`]). Ordinary lead times don't count here.
//!
//! A task takes whole days, including its start and its finish, and the next task starts on a
//! later day. A lag is time spent waiting for someone else: after a task finished on day 1, a
//! lag of 30 calendar days lets the next one start on day 32.
//!
//! This is the critical path method (a forward and a backward pass over a network of
//! activities; Kelley and Walker, 1959), with calendar and working days mixed. Each pass visits
//! every task and link once.

mod passes;
mod questions;

use crate::calc::calendar::Basis;
use crate::calc::notice::Notice;
use petgraph::algo::{tarjan_scc, toposort};
use petgraph::graph::{DiGraph, NodeIndex};
use time::Date;

pub use questions::{Binding, Earliest, Move, Moved};

/// The most tasks in a plan. A plan with more is refused.
pub const MOST_TASKS: usize = 20_000;
/// The longest lead time, duration, or lag. A plan with a longer one is refused.
pub const MOST_DAYS: u16 = 2_000;

/// How long before burn day a task must be finished.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lead {
    /// Days before burn day; negative for days after it.
    pub days: i32,
    /// How those days are counted.
    pub basis: Basis,
}

/// A link: the task can start when an earlier one is finished and the lag is over.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Link {
    /// Index of the earlier task.
    pub earlier: usize,
    /// Days of waiting between the earlier finish and this start.
    pub lag: u16,
    /// How those days are counted.
    pub basis: Basis,
}

/// What a rain date does to a task that is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RainRule {
    /// Done stays done.
    Keep,
    /// It must be done again.
    Redo,
    /// It moves with the date. The people it concerns must be told.
    Shift,
}

/// The state of a task.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Progress {
    /// Nothing has been done.
    ToDo,
    /// Started on that day, or waiting for someone since.
    Started(Date),
    /// Finished on that day.
    Done(Date),
    /// This burn doesn't need it. It takes no time, and nothing waits for it.
    NotNeeded,
}

/// One task, as far as dates depend on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Task {
    /// Days of effort, at least 1.
    pub duration: u16,
    /// Whether weekends count as days of effort.
    pub basis: Basis,
    /// When it must be finished, relative to burn day.
    pub lead: Lead,
    /// Notices of the burn day that authorities require, sent when the task is finished. The
    /// burn day can't be earlier than any of them allows.
    pub notices: Vec<Notice>,
    /// What comes before it.
    pub links: Vec<Link>,
    /// Its state.
    pub progress: Progress,
    /// What a rain date does to it.
    pub rain: RainRule,
}

/// Why tasks don't make a plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fault {
    /// These tasks wait for each other in a loop: each waits for the one before it in the list,
    /// and the first waits for the last.
    Loop(Vec<usize>),
    /// This task has a link to a task that isn't there.
    UnknownEarlier(usize),
    /// No task has the burn day's index.
    NoBurnDay,
    /// More than [`MOST_TASKS`].
    TooMany,
    /// This task has a lead time, duration, or lag of more than [`MOST_DAYS`].
    TooLong(usize),
}

/// Tasks in an order where each comes after the ones it waits for.
#[derive(Debug, Clone)]
pub struct Plan {
    tasks: Vec<Task>,
    burn: usize,
    /// Tasks that don't wait for the burn day, in order.
    before: Vec<usize>,
    /// Tasks that do, in order.
    after: Vec<usize>,
    follows_burn: Vec<bool>,
    /// The links of all tasks in one list, with the lags that count. The passes read these and
    /// never the tasks' own.
    flat: Vec<Flat>,
    /// Where the links of each task start in that list, and where the last ones end.
    begins: Vec<usize>,
}

/// A link, as the passes read it.
#[derive(Debug, Clone, Copy)]
struct Flat {
    earlier: usize,
    lag: i32,
    basis: Basis,
}

/// The status of a task today.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PlanStatus {
    /// Finished.
    Done,
    /// Not needed.
    NotNeeded,
    /// The burn day itself.
    BurnDay,
    /// Its due date has passed.
    Late,
    /// Not late yet, but it can't be finished by its due date, even if it starts today.
    Impossible,
    /// At most two working days of slack, or less than none because of an earlier task.
    AtRisk,
    /// More than that.
    OnTime,
}

/// What sets a task's due date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DueReason {
    /// It is the burn day.
    BurnDay,
    /// Its own lead time.
    LeadTime,
    /// The notice with this index in its list, which must be sent by then.
    Notice(usize),
    /// A later task, which needs the days after it.
    Before(usize),
    /// After burn day, as soon as the tasks before it allow.
    AsSoonAsPossible,
}

/// The dates of one task.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Row {
    /// The first day it can be worked on, from today; once it is done, the day it was finished.
    pub earliest_start: Date,
    /// The day it is finished if it starts then.
    pub earliest_finish: Date,
    /// The last day to start.
    pub latest_start: Date,
    /// The last day to finish.
    pub due: Date,
    /// What sets that date.
    pub due_because: DueReason,
    /// Days from the earliest finish to the due date, counted as the task counts days. Negative
    /// if the date can't be met; none for a task that is done or not needed.
    pub slack: Option<i32>,
    /// Its status.
    pub status: PlanStatus,
}

/// What sets the start of a task on the critical path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StartReason {
    /// Nothing but today's date.
    Today,
    /// It started on that day.
    Started(Date),
    /// It is done, but one of its notices hasn't been sent for this burn day.
    Unsent,
    /// An earlier task and the waiting after it.
    After {
        /// The earlier task.
        task: usize,
        /// Its finish, projected or actual.
        finish: Date,
        /// Days of waiting.
        lag: i32,
        /// How those days are counted.
        basis: Basis,
    },
}

/// A task on the critical path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Step {
    /// The task's index.
    pub task: usize,
    /// What sets its start.
    pub because: StartReason,
}

/// All dates of a plan for one burn day, as of one day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Schedule {
    /// The burn day to count back from.
    pub burn_day: Date,
    /// The day it is computed for.
    pub today: Date,
    /// The first burn day that links, lags, and notice periods allow.
    pub earliest_burn_day: Date,
    /// The plan's slack: days from that day to the burn day. Negative if the plan can't meet it.
    pub spare: i32,
    /// The task and the index of its notice, if a notice sets that day.
    pub held_by: Option<(usize, usize)>,
    /// The critical path: the tasks that set [`Self::earliest_burn_day`], first to last. Empty if
    /// only today's date does.
    pub chain: Vec<Step>,
    /// The dates of each task, in the order the tasks were given.
    pub rows: Vec<Row>,
}

impl Plan {
    /// Puts tasks in order. `burn` is the index of the burn day's own task; its lead and duration
    /// count as 0 and 1. A task that is due after the burn day waits for it, linked or not.
    ///
    /// # Errors
    /// A [`Fault`] if tasks wait for each other in a loop, or an index points nowhere.
    pub fn new(tasks: Vec<Task>, burn: usize) -> Result<Self, Fault> {
        if tasks.len() > MOST_TASKS {
            return Err(Fault::TooMany);
        }
        if burn >= tasks.len() {
            return Err(Fault::NoBurnDay);
        }
        let links = tasks.iter().map(|task| task.links.len()).sum();
        let mut graph = DiGraph::<(), (), u32>::with_capacity(tasks.len(), links);
        for _ in &tasks {
            graph.add_node(());
        }
        for (later, task) in tasks.iter().enumerate() {
            if task.duration > MOST_DAYS || task.lead.days.unsigned_abs() > u32::from(MOST_DAYS) {
                return Err(Fault::TooLong(later));
            }
            for link in &task.links {
                if link.lag > MOST_DAYS {
                    return Err(Fault::TooLong(later));
                }
                if link.earlier >= tasks.len() {
                    return Err(Fault::UnknownEarlier(later));
                }
                graph.add_edge(NodeIndex::new(link.earlier), NodeIndex::new(later), ());
            }
            if task.lead.days < 0 && later != burn {
                graph.add_edge(NodeIndex::new(burn), NodeIndex::new(later), ());
            }
        }
        let order = toposort(&graph, None).map_err(|_| Fault::Loop(a_loop(&graph)))?;

        let mut follows_burn = vec![false; tasks.len()];
        let (mut before, mut after) = (Vec::with_capacity(tasks.len()), Vec::new());
        for task in order.into_iter().map(NodeIndex::index) {
            let waits = |link: &Link| link.earlier == burn || follows_burn[link.earlier];
            follows_burn[task] = task != burn && (tasks[task].lead.days < 0 || tasks[task].links.iter().any(waits));
            if follows_burn[task] {
                after.push(task);
            } else if task != burn {
                before.push(task);
            }
        }
        let (flat, begins) = flatten(&tasks);
        Ok(Self { tasks, burn, before, after, follows_burn, flat, begins })
    }

    /// The same order with different durations and states.
    fn with(&self, tasks: Vec<Task>) -> Self {
        let (flat, begins) = flatten(&tasks);
        Self { tasks, flat, begins, ..self.clone() }
    }

    fn links(&self, task: usize) -> &[Flat] {
        &self.flat[self.begins[task]..self.begins[task + 1]]
    }

    /// The tasks, in the order they were given.
    #[must_use]
    pub fn tasks(&self) -> &[Task] {
        &self.tasks
    }

    /// The index of the burn day's own task.
    #[must_use]
    pub fn burn(&self) -> usize {
        self.burn
    }

    /// Does this task wait for the burn day?
    #[must_use]
    pub fn follows_burn(&self, task: usize) -> bool {
        self.follows_burn[task]
    }
}

/// All links, and where those of each task start. Around a task that isn't needed there is no
/// waiting.
fn flatten(tasks: &[Task]) -> (Vec<Flat>, Vec<usize>) {
    let mut flat = Vec::with_capacity(tasks.iter().map(|task| task.links.len()).sum());
    let mut begins = Vec::with_capacity(tasks.len() + 1);
    let skipped: Vec<bool> = tasks.iter().map(|task| task.progress == Progress::NotNeeded).collect();
    for (later, task) in tasks.iter().enumerate() {
        begins.push(flat.len());
        flat.extend(task.links.iter().map(|link| {
            let none = skipped[later] || skipped[link.earlier];
            Flat { earlier: link.earlier, lag: if none { 0 } else { i32::from(link.lag) }, basis: link.basis }
        }));
    }
    begins.push(flat.len());
    (flat, begins)
}

/// One loop in the graph, in order.
fn a_loop(graph: &DiGraph<(), (), u32>) -> Vec<usize> {
    let ring = tarjan_scc(graph)
        .into_iter()
        .find(|part| part.len() > 1 || graph.contains_edge(part[0], part[0]))
        .expect("a graph without a topological order has a loop");
    let mut in_ring = vec![false; graph.node_count()];
    for node in &ring {
        in_ring[node.index()] = true;
    }
    // Inside a strongly connected part, every walk returns to a place it has been.
    let mut seen_at = vec![None; graph.node_count()];
    let mut walk = Vec::new();
    let mut next = ring[0];
    loop {
        if let Some(start) = seen_at[next.index()] {
            return walk.split_off(start);
        }
        seen_at[next.index()] = Some(walk.len());
        walk.push(next.index());
        next = graph.neighbors(next).find(|node| in_ring[node.index()]).expect("a loop goes on");
    }
}

#[cfg(test)]
mod tests;
