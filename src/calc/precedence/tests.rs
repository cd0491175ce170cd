//! Invented guests. The rules they are checked against come from R. Hickey,
//! greatplacesdirectory.com/news/44 (rank, service, own jurisdiction);
//! R. Hickey, roberthickey.wordpress.com, Precedence Q&A (a sitting governor
//! before a former secretary, companions have no rank); the protocol manual of
//! Guam, section 2.1.2 (no one but the governor and the lieutenant governor goes
//! before the mayor in the mayor's own village). Sponsors and deputies are common
//! practice.

use super::*;
use proptest::prelude::*;
use time::macros::date;

/// The usual list: place, is the host, goes before the host.
const LIST: [(&str, u16, bool, bool); 11] = [
    ("governor", 1, false, true),
    ("United States senator", 2, false, false),
    ("United States representative", 3, false, false),
    ("lieutenant governor", 4, false, true),
    ("state officer", 5, false, false),
    ("state senator", 6, false, false),
    ("state representative", 7, false, false),
    ("county commissioner", 8, false, false),
    ("mayor", 9, true, false),
    ("council member", 11, false, false),
    ("school board member", 12, false, false),
];

fn office(title: &str) -> Office {
    let entry = LIST.iter().find(|(known, ..)| *known == title);
    Office {
        title: title.to_owned(),
        place: entry.map(|(_, place, ..)| *place),
        is_host: entry.is_some_and(|(_, _, is_host, _)| *is_host),
        before_host: entry.is_some_and(|(_, _, _, before)| *before),
        in_own: true,
        since: None,
        is_former: false,
        is_deputy: false,
    }
}

fn claim(id: i64, name: &str, rank: Rank) -> Claim {
    Claim { id, name: name.to_owned(), sorts_as: name.to_lowercase(), rank, by_hand: None }
}

fn official(id: i64, name: &str, office: Office) -> Claim {
    claim(id, name, Rank::Official(office))
}

fn sponsor(id: i64, name: &str, level: &str, place: u16) -> Claim {
    claim(id, name, Rank::Sponsor { level: level.to_owned(), place: Some(place) })
}

fn twenty() -> Vec<Claim> {
    let since = |title, on| Office { since: Some(on), ..office(title) };
    let visiting = |title| Office { in_own: false, ..office(title) };
    let former = |title| Office { is_former: true, ..office(title) };
    let deputy = |title| Office { is_deputy: true, ..office(title) };
    vec![
        official(1, "Vance", since("mayor", date!(2021 - 01 - 01))),
        official(2, "Orsolya", visiting("mayor")),
        official(3, "Solberg", since("county commissioner", date!(2011 - 01 - 01))),
        official(4, "Oduya", since("county commissioner", date!(2019 - 01 - 01))),
        official(5, "Pell", office("county commissioner")),
        official(6, "Halloran", deputy("state senator")),
        official(7, "Bright", office("state senator")),
        official(8, "Crane", office("state representative")),
        official(9, "Marlowe", former("governor")),
        official(10, "Ibsen", former("mayor")),
        official(11, "Adair", office("governor")),
        official(12, "Zeller", visiting("governor")),
        official(13, "Quist", deputy("lieutenant governor")),
        official(14, "Lindqvist", since("council member", date!(2023 - 05 - 02))),
        official(15, "Amato", since("council member", date!(2023 - 01 - 04))),
        official(16, "Rourke", office("harbor master")),
        sponsor(17, "Fairweather Furniture", "lead", 1),
        sponsor(18, "Bend Lumber Yard", "supporting", 3),
        sponsor(19, "Alder Bend Hardware", "supporting", 3),
        claim(20, "Neighbors of East Bend", Rank::Partner),
    ]
}

/// The whole order, each place with its reason.
const EXPECTED: [(i64, &str); 20] = [
    (11, "first: governor, rank 1 on your list; before Vance, the host, because this office goes before any host"),
    (1, "second: mayor, rank 9 on your list, first in their own town; before Quist, who isn't the host"),
    (13, "third: on behalf of the lieutenant governor, rank 4 on your list; before Bright, whose office ranks lower"),
    (7, "fourth: state senator, rank 6 on your list; before Halloran, who is a deputy"),
    (6, "fifth: on behalf of the state senator, rank 6 on your list; before Crane, whose office ranks lower"),
    (8, "sixth: state representative, rank 7 on your list; before Solberg, whose office ranks lower"),
    (3, "seventh: county commissioner, rank 8 on your list; before Oduya, who took office later: 2019, not 2011"),
    (4, "eighth: county commissioner, rank 8 on your list; before Pell, whose time in office isn't known"),
    (5, "ninth: county commissioner, rank 8 on your list; before Amato, whose office ranks lower"),
    (15, "tenth: council member, rank 11 on your list; before Lindqvist, who took office later"),
    (14, "eleventh: council member, rank 11 on your list; before Rourke, whose office ranks lower"),
    (16, "twelfth: harbor master, not on your list; before Zeller, who is outside their own jurisdiction"),
    (
        12,
        "13th: governor, rank 1 on your list, outside their own jurisdiction; before Orsolya, whose office ranks lower",
    ),
    (
        2,
        "14th: mayor, rank 9 on your list, outside their own jurisdiction; before Marlowe, who no longer holds the office",
    ),
    (9, "15th: former governor, rank 1 on your list; before Ibsen, whose office ranks lower"),
    (
        10,
        "16th: former mayor, rank 9 on your list; before Fairweather Furniture, because officials come before sponsors",
    ),
    (17, "17th: sponsor (lead), level 1 on your list; before Alder Bend Hardware, at a lower level"),
    (19, "18th: sponsor (supporting), level 3 on your list; before Bend Lumber Yard, in alphabetical order"),
    (18, "19th: sponsor (supporting), level 3 on your list; before Neighbors of East Bend, because partners come last"),
    (20, "20th: partner"),
];

#[test]
fn twenty_guests_have_these_places_for_these_reasons() {
    let claims = twenty();
    let placed = order(&claims);
    for (placed, (id, why)) in placed.iter().zip(EXPECTED) {
        assert_eq!((claims[placed.of].id, placed.why.as_str()), (id, why));
        assert_eq!(placed.place, placed.by_rule);
    }
    assert_eq!(placed.len(), EXPECTED.len());
}

#[test]
fn two_at_a_time_the_one_before_the_other() {
    let sitting = |title| office(title);
    let visiting = |title| Office { in_own: false, ..office(title) };
    let former = |title| Office { is_former: true, ..office(title) };
    let deputy = |title| Office { is_deputy: true, ..office(title) };
    for (first, second, rule) in [
        // Guam, 2.1.2.
        (sitting("governor"), sitting("mayor"), "the governor before the mayor in the mayor's town"),
        (sitting("lieutenant governor"), sitting("mayor"), "so does the lieutenant governor"),
        (sitting("mayor"), sitting("United States senator"), "no one else does"),
        (sitting("mayor"), visiting("governor"), "a governor from elsewhere doesn't"),
        (sitting("state senator"), visiting("mayor"), "a mayor from elsewhere goes by rank"),
        // Hickey, roberthickey.wordpress.com.
        (sitting("governor"), former("United States senator"), "sitting before former"),
        (sitting("school board member"), former("governor"), "however high the former office"),
        // Hickey, greatplacesdirectory.com.
        (sitting("council member"), visiting("state senator"), "own jurisdiction before outside it"),
        // Common practice.
        (sitting("mayor"), deputy("governor"), "only the officeholder goes before the host"),
        (deputy("governor"), sitting("United States senator"), "a deputy before the next office"),
        (sitting("county commissioner"), deputy("mayor"), "a deputy for the mayor is no host"),
        (sitting("council member"), deputy("council member"), "holders before deputies"),
    ] {
        let claims = [official(1, "B", second), official(2, "A", first)];
        assert_eq!(order(&claims)[0].of, 1, "{rule}");
        let claims = [claims[1].clone(), claims[0].clone()];
        assert_eq!(order(&claims)[0].of, 0, "{rule}, the other way round");
    }
}

#[test]
fn a_place_by_hand_stands_and_says_what_the_rules_had_said() {
    let mut claims = twenty();
    claims[5].by_hand = Some((1, "gives the keynote".to_owned()));
    claims[19].by_hand = Some((99, "asked for it".to_owned()));
    let placed = order(&claims);
    assert_eq!(claims[placed[0].of].id, 6);
    assert_eq!(
        placed[0].why,
        "first, set by hand: gives the keynote; by the rules, fifth: on behalf of the state senator, rank 6 on your list"
    );
    assert!(placed[0].is_by_hand && placed[0].by_rule == 5);
    assert_eq!(claims[placed[1].of].id, 11);
    assert_eq!(claims[placed[19].of].id, 20);
    assert!(placed[18].why.ends_with("before Neighbors of East Bend, who is placed by hand"), "{}", placed[18].why);
}

#[test]
fn places_have_names() {
    for (place, name) in [(1, "first"), (12, "twelfth"), (13, "13th"), (21, "21st"), (22, "22nd"), (111, "111th")] {
        assert_eq!(ordinal(place), name);
    }
}

prop_compose! {
    fn any_office()(
        entry in 0..LIST.len(),
        known in any::<bool>(),
        in_own in any::<bool>(),
        is_former in proptest::bool::weighted(0.2),
        is_deputy in proptest::bool::weighted(0.2),
        since in proptest::option::of(0i32..9000),
    ) -> Office {
        let day = |days| Date::from_julian_day(date!(2001 - 01 - 01).to_julian_day() + days).unwrap();
        let office = office(LIST[entry].0);
        let place = office.place.filter(|_| known);
        Office { place, in_own, is_former, is_deputy, since: since.map(day), ..office }
    }
}

fn any_rank() -> impl Strategy<Value = Rank> {
    prop_oneof![
        6 => any_office().prop_map(Rank::Official),
        2 => proptest::option::of(1u16..4).prop_map(|place| Rank::Sponsor { level: "some".to_owned(), place }),
        1 => Just(Rank::Partner),
    ]
}

fn any_claims() -> impl Strategy<Value = Vec<Claim>> {
    let one = (any_rank(), "[a-d]{1,2}", proptest::option::weighted(0.2, 1usize..12));
    proptest::collection::vec(one, 0..14).prop_map(|all| {
        let claim = |(id, (rank, name, by_hand)): (i64, (Rank, String, Option<usize>))| Claim {
            by_hand: by_hand.map(|place| (place, "so".to_owned())),
            ..claim(id, &name, rank)
        };
        (0..).zip(all).map(claim).collect()
    })
}

proptest! {
    #[test]
    fn everybody_has_one_place_and_the_order_of_the_claims_is_no_matter(
        (claims, mixed) in any_claims().prop_flat_map(|claims| (Just(claims.clone()), Just(claims).prop_shuffle())),
    ) {
        let (one, other) = (order(&claims), order(&mixed));
        let says = |all: &[Claim], placed: &[Placed]| -> Vec<(i64, String)> {
            placed.iter().map(|placed| (all[placed.of].id, placed.why.clone())).collect()
        };
        prop_assert_eq!(says(&claims, &one), says(&mixed, &other));
        let places: Vec<usize> = one.iter().map(|placed| placed.place).collect();
        prop_assert_eq!(places, (1..=claims.len()).collect::<Vec<_>>());
        let mut ids: Vec<usize> = one.iter().map(|placed| placed.of).collect();
        ids.sort_unstable();
        prop_assert_eq!(ids, (0..claims.len()).collect::<Vec<_>>());
    }

    #[test]
    fn who_comes_before_whom_is_a_total_order(claims in any_claims()) {
        for a in &claims {
            for b in &claims {
                prop_assert_eq!(a.key().cmp(&b.key()), b.key().cmp(&a.key()).reverse());
                prop_assert_eq!(a.key() == b.key(), a.id == b.id);
                for c in &claims {
                    if a.key() <= b.key() && b.key() <= c.key() {
                        prop_assert!(a.key() <= c.key());
                    }
                }
            }
        }
    }

    #[test]
    fn one_who_stays_away_changes_no_order_among_the_rest(
        claims in any_claims(), which in any::<prop::sample::Index>(),
    ) {
        prop_assume!(!claims.is_empty());
        let claims: Vec<Claim> = claims.into_iter().map(|claim| Claim { by_hand: None, ..claim }).collect();
        let gone = claims[which.index(claims.len())].id;
        let rest: Vec<Claim> = claims.iter().filter(|claim| claim.id != gone).cloned().collect();
        let ids = |all: &[Claim]| -> Vec<i64> { order(all).iter().map(|placed| all[placed.of].id).collect() };
        let before: Vec<i64> = ids(&claims).into_iter().filter(|id| *id != gone).collect();
        prop_assert_eq!(before, ids(&rest));
    }
}
