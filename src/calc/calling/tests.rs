use super::*;
use proptest::collection::vec;
use proptest::prelude::*;
use serde_json::Value;

fn number(value: &Value) -> u32 {
    u32::try_from(value.as_u64().unwrap()).unwrap()
}

fn numbers(people: &[Critical]) -> Vec<i64> {
    people.iter().map(|person| person.number).collect()
}

/// By a second calculation: `tests/reference/calling.py`.
#[test]
fn invented_crews_are_called_as_a_second_calculation_has_it() {
    let known: Value = serde_json::from_str(include_str!("../../../tests/reference/calling.json")).unwrap();
    let crews = known["crews"].as_array().unwrap();
    assert_eq!(crews.len(), 200);
    for crew in crews {
        let person = |person: &Value| Critical {
            number: person[0].as_i64().unwrap(),
            sets_off: person[1].as_i64().unwrap(),
            alternates: number(&person[2]),
        };
        let people: Vec<Critical> = crew["people"].as_array().unwrap().iter().map(person).collect();
        let first = people.iter().map(|person| person.sets_off).min().unwrap();
        let calls = u32::try_from(people.len()).unwrap();
        let callers = number(&crew["callers"]);
        let decision = latest(first, calls, callers, number(&crew["minutes"]), number(&crew["margin"]));
        assert_eq!(decision, crew["latest"].as_i64(), "{crew}");
        assert_eq!(Value::from(numbers(&order(&people))), crew["order"], "{crew}");
        let lists: Vec<Vec<i64>> = lists(&people, callers).iter().map(|list| numbers(list)).collect();
        assert_eq!(Value::from(lists), crew["lists"], "{crew}");
    }
}

#[test]
fn without_calls_nobody_has_to_call() {
    assert_eq!(latest(7_200, 0, 0, 5, 30), Some(5_400));
    assert_eq!(latest(7_200, 0, 3, 5, 30), Some(5_400));
    assert_eq!(latest(7_200, 1, 0, 5, 30), None);
    assert_eq!(lists(&[], 2), [vec![], vec![]]);
}

#[test]
fn far_times_do_not_overflow() {
    assert_eq!(latest(i64::MIN, 1, 1, 1, 0), None);
    assert_eq!(latest(0, u32::MAX, 1, u32::MAX, u32::MAX), None);
    assert_eq!(latest(i64::MAX, 1, 1, 1, 1), Some(i64::MAX - 120));
}

#[test]
fn who_sets_off_first_is_called_first_then_who_is_harder_to_replace() {
    let person = |number, sets_off, alternates| Critical { number, sets_off, alternates };
    let people = [person(4, 200, 0), person(3, 100, 2), person(2, 100, 1), person(1, 100, 2)];
    assert_eq!(numbers(&order(&people)), [2, 1, 3, 4]);
}

fn some_people() -> impl Strategy<Value = Vec<Critical>> {
    let person = (0..4_i64, 0..3_u32);
    vec(person, 0..30).prop_map(|all| {
        let numbered = (1..).zip(all);
        numbered.map(|(number, (sets_off, alternates))| Critical { number, sets_off, alternates }).collect()
    })
}

proptest! {
    /// None is the earliest there is.
    #[test]
    fn fewer_callers_an_earlier_departure_or_more_calls_never_make_it_later(
        first in -100_000..4_000_000_000_i64, earlier in 0..100_000_i64,
        (calls, callers) in (0..200_u32, 0..20_u32), (more, fewer) in (0..50_u32, 0..20_u32),
        (minutes, margin) in (0..30_u32, 0..240_u32),
    ) {
        let decision = latest(first, calls, callers, minutes, margin);
        prop_assert!(latest(first, calls, callers.saturating_sub(fewer), minutes, margin) <= decision);
        prop_assert!(latest(first - earlier, calls, callers, minutes, margin) <= decision);
        prop_assert!(latest(first, calls + more, callers, minutes, margin) <= decision);
        prop_assert!(latest(first, calls, callers, minutes + more, margin) <= decision);
        prop_assert!(latest(first, calls, callers, minutes, margin + more) <= decision);
        prop_assert!(decision.is_none_or(|at| at <= first - i64::from(margin) * 60));
    }

    /// Started at the latest, the longest list ends by the first departure, less the margin.
    #[test]
    fn the_longest_list_is_done_in_time(people in some_people(), callers in 1..9_u32, minutes in 1..9_u32) {
        let lists = lists(&people, callers);
        let longest = lists.iter().map(Vec::len).max().unwrap();
        let calls = u32::try_from(people.len()).unwrap();
        let start = latest(0, calls, callers, minutes, 10).unwrap();
        prop_assert_eq!(start + i64::try_from(longest).unwrap() * i64::from(minutes) * 60, -600);
        prop_assert!(lists.iter().all(|list| longest - list.len() <= 1));
    }

    #[test]
    fn everybody_is_called_once_and_nobody_before_who_sets_off_earlier(
        (people, shuffled) in some_people().prop_flat_map(|all| (Just(all.clone()), Just(all).prop_shuffle())),
        callers in 1..9_u32,
    ) {
        prop_assert_eq!(order(&people), order(&shuffled));
        let lists = lists(&people, callers);
        let mut called: Vec<i64> = lists.iter().flat_map(|list| numbers(list)).collect();
        called.sort_unstable();
        prop_assert_eq!(called, (1..).take(people.len()).collect::<Vec<i64>>());
        // Whoever is called in an earlier round sets off no later.
        let rounds = lists.iter().flat_map(|list| list.iter().enumerate());
        let rounds: Vec<(usize, i64)> = rounds.map(|(round, person)| (round, person.sets_off)).collect();
        for (round, sets_off) in &rounds {
            prop_assert!(rounds.iter().all(|(other, later)| other <= round || later >= sets_off));
        }
    }
}
