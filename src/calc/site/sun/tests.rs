use super::*;
use proptest::prelude::*;

/// The example in NREL's report on the algorithm (Reda and Andreas, NREL/TP-560-34302):
/// zenith angle 50.111 62°, azimuth 194.340 24°. It is at 1,830 m, where the air refracts
/// 0.003° less. Its sunset, 17:20:19 Mountain Standard Time, is the one on that date in
/// Greenwich, so in Colorado it is the evening before.
#[test]
fn published_example() {
    let (latitude, longitude, noon) = (39.742_476, -105.178_6, 1_066_419_030);
    let sun = position(latitude, longitude, noon).unwrap();
    assert!((sun.azimuth - 194.340_24).abs() < 0.001, "{sun:?}");
    assert!((sun.height - (90.0 - 50.111_62)).abs() < 0.005, "{sun:?}");
    let set = sunset(latitude, longitude, noon - 86_400).unwrap();
    assert!((set - 1_066_350_019).abs() <= 5, "{set}");
}

/// June 21 and December 21, 2026: in Svalbard the sun neither sets in summer nor rises in
/// winter.
#[test]
fn no_sunset_near_the_pole() {
    for day in [1_782_000_000, 1_797_811_200] {
        assert_eq!(sunset(78.2, 15.6, day), None, "{day}");
    }
    let heights = [1_782_000_000, 1_797_811_200].map(|day| position(78.2, 15.6, day).unwrap().height);
    assert!(heights[0] > 0.0 && heights[1] < 0.0, "{heights:?}");
}

#[test]
fn nowhere_and_never() {
    for (latitude, longitude, time) in [
        (90.1, 0.0, 0),
        (-91.0, 0.0, 0),
        (0.0, 180.1, 0),
        (0.0, -181.0, 0),
        (f64::NAN, 0.0, 0),
        (0.0, f64::INFINITY, 0),
        (0.0, 0.0, i64::MAX),
        (0.0, 0.0, i64::MIN),
    ] {
        assert_eq!(position(latitude, longitude, time), None, "{latitude} {longitude} {time}");
        assert_eq!(sunset(latitude, longitude, time), None, "{latitude} {longitude} {time}");
    }
}

#[test]
fn turns() {
    for (from, to, angle) in [(0.0, 90.0, 90.0), (350.0, 10.0, 20.0), (10.0, 350.0, 20.0), (0.0, 180.0, 180.0)] {
        assert!((turn(from, to) - angle).abs() < 1e-9, "{from} {to}");
    }
    assert!((turn(-90.0, 630.0)).abs() < 1e-9);
}

#[test]
fn glare_at_its_limits() {
    let sun = |azimuth, height| Sun { azimuth, height };
    assert!((glare(180.0, &sun(180.0, 12.0)).unwrap() - 12.0).abs() < 1e-9);
    assert!((glare(350.0, &sun(15.0, 1e-9)).unwrap() - 25.0).abs() < 1e-6);
    // Straight at it.
    assert!(glare(180.0, &sun(180.0, 1e-9)).unwrap() < 1e-6);
    for (azimuth, height) in [(180.0, 0.0), (180.0, -1.0), (180.0, 30.0), (210.1, 10.0), (149.9, 10.0), (0.0, 10.0)] {
        assert_eq!(glare(180.0, &sun(azimuth, height)), None, "{azimuth} {height}");
    }
    assert_eq!(glare(f64::NAN, &sun(180.0, 10.0)), None);
    assert_eq!(glare(180.0, &sun(f64::NAN, 10.0)), None);
    assert_eq!(glare(180.0, &sun(180.0, f64::NAN)), None);
}

proptest! {
    /// The angle between the two directions, by their unit vectors.
    #[test]
    fn glare_is_an_angle_in_space(view in 0.0..360.0_f64, aside in -29.9..29.9_f64, height in 0.1..29.9_f64) {
        let azimuth = (view + aside).rem_euclid(360.0);
        let angle = glare(view, &Sun { azimuth, height }).unwrap();
        let ((view_x, view_y), (x, y)) = (view.to_radians().sin_cos(), azimuth.to_radians().sin_cos());
        let (up, level) = height.to_radians().sin_cos();
        let apart = (view_x - x * level).hypot(view_y - y * level).hypot(up);
        prop_assert!((angle - 2.0 * (apart / 2.0).asin().to_degrees()).abs() < 1e-6);
    }

    #[test]
    fn a_turn_is_the_same_both_ways(from in -720.0..720.0, to in -720.0..720.0) {
        prop_assert!((turn(from, to) - turn(to, from)).abs() < 1e-9);
        prop_assert!((0.0..=180.0).contains(&turn(from, to)));
    }

    #[test]
    fn any_time_and_place_has_an_answer(
        latitude in -95.0..95.0, longitude in -190.0..190.0, time in any::<i64>()
    ) {
        let there = (-90.0..=90.0).contains(&latitude) && (-180.0..=180.0).contains(&longitude);
        prop_assert!(there || position(latitude, longitude, time).is_none());
        let near = time % 4_000_000_000;
        prop_assert_eq!(position(latitude, longitude, near).is_some(), there);
        if let Some(set) = sunset(latitude, longitude, near) {
            prop_assert!(set >= near && set <= near + 86_400);
        }
    }
}
