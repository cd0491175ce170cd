use super::*;
use crate::calc::calendar::{Calendar, date_of};
use crate::calc::notice::{Counted, Rule, Sending};
use proptest::prelude::*;
use serde_json::Value;
use time::Weekday;
use time::macros::date;

fn task(duration: u16, days: i32, links: &[usize]) -> Task {
    Task {
        duration,
        basis: Basis::Calendar,
        lead: Lead { days, basis: Basis::Calendar },
        notices: Vec::new(),
        links: links.iter().map(|&earlier| Link { earlier, lag: 0, basis: Basis::Calendar }).collect(),
        progress: Progress::ToDo,
        rain: RainRule::Keep,
    }
}

/// A notice of this many days that hasn't been sent yet.
fn notice(days: u16, basis: Basis) -> Notice {
    let rule = Rule { days, basis, counted: Counted::Sent, delivery: 0 };
    Notice { rule, sendings: Vec::new(), granted: Vec::new() }
}

fn working(mut task: Task) -> Task {
    task.basis = Basis::Working;
    task
}

mod outside {
    //! Checks against `tests/reference`, made with numpy, holidays, and networkx.

    use super::*;

    const UNIX_EPOCH: i32 = 2_440_588;

    fn read(json: &str) -> Value {
        serde_json::from_str(json).unwrap()
    }

    fn int(value: &Value) -> i32 {
        i32::try_from(value.as_i64().unwrap()).unwrap()
    }

    fn day(value: &Value) -> Date {
        date_of(int(value) + UNIX_EPOCH)
    }

    fn basis(value: &Value) -> Basis {
        if int(value) == 1 { Basis::Working } else { Basis::Calendar }
    }

    fn list(value: &Value) -> &[Value] {
        value.as_array().unwrap()
    }

    /// In the reference, a notice period is a lead time with a mark. It counts before the burn,
    /// and a task that is done has sent its notice.
    fn read_task(columns: &Value) -> Task {
        let lead = Lead { days: int(&columns[2]), basis: basis(&columns[3]) };
        let days = u16::try_from(lead.days).ok().filter(|_| int(&columns[4]) == 1 && int(&columns[5]) != 2);
        Task {
            duration: u16::try_from(int(&columns[0])).unwrap(),
            basis: basis(&columns[1]),
            lead,
            notices: days.map(|days| notice(days, lead.basis)).into_iter().collect(),
            progress: match int(&columns[5]) {
                0 => Progress::ToDo,
                1 => Progress::Started(day(&columns[6])),
                2 => Progress::Done(day(&columns[6])),
                _ => Progress::NotNeeded,
            },
            links: list(&columns[7])
                .iter()
                .map(|link| Link {
                    earlier: usize::try_from(int(&link[0])).unwrap(),
                    lag: u16::try_from(int(&link[1])).unwrap(),
                    basis: basis(&link[2]),
                })
                .collect(),
            rain: RainRule::Keep,
        }
    }

    fn status(row: &Row) -> Option<&'static str> {
        match row.status {
            PlanStatus::Done | PlanStatus::NotNeeded | PlanStatus::BurnDay => None,
            PlanStatus::Late => Some("late"),
            PlanStatus::Impossible => Some("impossible"),
            PlanStatus::AtRisk => Some("at_risk"),
            PlanStatus::OnTime => Some("on_time"),
        }
    }

    #[test]
    fn plans_agree_with_networkx() {
        let file = read(include_str!("../../../tests/reference/plans.json"));
        let plans = list(&file["plans"]);
        assert_eq!(plans.len(), 200);
        for (number, case) in plans.iter().enumerate() {
            let tasks: Vec<Task> = list(&case["tasks"]).iter().map(read_task).collect();
            let burn = usize::try_from(int(&case["anchor"])).unwrap();
            let plan = Plan::new(tasks, burn).unwrap();
            let calendar = Calendar::new(list(&case["closed"]).iter().map(day));
            let seen = plan.schedule(&calendar, day(&case["burn"]), day(&case["today"]));

            assert_eq!(seen.earliest_burn_day, day(&case["floor"]), "plan {number}: earliest burn day");
            assert_eq!(seen.spare, int(&case["spare"]), "plan {number}: spare");
            let chain: Vec<usize> = seen.chain.iter().map(|step| step.task).collect();
            let expected: Vec<usize> =
                list(&case["chain"]).iter().map(|task| usize::try_from(int(task)).unwrap()).collect();
            assert_eq!(chain, expected, "plan {number}: chain");
            for (index, (row, expected)) in seen.rows.iter().zip(list(&case["dates"])).enumerate() {
                let dates = [row.earliest_start, row.earliest_finish, row.latest_start, row.due];
                let outside = [0, 1, 2, 3].map(|column| day(&expected[column]));
                assert_eq!(dates, outside, "plan {number}, task {index}: dates");
                assert_eq!(
                    row.slack,
                    expected[4].as_i64().map(|s| i32::try_from(s).unwrap()),
                    "{number}, {index}: slack"
                );
                assert_eq!(status(row), expected[5].as_str(), "plan {number}, task {index}: standing");
            }
        }
    }

    #[test]
    fn working_days_agree_with_numpy() {
        let format = time::macros::format_description!("[year]-[month]-[day]");
        let parse = |value: &Value| Date::parse(value.as_str().unwrap(), format).unwrap();
        let file = read(include_str!("../../../tests/reference/working_days.json"));
        let calendars: Vec<Calendar> =
            list(&file["closed_sets"]).iter().map(|set| Calendar::new(list(set).iter().map(parse))).collect();
        let cases = list(&file["cases"]);
        assert!(cases.len() >= 5_000);
        for case in cases {
            let calendar = &calendars[usize::try_from(int(&case[0])).unwrap()];
            let from = parse(&case[2]);
            match case[1].as_str().unwrap() {
                "before" => {
                    assert_eq!(calendar.before(from, u32::try_from(int(&case[3])).unwrap()), parse(&case[4]), "{case}");
                }
                "after" => {
                    assert_eq!(calendar.after(from, u32::try_from(int(&case[3])).unwrap()), parse(&case[4]), "{case}");
                }
                // numpy counts backward from the day before. We count the same days either way.
                "count" if parse(&case[3]) < from => {
                    let (until, from) = (parse(&case[3]).next_day().unwrap(), from.next_day().unwrap());
                    assert_eq!(calendar.count(from, until), int(&case[4]), "{case}");
                }
                "count" => assert_eq!(calendar.count(from, parse(&case[3])), int(&case[4]), "{case}"),
                "is_working" => assert_eq!(calendar.is_working(from), case[3].as_bool().unwrap(), "{case}"),
                other => panic!("unknown function {other}"),
            }
        }
        let ours: Vec<Date> = (1990..=2051)
            .flat_map(crate::calc::calendar::federal_holidays)
            .map(|holiday| holiday.observed_on)
            .filter(|on| (1990..=2050).contains(&on.year()))
            .collect();
        let theirs: Vec<Date> = list(&file["holidays"]).iter().map(|row| parse(&row[0])).collect();
        assert_eq!(ours, theirs);
    }
}

#[test]
fn a_loop_is_listed_in_order() {
    let tasks = vec![task(1, 0, &[]), task(1, 5, &[3]), task(1, 5, &[1]), task(1, 5, &[2]), task(1, 9, &[])];
    let Err(Fault::Loop(ring)) = Plan::new(tasks, 0) else { panic!("a loop was accepted") };
    assert_eq!(ring.len(), 3);
    let turn = ring.iter().position(|&t| t == 1).unwrap();
    let from_one: Vec<usize> = ring.iter().cycle().skip(turn).take(3).copied().collect();
    assert_eq!(from_one, [1, 2, 3]);
}

#[test]
fn a_burn_day_cannot_wait_for_what_follows_it() {
    let tasks = vec![task(1, 0, &[1]), task(1, -2, &[])];
    assert!(matches!(Plan::new(tasks, 0), Err(Fault::Loop(_))));
    let itself = vec![task(1, 0, &[]), task(1, 2, &[1])];
    assert_eq!(Plan::new(itself, 0).unwrap_err(), Fault::Loop(vec![1]));
}

#[test]
fn nonsense_is_refused() {
    assert_eq!(Plan::new(vec![], 0).unwrap_err(), Fault::NoBurnDay);
    assert_eq!(Plan::new(vec![task(1, 0, &[7])], 0).unwrap_err(), Fault::UnknownEarlier(0));
    assert_eq!(Plan::new(vec![task(9_999, 0, &[])], 0).unwrap_err(), Fault::TooLong(0));
}

#[test]
fn a_notice_period_limits_the_burn_day_and_a_lead_time_does_not() {
    let mut permit = working(task(2, 60, &[]));
    let at = |permit: &Task| {
        let plan = Plan::new(vec![permit.clone(), task(1, 0, &[0])], 1).unwrap();
        plan.earliest(&Calendar::federal(), date!(2027 - 03 - 01), &[]).floor
    };
    assert_eq!(at(&permit), date!(2027 - 03 - 03));
    permit.notices = vec![notice(60, Basis::Calendar)];
    assert_eq!(at(&permit), date!(2027 - 05 - 01));
    permit.notices = vec![notice(10, Basis::Working)];
    // Ten working days from Tue, Mar 2, counting that day, end on Mon, Mar 15.
    assert_eq!(at(&permit), date!(2027 - 03 - 16));
}

/// A task with a notice of ten working days, and the burn after it.
fn with_permit(progress: Progress, sendings: Vec<Sending>) -> Plan {
    let mut permit = working(task(1, 20, &[]));
    permit.progress = progress;
    permit.notices = vec![Notice { sendings, ..notice(10, Basis::Working) }];
    Plan::new(vec![permit, task(1, 0, &[0])], 1).unwrap()
}

#[test]
fn a_notice_that_was_sent_limits_every_day_but_its_own() {
    let (burn, rain) = (date!(2027 - 10 - 09), date!(2027 - 10 - 16));
    let (calendar, today) = (Calendar::federal(), date!(2027 - 10 - 04));
    let sent = Sending { names: vec![burn], sent_on: date!(2027 - 09 - 20), received_on: None };
    let plan = with_permit(Progress::Done(date!(2027 - 09 - 20)), vec![sent.clone()]);
    assert!(plan.schedule(&calendar, burn, today).chain.is_empty());
    let then = plan.schedule(&calendar, rain, today);
    // Sent today, Mon, Oct 4, the tenth working day is Mon, Oct 18, because of Columbus Day.
    assert_eq!((then.earliest_burn_day, then.spare), (date!(2027 - 10 - 19), -3));
    assert_eq!(then.chain, [Step { task: 0, because: StartReason::Unsent }]);
    // The earliest possible day is the one in the notice.
    assert_eq!(plan.earliest(&calendar, today, &[Weekday::Saturday]).on, burn);
    assert_eq!(with_permit(Progress::Done(today), vec![]).earliest(&calendar, today, &[]).on, date!(2027 - 10 - 19));

    // With both days in it, neither the change nor the change back is limited.
    let both = Sending { names: vec![burn, rain], ..sent };
    let plan = with_permit(Progress::Done(date!(2027 - 09 - 20)), vec![both]);
    for (from, to) in [(burn, rain), (rain, burn)] {
        assert!(plan.moved(&calendar, today, (from, to), &[]).spare > 0);
    }
}

#[test]
fn a_notice_sets_its_tasks_due_date() {
    let (burn, today) = (date!(2027 - 10 - 09), date!(2027 - 09 - 01));
    let mut permit = working(task(1, 3, &[]));
    permit.notices = vec![notice(5, Basis::Calendar), notice(10, Basis::Working)];
    let plan = Plan::new(vec![permit.clone(), task(1, 0, &[0])], 1).unwrap();
    let row = plan.schedule(&Calendar::federal(), burn, today).rows[0];
    assert_eq!((row.due, row.due_because), (date!(2027 - 09 - 27), DueReason::Notice(1)), "the strictest");
    // If the task isn't needed, it limits nothing.
    permit.progress = Progress::NotNeeded;
    let plan = Plan::new(vec![permit, task(1, 0, &[0])], 1).unwrap();
    assert_eq!(plan.schedule(&Calendar::federal(), burn, today).earliest_burn_day, today);
}

#[test]
fn a_task_holds_up_nothing_that_is_done() {
    let mut tasks = vec![task(1, 0, &[2]), task(1, 9, &[]), task(1, 5, &[1]), task(1, 4, &[1]), task(1, -2, &[])];
    let plan = Plan::new(tasks.clone(), 0).unwrap();
    assert_eq!(plan.holds_up(1), [0, 2, 3, 4]);
    assert_eq!(plan.holds_up(0), [4]);
    tasks[2].progress = Progress::Done(date!(2027 - 01 - 01));
    let plan = Plan::new(tasks, 0).unwrap();
    assert_eq!(plan.holds_up(1), [0, 3, 4]);
}

#[test]
fn a_week_later_moves_a_due_date_by_four_days_and_reopens_what_must_be_redone() {
    let mut told = working(task(1, 10, &[]));
    told.lead.basis = Basis::Working;
    let mut permit = task(1, 30, &[]);
    permit.progress = Progress::Done(date!(2027 - 08 - 20));
    permit.rain = RainRule::Redo;
    let plan = Plan::new(vec![told, permit, task(1, 0, &[0, 1])], 2).unwrap();

    let (from, to) = (date!(2027 - 10 - 09), date!(2027 - 10 - 16));
    let moved = plan.moved(&Calendar::federal(), date!(2027 - 09 - 20), (from, to), &[]);
    assert_eq!(moved.days, 7);
    assert_eq!(moved.tasks[0].old_due, date!(2027 - 09 - 27));
    assert_eq!(moved.tasks[0].new_due, date!(2027 - 10 - 01));
    assert!(!moved.tasks[0].passed);
    assert!(moved.tasks[1].redo);
    assert!(moved.tasks[1].passed, "its day, Sep 16, is over and it must be done again");

    let kept = plan.moved(&Calendar::federal(), date!(2027 - 09 - 20), (from, to), &[1]);
    assert!(kept.tasks[1].redo && !kept.tasks[1].passed);
}

#[test]
fn saving_one_day_in_the_longest_task() {
    let mut slow = task(10, 20, &[]);
    slow.progress = Progress::ToDo;
    let plan = Plan::new(vec![slow, task(2, 5, &[0]), task(1, 0, &[1])], 2).unwrap();
    let found = plan.earliest(&Calendar::federal(), date!(2027 - 03 - 01), &[Weekday::Saturday]);
    assert_eq!(found.floor, date!(2027 - 03 - 13));
    assert_eq!(found.on, date!(2027 - 03 - 13));
    let binding = found.binding.unwrap();
    assert_eq!((binding.task, binding.days, binding.buys), (0, 10, 1));

    // With another task that takes just as long, saving a day gains nothing.
    let twins = vec![task(10, 20, &[]), task(10, 20, &[]), task(1, 0, &[0, 1])];
    let found = Plan::new(twins, 2).unwrap().earliest(&Calendar::federal(), date!(2027 - 03 - 01), &[]);
    let binding = found.binding.unwrap();
    assert_eq!((binding.task, binding.buys, binding.instead), (0, 0, Some(1)));

    // Finished on a Friday instead of a Saturday, the next task still waits for Monday.
    let weekend = vec![task(13, 20, &[]), working(task(1, 5, &[0])), task(1, 0, &[1])];
    let found = Plan::new(weekend, 2).unwrap().earliest(&Calendar::federal(), date!(2027 - 03 - 01), &[]);
    let binding = found.binding.unwrap();
    assert_eq!((binding.task, binding.buys, binding.instead), (0, 0, None));
}

prop_compose! {
    fn any_task(index: usize)(
        duration in 1u16..25,
        on_working in any::<bool>(),
        days in 0i32..120,
        lead_working in any::<bool>(),
        has_notice in proptest::bool::weighted(0.1),
        links in proptest::collection::vec((0..index.max(1), 0u16..20, any::<bool>()), 0..3),
        progress in 0u8..8,
    ) -> Task {
        let basis = |working| if working { Basis::Working } else { Basis::Calendar };
        Task {
            duration,
            basis: basis(on_working),
            lead: Lead { days, basis: basis(lead_working) },
            notices: has_notice.then(|| notice(u16::try_from(days).unwrap(), basis(lead_working))).into_iter().collect(),
            links: links
                .into_iter()
                .filter(|_| index > 0)
                .map(|(earlier, lag, working)| Link { earlier, lag, basis: basis(working) })
                .collect(),
            progress: match progress {
                0 => Progress::Done(date!(2027 - 02 - 10)),
                1 => Progress::Started(date!(2027 - 02 - 20)),
                2 => Progress::NotNeeded,
                _ => Progress::ToDo,
            },
            rain: RainRule::Keep,
        }
    }
}

/// A plan in which the burn day is the last task before a few that follow it.
fn any_plan() -> impl Strategy<Value = (Vec<Task>, usize)> {
    (2usize..25, 0usize..4).prop_flat_map(|(before, after)| {
        let tasks: Vec<_> = (0..before).map(any_task).collect();
        let later: Vec<_> = (0..after).map(move |_| (1u16..9, 1i32..30)).collect();
        (tasks, later).prop_map(move |(mut tasks, later)| {
            let all: Vec<usize> = (0..before).collect();
            tasks.push(task(1, 0, &all));
            tasks.extend(later.into_iter().map(|(duration, days)| working(task(duration, -days, &[before]))));
            (tasks, before)
        })
    })
}

fn any_day() -> impl Strategy<Value = Date> {
    (0i32..400).prop_map(|ahead| date_of(date!(2027 - 03 - 15).to_julian_day() + ahead))
}

const TODAY: Date = date!(2027 - 03 - 01);

proptest! {
    #[test]
    fn a_later_burn_day_never_makes_a_deadline_earlier((tasks, burn) in any_plan(), a in any_day(), b in any_day()) {
        let plan = Plan::new(tasks, burn).unwrap();
        let calendar = Calendar::federal();
        let (early, late) = (plan.schedule(&calendar, a.min(b), TODAY), plan.schedule(&calendar, a.max(b), TODAY));
        for (early, late) in early.rows.iter().zip(&late.rows) {
            prop_assert!(early.due <= late.due);
            prop_assert!(early.latest_start <= late.latest_start);
        }
        prop_assert_eq!(early.earliest_burn_day, late.earliest_burn_day);
    }

    #[test]
    fn finishing_a_task_never_reduces_the_slack_of_another((tasks, burn) in any_plan(), on in any_day(), which in any::<prop::sample::Index>()) {
        let calendar = Calendar::federal();
        let before = Plan::new(tasks.clone(), burn).unwrap().schedule(&calendar, on, TODAY);
        let mut finished = tasks;
        let which = which.index(burn);
        prop_assume!(matches!(finished[which].progress, Progress::ToDo | Progress::Started(_)));
        finished[which].progress = Progress::Done(TODAY);
        let after = Plan::new(finished, burn).unwrap().schedule(&calendar, on, TODAY);
        for (before, after) in before.rows.iter().zip(&after.rows) {
            if let (Some(before), Some(after)) = (before.slack, after.slack) {
                prop_assert!(after >= before);
            }
        }
        prop_assert!(after.earliest_burn_day <= before.earliest_burn_day);
    }

    #[test]
    fn moving_there_and_back_restores_every_date((tasks, burn) in any_plan(), a in any_day(), b in any_day()) {
        let plan = Plan::new(tasks, burn).unwrap();
        let calendar = Calendar::federal();
        let there = plan.moved(&calendar, TODAY, (a, b), &[]);
        let back = plan.moved(&calendar, TODAY, (b, a), &[]);
        for (there, back) in there.tasks.iter().zip(&back.tasks) {
            prop_assert_eq!(there.old_due, back.new_due);
            prop_assert_eq!(there.new_due, back.old_due);
        }
        prop_assert_eq!(there.days, -back.days);
    }

    #[test]
    fn no_task_counted_in_working_days_is_due_on_a_closed_day((tasks, burn) in any_plan(), on in any_day()) {
        let calendar = Calendar::new([date!(2027 - 05 - 03), date!(2027 - 05 - 04), date!(2027 - 08 - 02)]);
        let plan = Plan::new(tasks.clone(), burn).unwrap();
        for (task, row) in tasks.iter().zip(plan.schedule(&calendar, on, TODAY).rows) {
            if task.basis == Basis::Working && task.progress != Progress::NotNeeded {
                prop_assert!(calendar.is_working(row.due), "due {}", row.due);
                prop_assert!(calendar.is_working(row.latest_start));
            }
        }
    }

    #[test]
    fn the_earliest_burn_day_can_be_met_and_the_day_before_cannot((tasks, burn) in any_plan()) {
        let plan = Plan::new(tasks, burn).unwrap();
        let calendar = Calendar::federal();
        let first = plan.earliest(&calendar, TODAY, &[]).floor;
        prop_assert_eq!(plan.schedule(&calendar, first, TODAY).spare, 0);
        prop_assert_eq!(plan.schedule(&calendar, first.previous_day().unwrap(), TODAY).spare, -1);
    }
}
