use super::*;
use proptest::prelude::*;
use serde_json::Value;
use std::collections::BTreeSet;
use time::macros::{date, datetime, time};
use time::{Duration, Time};

const ANSWERS: [Answer; 5] = [Answer::Yes, Answer::Maybe, Answer::Waiting, Answer::NotAsked, Answer::No];

/// Minutes after midnight of one day.
fn minutes(from: i64, until: i64) -> Hours {
    let at = |minutes| datetime!(2027-01-02 0:00) + Duration::minutes(minutes);
    Hours::new(at(from), at(until)).unwrap()
}

/// Random crews with their best staffing, by scipy and networkx: `tests/reference/staffing.py`.
fn known() -> Value {
    serde_json::from_str(include_str!("../../../tests/reference/staffing.json")).unwrap()
}

/// How far a proposal is from what people said, the most important first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
struct Weight {
    moved: u32,
    not_asked: u32,
    waiting: u32,
    maybe: u32,
    /// People who keep a position aren't counted.
    changed: u32,
}

impl Weight {
    fn add(&mut self, place: matching::Place) {
        self.changed += u32::from(place.is_new);
        match place.how {
            How::Moved => self.moved += 1,
            How::NotAsked => self.not_asked += 1,
            How::Waiting => self.waiting += 1,
            How::Maybe => self.maybe += 1,
            How::ByHand | How::SaidYes | How::Yes => {}
        }
    }
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

/// The counts of the first step: seats, critical seats, and the weight.
fn best(posts: &[Post], people: &[Person], least: Answer) -> [u32; 7] {
    let crew = Crew::new(posts, people, least);
    let base = crew.graph.best();
    let count = |of: &mut dyn Iterator<Item = (usize, matching::Place)>| u32::try_from(of.count()).unwrap();
    let is_critical = |place: matching::Place| crew.posts[place.post].priority == Priority::Critical;
    let mut weight = Weight::default();
    base.places().for_each(|(_, place)| weight.add(place));
    let Weight { moved, not_asked, waiting, maybe, changed } = weight;
    let critical = count(&mut base.places().filter(|(_, place)| is_critical(*place)));
    [count(&mut base.places()), critical, moved, not_asked, waiting, maybe, changed]
}

/// Compared with `scipy.optimize.linear_sum_assignment` over single seats.
#[test]
fn the_first_step_is_as_good_as_scipys() {
    for (number, case) in cases().into_iter().enumerate() {
        assert_eq!(best(&case.posts, &case.people, case.least)[..], case.best, "crew {number}");
    }
}

/// No seat breaks a rule, and every seat that isn't given is open.
fn check(posts: &[Post], people: &[Person], least: Answer, found: &Proposal) {
    let post = |id| posts.iter().find(|post| post.id == id).unwrap();
    for seat in &found.seats {
        let person = people.iter().find(|person| person.id == seat.person).unwrap();
        if seat.how != How::ByHand {
            assert_eq!(bars(post(seat.post), person, least), [], "{seat:?}");
        }
        for other in found.seats.iter().filter(|other| other.person == seat.person && *other != seat) {
            let (one, other) = (post(seat.post), post(other.post));
            let by_hand = person.fixed.contains(&one.id) && person.fixed.contains(&other.id);
            assert!(one.id != other.id && (by_hand || clash(one.duty, &one.hours, other.duty, &other.hours).is_none()));
        }
    }
    for one in posts {
        let taken = found.seats.iter().filter(|seat| seat.post == one.id).count();
        let by_hand = people.iter().filter(|person| person.fixed.contains(&one.id)).count();
        let open = found.open.iter().find(|(id, _)| *id == one.id).map_or(0, |(_, open)| *open as usize);
        assert_eq!(taken + open, (one.seats as usize).max(by_hand), "{one:?}");
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

fn post(id: i64, duty: Duty, seats: u32, from: Time, until: Time, needs: &[i64]) -> Post {
    let hours = Hours::on(date!(2027 - 01 - 02), from, until).unwrap();
    Post { id, duty, seats, hours, needs: needs.to_vec(), priority: Priority::Usual }
}

fn pump(id: i64) -> Post {
    post(id, Duty::PumpOperator, 1, time!(8:00), time!(13:00), &[7])
}

fn person(id: i64, day: Answer, posts: &[(i64, Answer)], holds: &[i64]) -> Person {
    let held = |q: &i64| Held { qualification: *q, is_expired: false };
    Person {
        id,
        holds: holds.iter().map(held).collect(),
        there: None,
        day,
        posts: posts.to_vec(),
        at: vec![],
        fixed: vec![],
    }
}

const fn seat(post: i64, person: i64, how: How, also: bool) -> Seat {
    Seat { post, person, how, also }
}

#[test]
fn three_pumps_and_two_who_can_run_one() {
    let posts = [pump(1), pump(2), pump(3), post(4, Duty::Parking, 2, time!(8:00), time!(13:00), &[])];
    let mut people = vec![
        person(1, Answer::Yes, &[], &[7]),
        person(2, Answer::Yes, &[], &[7]),
        person(3, Answer::Yes, &[], &[]),
        person(4, Answer::Yes, &[], &[]),
        person(5, Answer::NotAsked, &[], &[7]),
        person(6, Answer::Yes, &[], &[]),
        person(7, Answer::NotAsked, &[], &[]),
        person(8, Answer::No, &[], &[7]),
    ];
    people[5].holds = vec![Held { qualification: 7, is_expired: true }];
    let found = propose(&posts, &people, Answer::Waiting);
    assert_eq!(found.open.len(), 1);
    let [missing] = &found.missing[..] else { panic!("{:?}", found.missing) };
    assert_eq!((&missing.posts[..], missing.seats, &missing.people[..]), (&[1, 2, 3][..], 3, &[1, 2][..]));
    assert_eq!((missing.short, &missing.needs[..]), (1, &[7][..]));
    let closes = |bar, person| Closer { bar, person, post: 1 };
    // One of 3, 4 and 6 isn't needed for parking, so each of them could go.
    assert_eq!(
        missing.closers,
        [
            closes(Bar::Answer(Answer::NotAsked), 5),
            closes(Bar::Expired(7), 6),
            closes(Bar::Missing(7), 3),
            closes(Bar::Missing(7), 4),
            closes(Bar::Answer(Answer::No), 8),
        ]
    );
    // The fifth counts once people who weren't asked do.
    assert_eq!(propose(&posts, &people, Answer::NotAsked).missing, []);
}

/// The pumps are one short, and so are the crowd managers, whose position the pump
/// operators could take too. The pumps are reported first, then both together.
#[test]
fn a_gap_within_a_greater_one_is_told_first() {
    let posts = [pump(1), pump(2), post(3, Duty::CrowdSteward, 2, time!(8:00), time!(13:00), &[])];
    let people = [person(1, Answer::Yes, &[], &[7]), person(2, Answer::Yes, &[], &[])];
    let posts =
        posts.map(|post| Post { priority: if post.id < 3 { Priority::Critical } else { Priority::Usual }, ..post });
    let found = propose(&posts, &people, Answer::Waiting);
    let told: Vec<(&[i64], u32, usize)> =
        found.missing.iter().map(|it| (&it.posts[..], it.short, it.people.len())).collect();
    assert_eq!(told, [(&[1, 2][..], 1, 1), (&[1, 2, 3][..], 2, 2)]);
}

#[test]
fn gaps_that_share_nobody_are_told_apart() {
    let nurse = |id| post(id, Duty::MedicalStandby, 1, time!(8:00), time!(13:00), &[9]);
    let found = propose(
        &[pump(1), pump(2), nurse(3), nurse(4)],
        &[person(1, Answer::Yes, &[], &[7]), person(2, Answer::Yes, &[], &[9])],
        Answer::Waiting,
    );
    let told: Vec<(&[i64], u32)> = found.missing.iter().map(|it| (&it.posts[..], it.short)).collect();
    assert_eq!(told, [(&[1, 2][..], 1), (&[3, 4][..], 1)]);
    // Four pumps and two people are one gap of two.
    let found = propose(
        &[pump(1), pump(2), pump(3), pump(4)],
        &[person(1, Answer::Yes, &[], &[7]), person(2, Answer::Yes, &[], &[7])],
        Answer::Waiting,
    );
    let told: Vec<(&[i64], u32)> = found.missing.iter().map(|it| (&it.posts[..], it.short)).collect();
    assert_eq!(told, [(&[1, 2, 3, 4][..], 2)]);
}

#[test]
fn a_seat_in_other_hours_goes_to_somebody_who_has_one() {
    let morning = post(1, Duty::Parking, 1, time!(7:00), time!(10:00), &[]);
    let noon = post(2, Duty::Parking, 1, time!(10:00), time!(12:00), &[]);
    let both = post(3, Duty::Parking, 1, time!(9:00), time!(11:00), &[]);
    let one = [person(1, Answer::Yes, &[(1, Answer::Yes)], &[])];
    let found = propose(&[morning.clone(), noon.clone(), both.clone()], &one, Answer::Waiting);
    assert_eq!(found.seats, [seat(1, 1, How::SaidYes, false), seat(2, 1, How::Yes, true)]);
    assert_eq!(found.open, [(3, 1)]);
    // The gate goes with parking at the same time, by the table of duties.
    let gate = Post { duty: Duty::Gate, ..both };
    let found = propose(&[morning, noon, gate], &one, Answer::Waiting);
    assert_eq!(found.seats.len(), 3);
    assert_eq!(found.open, []);
    assert_eq!(found.falls, [Fall { person: 1, posts: vec![1, 2, 3] }]);
}

/// The second wasn't asked. The first said yes to both positions and can have both.
#[test]
fn whoever_said_yes_to_two_posts_has_both_if_they_go_together() {
    let posts = |until| {
        [post(1, Duty::Gate, 1, time!(7:00), until, &[]), post(2, Duty::AttackLine, 1, time!(10:00), time!(12:00), &[])]
    };
    let people =
        [person(1, Answer::Waiting, &[(1, Answer::Yes), (2, Answer::Yes)], &[]), person(2, Answer::NotAsked, &[], &[])];
    let found = propose(&posts(time!(10:00)), &people, Answer::NotAsked);
    let has: Vec<(i64, i64, How)> = found.seats.iter().map(|seat| (seat.post, seat.person, seat.how)).collect();
    assert_eq!(has, [(1, 1, How::SaidYes), (2, 1, How::SaidYes)]);
    assert_eq!(found.seats.iter().filter(|seat| seat.also).count(), 1);
    assert_eq!(found.falls, []);
    // With one minute of overlap, one seat goes to the second.
    let found = propose(&posts(time!(10:01)), &people, Answer::NotAsked);
    assert_eq!(found.seats.iter().filter(|seat| seat.person == 1).count(), 1);
    assert_eq!(found.seats.len(), 2);
}

#[test]
fn what_was_given_by_hand_stays_whatever_the_rules_say() {
    let mut people = [person(1, Answer::No, &[], &[]), person(2, Answer::Yes, &[(1, Answer::Yes)], &[7])];
    people[0].fixed = vec![1];
    let found = propose(&[pump(1), pump(2)], &people, Answer::Waiting);
    assert_eq!(found.seats, [seat(1, 1, How::ByHand, false), seat(2, 2, How::Moved, false)]);
    check(&[pump(1), pump(2)], &people, Answer::Waiting, &found);
    let found = propose(&[pump(1)], &people, Answer::Waiting);
    assert_eq!((found.seats.len(), &found.idle[..]), (1, &[2][..]));
    // The second could take the first's place.
    assert_eq!(found.falls, []);
}

#[test]
fn the_critical_post_is_filled_first_and_then_nobody_is_moved_for_nothing() {
    let critical = Post { priority: Priority::Critical, ..pump(1) };
    let other = post(2, Duty::Parking, 1, time!(8:00), time!(13:00), &[]);
    let parks = person(1, Answer::Maybe, &[(2, Answer::Yes)], &[7]);
    let found = propose(&[critical.clone(), other.clone()], std::slice::from_ref(&parks), Answer::Waiting);
    assert_eq!(found.seats, [seat(1, 1, How::Moved, false)]);
    // Asking someone new comes before moving the first.
    let found = propose(&[critical, other], &[parks, person(2, Answer::NotAsked, &[], &[7])], Answer::NotAsked);
    assert_eq!(found.seats, [seat(1, 2, How::NotAsked, false), seat(2, 1, How::SaidYes, false)]);
}

/// Without the first, parking gives up the second, so parking is what ends up short.
#[test]
fn the_post_that_matters_less_is_the_one_that_falls() {
    let critical = Post { priority: Priority::Critical, ..pump(1) };
    let other = post(2, Duty::Parking, 1, time!(8:00), time!(13:00), &[]);
    let people = [person(1, Answer::Yes, &[(1, Answer::Yes)], &[7]), person(2, Answer::Yes, &[(2, Answer::Yes)], &[7])];
    let found = propose(&[critical, other], &people, Answer::Waiting);
    assert_eq!(found.falls, [Fall { person: 1, posts: vec![2] }, Fall { person: 2, posts: vec![2] }]);
}

#[test]
fn nobody_changes_places_for_nothing() {
    let people = [1, 2, 3].map(|id| Person { at: vec![4 - id], ..person(id, Answer::NotAsked, &[], &[7]) });
    let found = propose(&[pump(1), pump(2), pump(3)], &people, Answer::NotAsked);
    let places: Vec<(i64, i64)> = found.seats.iter().map(|seat| (seat.post, seat.person)).collect();
    assert_eq!(places, [(1, 3), (2, 2), (3, 1)]);
}

#[test]
fn nobody_and_nothing() {
    assert_eq!(propose(&[], &[], Answer::Waiting), Proposal::default());
    let idle = propose(&[], &[person(1, Answer::Yes, &[], &[])], Answer::Waiting);
    assert_eq!(idle, Proposal { idle: vec![1], ..Proposal::default() });
    let empty = propose(&[pump(1)], &[], Answer::Waiting);
    assert_eq!((&empty.open[..], empty.missing[0].people.len(), empty.missing[0].short), (&[(1, 1)][..], 0, 1));
}

prop_compose! {
    fn any_post()(
        duty in proptest::sample::select(&Duty::ALL[..]),
        seats in 0u32..3,
        from in 0i64..20,
        length in 1i64..8,
        needs in proptest::collection::btree_set(0i64..3, 0..2),
        critical in any::<bool>(),
    ) -> Post {
        let priority = if critical { Priority::Critical } else { Priority::Usual };
        let hours = minutes(from * 60, (from + length) * 60);
        Post { id: 0, duty, seats, hours, needs: needs.into_iter().collect(), priority }
    }
}

prop_compose! {
    fn any_person()(
        holds in proptest::collection::vec((0i64..3, proptest::bool::weighted(0.2)), 0..4),
        there in proptest::option::of((0i64..10, 8i64..28)),
        day in proptest::sample::select(&ANSWERS[..]),
        posts in proptest::collection::vec((0i64..6, proptest::sample::select(&ANSWERS[..])), 0..3),
        at in proptest::option::of(0i64..6),
        fixed in proptest::option::weighted(0.1, 0i64..6),
    ) -> Person {
        let held = |(qualification, is_expired)| Held { qualification, is_expired };
        Person {
            id: 0,
            holds: holds.into_iter().map(held).collect(),
            there: there.map(|(from, length)| vec![minutes(from * 60, (from + length) * 60)]),
            day,
            posts,
            at: at.into_iter().collect(),
            fixed: fixed.into_iter().collect(),
        }
    }
}

fn any_crew() -> impl Strategy<Value = (Vec<Post>, Vec<Person>)> {
    let posts = proptest::collection::vec(any_post(), 1..6);
    let people = proptest::collection::vec(any_person(), 0..12);
    (posts, people).prop_map(|(mut posts, mut people)| {
        (0..).zip(&mut posts).for_each(|(id, post)| post.id = id);
        (0..).zip(&mut people).for_each(|(id, person)| person.id = id);
        for person in &mut people {
            person.fixed.retain(|post| usize::try_from(*post).unwrap() < posts.len());
        }
        (posts, people)
    })
}

proptest! {
    #[test]
    fn the_order_in_which_they_are_named_is_no_matter(
        (posts, people, other_posts, other_people) in any_crew().prop_flat_map(|(posts, people)| {
            (Just(posts.clone()), Just(people.clone()), Just(posts).prop_shuffle(), Just(people).prop_shuffle())
        }),
    ) {
        let one = propose(&posts, &people, Answer::NotAsked);
        check(&posts, &people, Answer::NotAsked, &one);
        prop_assert_eq!(one, propose(&other_posts, &other_people, Answer::NotAsked));
    }

    #[test]
    fn with_other_numbers_as_much_is_filled_at_the_same_weight((posts, people) in any_crew()) {
        let before = best(&posts, &people, Answer::NotAsked);
        let last = i64::try_from(people.len()).unwrap() - 1;
        let turned: Vec<Person> = people.into_iter().map(|person| Person { id: last - person.id, ..person }).collect();
        prop_assert_eq!(before, best(&posts, &turned, Answer::NotAsked));
    }

    #[test]
    fn one_more_never_makes_the_first_step_worse((posts, mut people) in any_crew()) {
        for person in &mut people {
            person.fixed.clear();
        }
        let worth = |people: &[Person]| {
            let [filled, critical, rest @ ..] = best(&posts, people, Answer::NotAsked);
            (filled, critical, rest.map(std::cmp::Reverse))
        };
        let all = worth(&people);
        if people.pop().is_some() {
            prop_assert!(worth(&people) <= all);
        }
    }
}
