//! Crews staffed by hand.

use super::*;
use time::Time;
use time::macros::{date, time};

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
