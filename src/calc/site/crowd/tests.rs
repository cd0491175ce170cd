use super::super::INCH;
use super::*;
use crate::calc::fire::testing::near;
use proptest::prelude::*;

/// The tables' own limits, and cases worked out from them by hand.
#[test]
fn wheelchair_spaces_by_the_table() {
    for (people, spaces) in [
        (0, 0),
        (3, 0),
        (4, 1),
        (25, 1),
        (26, 2),
        (50, 2),
        (51, 4),
        (150, 4),
        (151, 5),
        (300, 5),
        (301, 6),
        (500, 6),
        (501, 7),
        (650, 7),
        (651, 8),
        (1000, 10),
        (5000, 36),
        (5001, 37),
        (5200, 37),
        (5201, 38),
    ] {
        assert_eq!(wheelchair_spaces(people), spaces, "{people}");
    }
}

/// Table 219.3 at its limits. Its lines meet: at 500, 1,000, and 2,000 people the formula of
/// the line gives the number with which the next one starts.
#[test]
fn receivers_by_the_table() {
    for (people, needed) in [
        (0, 0),
        (1, 2),
        (50, 2),
        (51, 3),
        (75, 3),
        (76, 4),
        (200, 8),
        (201, 9),
        (500, 20),
        (501, 21),
        (533, 21),
        (534, 22),
        (1000, 36),
        (1001, 36),
        (1050, 36),
        (1051, 37),
        (2000, 55),
        (2001, 56),
        (2100, 56),
        (2101, 57),
    ] {
        assert_eq!(receivers(people), needed, "{people}");
    }
    for (all, compatible) in [(0, 0), (2, 2), (8, 2), (9, 3), (20, 5), (21, 6), (55, 14)] {
        assert_eq!(hearing_aid_compatible(all), compatible, "{all}");
    }
}

/// Table 208.2, and the numbers of van stalls that the regional ADA center prints beside it.
#[test]
fn stalls_by_the_table() {
    for (stalls, accessible, vans) in [
        (0, 0, 0),
        (1, 1, 1),
        (25, 1, 1),
        (26, 2, 1),
        (50, 2, 1),
        (51, 3, 1),
        (75, 3, 1),
        (76, 4, 1),
        (100, 4, 1),
        (101, 5, 1),
        (150, 5, 1),
        (151, 6, 1),
        (200, 6, 1),
        (201, 7, 2),
        (300, 7, 2),
        (301, 8, 2),
        (400, 8, 2),
        (401, 9, 2),
        (500, 9, 2),
        (501, 11, 2),
        (550, 11, 2),
        (551, 12, 2),
        (1000, 20, 4),
        (1001, 21, 4),
        (1100, 21, 4),
        (1101, 22, 4),
    ] {
        assert_eq!(accessible_stalls(stalls), accessible, "{stalls}");
        assert_eq!(van_stalls(accessible), vans, "{stalls}");
    }
}

/// 5 and 7 ft² for each person, as guidance on NFPA 101 converts them.
#[test]
fn densities() {
    near(ASSEMBLY, 2.15, 2e-3);
    near(LARGE_ASSEMBLY, 1.54, 2e-3);
    assert_eq!(fits(1000.0, 0.2, 1.0), 800);
    assert_eq!(fits(1000.0, 0.2, 0.7), 560);
    assert_eq!(fits(100.0, 0.0, 0.999), 99);
    for (area, aisles, density) in [(-5.0, 0.2, 1.0), (5.0, 2.0, 1.0), (5.0, 0.2, -1.0), (f64::NAN, 0.2, 1.0)] {
        assert_eq!(fits(area, aisles, density), 0);
    }
    assert_eq!(fits(10.0, -3.0, 1.0), 10);
    assert_eq!(fits(1e300, 0.0, 7.0), u32::MAX);
}

/// One city's guide has a toilet for each 50 people; a twentieth of them is 5 percent.
#[test]
fn toilets_for_people() {
    assert_eq!((toilets(600, 50), toilets(601, 50), toilets(0, 50)), (12, 13, 0));
    assert_eq!(toilets(600, 0), 600);
    for (all, accessible) in [(0, 0), (1, 1), (12, 1), (20, 1), (21, 2)] {
        assert_eq!(accessible_toilets(all), accessible, "{all}");
    }
}

/// 600 people at 2.5 to a car are 240 cars, and take 240/150/0.92 = 1.74 acres.
#[test]
fn cars_on_a_field() {
    assert_eq!(cars(600, 2.5), 240);
    assert_eq!((cars(601, 2.5), cars(0, 2.5), cars(7, 0.0), cars(7, -1.0)), (241, 0, 7, 7));
    assert_eq!(cars_that_fit(1.74 * ACRE), 240);
    assert_eq!(cars_that_fit(1.73 * ACRE), 238);
    assert_eq!(cars_that_fit(-1.0), 0);
    // The international acre, as the National Institute of Standards and Technology has it.
    near(ACRE, 4_046.856_422_4, 1e-12);
}

/// 1,000 people at 0.2 in. each are 200 in., which are 5.08 m.
#[test]
fn exits() {
    near(exit_width(1000, 0.2 * INCH), 5.08, 1e-12);
    assert!(exit_width(1000, -0.2).abs() < 1e-12);
}

proptest! {
    #[test]
    fn more_people_never_need_less(people in 0..20_000_u32, more in 0..500_u32) {
        for needed in [wheelchair_spaces, receivers, accessible_stalls] {
            prop_assert!(needed(people) <= needed(people + more));
        }
    }

    /// All have a seat, and with one car less somebody doesn't.
    #[test]
    fn just_enough_cars(people in 1..20_000_u32, tenths in 10..60_u32) {
        let cars = u64::from(cars(people, f64::from(tenths) / 10.0));
        let (people, tenths) = (u64::from(people), u64::from(tenths));
        prop_assert!(cars * tenths >= people * 10);
        prop_assert!((cars - 1) * tenths < people * 10);
    }

    #[test]
    fn no_number_of_people_is_too_many(people in any::<u32>()) {
        let spaces = wheelchair_spaces(people).max(hearing_aid_compatible(receivers(people)));
        let stalls = van_stalls(accessible_stalls(people));
        prop_assert!(spaces.max(stalls) <= people.max(2));
    }
}
