//! Random crews with their best staffing, by scipy and networkx: `tests/reference/staffing.py`.

use super::*;
use serde_json::Value;
use std::collections::BTreeSet;

fn known() -> Value {
    serde_json::from_str(include_str!("../../../../tests/reference/staffing.json")).unwrap()
}

struct Case {
    posts: Vec<Post>,
    people: Vec<Person>,
    least: Answer,
    is_same: bool,
    best: Vec<u32>,
    without: Vec<String>,
}

fn numbers(value: &Value) -> Vec<i64> {
    value.as_array().unwrap().iter().map(|number| number.as_i64().unwrap()).collect()
}

fn answer(value: &Value) -> Answer {
    ANSWERS[usize::try_from(value.as_u64().unwrap()).unwrap()]
}

fn case(value: &Value) -> Case {
    let post = |(id, post): (i64, &Value)| Post {
        id,
        // No one can have two positions with the same duty at the same time.
        duty: Duty::AttackLine,
        seats: u32::try_from(post[0].as_u64().unwrap()).unwrap(),
        hours: minutes(post[2].as_i64().unwrap(), post[3].as_i64().unwrap()),
        needs: numbers(&post[4]),
        priority: if post[1] == 1 { Priority::Critical } else { Priority::Usual },
    };
    let person = |(id, person): (i64, &Value)| {
        let held = |held: &Value| Held { qualification: held[0].as_i64().unwrap(), is_expired: held[1] == 1 };
        let there = |there: &Value| minutes(there[0].as_i64().unwrap(), there[1].as_i64().unwrap());
        let said = |said: &Value| (said[0].as_i64().unwrap(), answer(&said[1]));
        Person {
            id,
            holds: person[0].as_array().unwrap().iter().map(held).collect(),
            there: person[1].as_array().map(|all| all.iter().map(there).collect()),
            day: answer(&person[2]),
            posts: person[3].as_array().unwrap().iter().map(said).collect(),
            at: numbers(&person[4]),
            fixed: vec![],
        }
    };
    Case {
        posts: (0..).zip(value["posts"].as_array().unwrap()).map(post).collect(),
        people: (0..).zip(value["people"].as_array().unwrap()).map(person).collect(),
        least: answer(&value["least"]),
        is_same: value["same"] == 1,
        best: numbers(&value["best"]).into_iter().map(|count| u32::try_from(count).unwrap()).collect(),
        without: value["without"].as_str().unwrap().split_whitespace().map(str::to_owned).collect(),
    }
}

fn cases() -> Vec<Case> {
    let cases: Vec<Case> = known()["crews"].as_array().unwrap().iter().map(case).collect();
    assert_eq!(cases.len(), 300);
    cases
}

/// Compared with `scipy.optimize.linear_sum_assignment` over single seats.
#[test]
fn the_first_step_is_as_good_as_scipys() {
    for (number, case) in cases().into_iter().enumerate() {
        assert_eq!(best(&case.posts, &case.people, case.least)[..], case.best, "crew {number}");
    }
}

#[test]
fn a_second_seat_never_breaks_a_rule_or_costs_a_first() {
    let mut also = 0;
    for case in cases() {
        let found = propose(&case.posts, &case.people, case.least);
        check(&case.posts, &case.people, case.least, &found);
        assert!(found.seats.len() >= case.best[0] as usize);
        assert!(!case.is_same || found.seats.iter().all(|seat| !seat.also));
        also += found.seats.iter().filter(|seat| seat.also).count();
    }
    assert!(also > 50, "{also}");
}

/// Who could take a position, worked out without the graph.
fn takers(case: &Case, posts: &[i64]) -> BTreeSet<i64> {
    let wanted = || case.posts.iter().filter(|post| posts.contains(&post.id));
    let able = |person: &&Person| wanted().any(|post| bars(post, person, case.least).is_empty());
    case.people.iter().filter(able).map(|person| person.id).collect()
}

fn short_of(case: &Case, posts: &[i64]) -> i64 {
    let seats: u32 = case.posts.iter().filter(|post| posts.contains(&post.id)).map(|post| post.seats).sum();
    i64::from(seats) - i64::try_from(takers(case, posts).len()).unwrap()
}

/// Counted again: each set has more seats than people, is short of fewer without any one of
/// its positions (of none, if it is short of one), and the sets hold every open seat.
#[test]
fn what_is_missing_is_a_smallest_set_with_more_seats_than_people() {
    let (mut seen, mut of_one) = (0, 0);
    for case in cases().iter().filter(|case| case.is_same) {
        let found = propose(&case.posts, &case.people, case.least);
        let mut told: BTreeSet<i64> = BTreeSet::new();
        for missing in &found.missing {
            assert_eq!(missing.people, takers(case, &missing.posts).into_iter().collect::<Vec<_>>());
            assert_eq!(i64::from(missing.short), short_of(case, &missing.posts));
            assert_eq!(missing.seats as usize, missing.people.len() + missing.short as usize);
            assert!(missing.short > 0);
            for left in &missing.posts {
                let rest: Vec<i64> = missing.posts.iter().copied().filter(|post| post != left).collect();
                assert!(short_of(case, &rest) < i64::from(missing.short), "{missing:?} without {left}");
            }
            for need in &missing.needs {
                assert!(case.posts.iter().all(|post| !missing.posts.contains(&post.id) || post.needs.contains(need)));
            }
            told.extend(&missing.posts);
            seen += 1;
            of_one += usize::from(missing.short == 1);
        }
        assert!(found.open.iter().all(|(post, _)| told.contains(post)));
        assert_eq!(found.open.is_empty(), found.missing.is_empty());
    }
    assert!(seen > 100 && of_one > 20, "{seen}, {of_one}");
}

/// Each person named would fill one more seat if that one thing were different.
#[test]
fn whoever_is_said_to_close_a_gap_does() {
    let mut seen = 0;
    for case in cases().iter().filter(|case| case.is_same) {
        let found = propose(&case.posts, &case.people, case.least);
        for closer in found.missing.iter().flat_map(|missing| &missing.closers) {
            let mut people = case.people.clone();
            let person = people.iter_mut().find(|person| person.id == closer.person).unwrap();
            match closer.bar {
                Bar::Answer(_) => person.posts = vec![(closer.post, Answer::Yes)],
                Bar::Hours => person.there = None,
                Bar::Expired(q) | Bar::Missing(q) => person.holds.push(Held { qualification: q, is_expired: false }),
            }
            assert_eq!(best(&case.posts, &people, case.least)[0], case.best[0] + 1, "{closer:?}");
            seen += 1;
        }
    }
    assert!(seen > 100, "{seen}");
}

/// Compared with scipy's best without each person in turn.
#[test]
fn whose_absence_costs_a_seat_is_found_by_solving_anew_too() {
    let mut seen = 0;
    for case in cases().iter().filter(|case| case.is_same) {
        let found = propose(&case.posts, &case.people, case.least);
        for (person, lost) in case.people.iter().zip(&case.without) {
            let fall = found.falls.iter().find(|fall| fall.person == person.id);
            let posts = fall.map(|fall| fall.posts.as_slice()).unwrap_or_default();
            let critical = |id: &&i64| case.posts.iter().any(|p| p.id == **id && p.priority == Priority::Critical);
            let ours = format!("{}{}", posts.len(), posts.iter().filter(critical).count());
            // Someone without a seat costs none.
            assert_eq!(&ours, lost, "{person:?}");
            seen += usize::from(lost != "00");
        }
    }
    assert!(seen > 100, "{seen}");
}

/// Compared with `scipy.stats.binom`, and with the figures worked out for the trade note.
#[test]
fn stand_bys_are_the_least_number_that_is_enough() {
    for (wanted, certainty, rate, asked) in [
        (12, 0.95, 0.8, Some(19)),
        (12, 0.95, 0.7, Some(22)),
        (12, 0.95, 0.9, Some(16)),
        (6, 0.95, 0.8, Some(10)),
        (5, 0.95, 1.0, Some(5)),
        (0, 0.95, 0.5, Some(0)),
        (1, 0.0, 0.5, Some(1)),
        (1, 1.0, 0.5, None),
        (1, 0.95, 0.0, None),
        (1, 0.95, -0.5, None),
        (1, 0.95, 1.5, None),
        (1, f64::NAN, 0.5, None),
        (1, 0.95, f64::NAN, None),
        (9000, 0.95, 0.5, None),
    ] {
        assert_eq!(standbys(wanted, certainty, rate), asked, "{wanted} {certainty} {rate}");
    }
    let known = known();
    let grid = known["standbys"].as_array().unwrap();
    assert!(grid.len() > 400);
    for line in grid {
        let wanted = u32::try_from(line[0].as_u64().unwrap()).unwrap();
        let asked = u32::try_from(line[3].as_u64().unwrap()).unwrap();
        assert_eq!(standbys(wanted, line[1].as_f64().unwrap(), line[2].as_f64().unwrap()), Some(asked), "{line}");
    }
}
