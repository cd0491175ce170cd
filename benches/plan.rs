//! Calculates the dates of a plan, compared with a bare topological walk over the same graph.

mod ratio;

use burnday::calc::calendar::{Basis, Calendar};
use burnday::calc::notice::{Counted, Notice, Rule};
use burnday::calc::plan::{Lead, Link, Plan, Progress, RainRule, Task};
use petgraph::algo::toposort;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::Topo;
use rand::rngs::SmallRng;
use rand::{RngExt, SeedableRng};
use std::hint::black_box;
use std::ops::RangeInclusive;
use std::time::Instant;
use time::macros::date;
use time::{Date, Duration};

const BURN_DAY: Date = date!(2027 - 10 - 09);
const TODAY: Date = date!(2027 - 06 - 01);
const NO_GOAL: RangeInclusive<f64> = 0.0..=f64::INFINITY;
/// How many tasks each size is measured on, in different plans: a processor learns the
/// branches of a walk it takes again and again, and no one asks for the same dates again and
/// again.
const TASKS: usize = 100_000;
/// How often each plan is measured.
const TURNS: usize = 20;

struct Case {
    tasks: Vec<Task>,
    burn: usize,
    plan: Plan,
    graph: DiGraph<(), (), u32>,
}

fn main() {
    let calendar = Calendar::new([date!(2027 - 08 - 20), date!(2027 - 09 - 24)]);
    // Before anything else, while the allocator has no free memory yet.
    peak_memory(&calendar);
    for size in [100, 1_000, 10_000] {
        let cases: Vec<Case> = (0..TASKS / size).map(|seed| case(size, seed as u64)).collect();
        let of = |round| &cases[round % cases.len()];
        let schedule = |round| {
            let Case { plan, .. } = of(round);
            micros(|| plan.schedule(&calendar, BURN_DAY, TODAY))
        };
        let order = |round| {
            let Case { tasks, burn, .. } = of(round);
            let tasks = tasks.clone();
            micros(|| Plan::new(tasks, *burn))
        };
        let walking = |round| micros(|| walk(&of(round).graph));
        let sort = |round| micros(|| toposort(&of(round).graph, None));
        let goal = 0.0..=if size == 10_000 { 5.0 } else { f64::INFINITY };
        let rounds = TURNS * cases.len();
        ratio::compare(&format!("{size} tasks: schedule to Topo"), "µs", &goal, rounds, walking, schedule);
        ratio::compare(&format!("{size} tasks: schedule to toposort"), "µs", &NO_GOAL, rounds, sort, schedule);
        ratio::compare(&format!("{size} tasks: Plan::new to Topo"), "µs", &NO_GOAL, rounds, walking, order);
    }
}

/// A notice that no one has given yet.
fn notice(days: u16) -> Notice {
    let rule = Rule { days, basis: Basis::Working, counted: Counted::Sent, delivery: 0 };
    Notice { rule, sendings: Vec::new(), granted: Vec::new() }
}

fn case(size: usize, seed: u64) -> Case {
    let (tasks, burn) = random_tasks(size, seed);
    let graph = graph_of(&tasks, burn);
    let plan = Plan::new(tasks.clone(), burn).expect("links lead to earlier tasks only, so there is no loop");
    Case { tasks, burn, plan, graph }
}

/// A plan of this size with about two links per task. Links lead to tasks in the tenth of
/// the plan before it. So chains stay short and dates in range, while neighbors in the graph
/// are far apart in memory.
fn random_tasks(size: usize, seed: u64) -> (Vec<Task>, usize) {
    let mut random = SmallRng::seed_from_u64(seed);
    let burn = size * 9 / 10;
    let reach = size / 10;
    let tasks = (0..size).map(|index| {
        let mut links = Vec::new();
        if index > 0 {
            for _ in 0..random.random_range(1..=3) {
                let earlier = random.random_range(index.saturating_sub(reach)..index);
                let lag = if random.random_bool(0.4) { random.random_range(1..=10) } else { 0 };
                links.push(Link { earlier, lag, basis: basis(&mut random) });
            }
        }
        let lead = match index {
            _ if index == burn => 0,
            _ if index > burn => -random.random_range(1..=60),
            _ => random.random_range(1..=120),
        };
        let on = TODAY - Duration::days(random.random_range(1..=90));
        Task {
            duration: random.random_range(1..=5),
            basis: basis(&mut random),
            lead: Lead { days: lead, basis: basis(&mut random) },
            // One in ten requires as much notice as its lead time.
            notices: u16::try_from(lead).ok().filter(|_| random.random_bool(0.1)).map(notice).into_iter().collect(),
            links,
            progress: match random.random_range(0..100) {
                _ if index >= burn => Progress::ToDo,
                0..10 => Progress::Done(on),
                10..13 => Progress::Started(on),
                13..15 => Progress::NotNeeded,
                _ => Progress::ToDo,
            },
            rain: RainRule::Keep,
        }
    });
    (tasks.collect(), burn)
}

fn basis(random: &mut SmallRng) -> Basis {
    if random.random_bool(0.5) { Basis::Working } else { Basis::Calendar }
}

/// Only the tasks and links.
fn graph_of(tasks: &[Task], burn: usize) -> DiGraph<(), (), u32> {
    let mut graph = DiGraph::with_capacity(tasks.len(), 2 * tasks.len());
    for _ in tasks {
        graph.add_node(());
    }
    for (later, task) in tasks.iter().enumerate() {
        for link in &task.links {
            graph.add_edge(NodeIndex::new(link.earlier), NodeIndex::new(later), ());
        }
        // Anything due after burn day waits for it.
        if task.lead.days < 0 {
            graph.add_edge(NodeIndex::new(burn), NodeIndex::new(later), ());
        }
    }
    graph
}

fn walk(graph: &DiGraph<(), (), u32>) -> usize {
    let mut topo = Topo::new(graph);
    let mut seen = 0;
    while let Some(node) = topo.next(graph) {
        seen ^= node.index();
    }
    seen
}

/// How long some work takes, without dropping its result.
fn micros<T>(work: impl FnOnce() -> T) -> f64 {
    let at = Instant::now();
    let made = black_box(work());
    let took = at.elapsed();
    drop(made);
    took.as_secs_f64() * 1e6
}

/// How much the process's memory grows while a plan of 10,000 tasks is ordered and dated,
/// without its tasks. Linux only.
fn peak_memory(calendar: &Calendar) {
    let (tasks, burn) = random_tasks(10_000, 0);
    // Resets the peak to what is used now.
    if std::fs::write("/proc/self/clear_refs", "5").is_err() {
        return;
    }
    let before = peak_kib();
    let plan = Plan::new(tasks, burn).map(|plan| plan.schedule(calendar, BURN_DAY, TODAY));
    if let (Some(before), Some(after)) = (before, peak_kib()) {
        println!("{:<34} ours {:>8} KiB", "10000 tasks: peak memory", after.saturating_sub(before));
    }
    drop(black_box(plan));
}

fn peak_kib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.trim().trim_end_matches("kB").trim().parse().ok()
}
