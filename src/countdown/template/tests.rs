use super::*;
use crate::calc::calendar::Calendar;
use crate::calc::plan::Plan;
use crate::countdown::fresh::Fresh;
use std::sync::Arc;
use time::macros::date;

/// A plan with no known notice rules.
fn fresh_plan() -> Plan {
    Fresh::of(&std::collections::HashMap::new(), Arc::new(Calendar::federal())).plan
}

/// Common practice, no source. Worked out by hand and by a script from the same
/// table of tasks, with US federal holidays.
#[test]
fn from_a_monday_in_march_the_earliest_burn_day_is_108_days_later() {
    let start = date!(2027 - 03 - 01);
    let found = fresh_plan().earliest(&Calendar::federal(), start, &[]);
    assert_eq!((found.floor - start).whole_days(), 108);
    let chain: Vec<&str> = found.chain.iter().map(|step| tasks()[step.task].key.as_str()).collect();
    assert_eq!(
        chain,
        [
            "goal",
            "format",
            "budget",
            "chief-approval",
            "site-permission",
            "site-plan",
            "event-permit",
            "permits-in-hand",
            "news-release",
            "media-advisory",
            "press-follow-up",
            "press-reminder"
        ]
    );
    let binding = found.binding.unwrap();
    assert_eq!(tasks()[binding.task].key, "event-permit");
    // The traffic plan and the wait after it take just as long.
    assert_eq!(binding.buys, 0);
    assert_eq!(binding.instead.map(|task| tasks()[task].key.as_str()), Some("traffic-plan"));
}

/// The same table without waits: 82 days, by way of the loans.
#[test]
fn without_waits_it_is_82_days() {
    let mut tasks = fresh_plan().tasks().to_vec();
    for task in &mut tasks {
        for link in &mut task.links {
            link.lag = 0;
        }
    }
    let plan = crate::calc::plan::Plan::new(tasks, place(BURN).unwrap()).unwrap();
    let start = date!(2027 - 03 - 01);
    assert_eq!((plan.earliest(&Calendar::federal(), start, &[]).floor - start).whole_days(), 82);
}

#[test]
fn about_ninety_tasks_and_nothing_left_dangling() {
    assert_eq!(tasks().len(), 92);
    for entry in tasks() {
        for after in &entry.after {
            assert!(place(&after.task).is_some(), "{} waits for {}", entry.key, after.task);
        }
        assert!(!entry.takes.is_empty() && entry.title.len() < 90, "{}", entry.key);
    }
    let plan = fresh_plan();
    assert_eq!(plan.tasks()[plan.burn()].basis, Basis::Calendar);
}
