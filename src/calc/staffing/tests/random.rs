//! What holds for any crew.

use super::*;
use proptest::prelude::*;

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
