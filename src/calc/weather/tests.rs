use super::*;
use proptest::prelude::*;

fn heat(fahrenheit_air: f64, humidity: f64) -> Option<f64> {
    heat_index(to_celsius(fahrenheit_air), humidity).map(fahrenheit)
}

fn chill(fahrenheit_air: f64, mph: f64) -> Option<f64> {
    wind_chill(to_celsius(fahrenheit_air), mph * METERS_PER_SECOND).map(fahrenheit)
}

/// The heat index chart of the National Weather Service, °F, by air from 80 to 110 °F and
/// humidity from 40 % by steps of 5; it leaves out what would be higher.
// As two copies of the chart have it (up to 100 °F and 80 %) and one beyond. They differ in
// three cells: 103 or 102 at 94 °F and 50 %, 105 or 106 at 90 °F and 70 %, 135 (from memory) or
// 136 at 94 °F and 85 %.
const CHART: &[(f64, &[f64])] = &[
    (110.0, &[136.0]),
    (108.0, &[130.0, 137.0]),
    (106.0, &[124.0, 130.0, 137.0]),
    (104.0, &[119.0, 124.0, 131.0, 137.0]),
    (102.0, &[114.0, 119.0, 124.0, 130.0, 137.0]),
    (100.0, &[109.0, 114.0, 118.0, 124.0, 129.0, 136.0]),
    (98.0, &[105.0, 109.0, 113.0, 117.0, 123.0, 128.0, 134.0]),
    (96.0, &[101.0, 104.0, 108.0, 112.0, 116.0, 121.0, 126.0, 132.0]),
    (94.0, &[97.0, 100.0, 103.0, 106.0, 110.0, 114.0, 119.0, 124.0, 129.0, 135.0]),
    (92.0, &[94.0, 96.0, 99.0, 101.0, 105.0, 108.0, 112.0, 116.0, 121.0, 126.0, 131.0]),
    (90.0, &[91.0, 93.0, 95.0, 97.0, 100.0, 103.0, 105.0, 109.0, 113.0, 117.0, 122.0, 127.0, 132.0]),
    (88.0, &[88.0, 89.0, 91.0, 93.0, 95.0, 98.0, 100.0, 103.0, 106.0, 110.0, 113.0, 117.0, 121.0]),
    (86.0, &[85.0, 87.0, 88.0, 89.0, 91.0, 93.0, 95.0, 97.0, 100.0, 102.0, 105.0, 108.0, 112.0]),
    (84.0, &[83.0, 84.0, 85.0, 86.0, 88.0, 89.0, 90.0, 92.0, 94.0, 96.0, 98.0, 100.0, 103.0]),
    (82.0, &[81.0, 82.0, 83.0, 84.0, 84.0, 85.0, 86.0, 88.0, 89.0, 90.0, 91.0, 93.0, 95.0]),
    (80.0, &[80.0, 80.0, 81.0, 81.0, 82.0, 82.0, 83.0, 84.0, 84.0, 85.0, 86.0, 86.0, 87.0]),
];

/// Where the damp adjustment takes it further from the chart than the regression may be.
const DAMP: [(f64, f64); 2] = [(80.0, 95.0), (80.0, 100.0)];

#[test]
fn the_heat_index_is_that_of_the_chart() {
    let mut compared = 0;
    for (air, row) in CHART {
        for (place, theirs) in (0_u8..).zip(*row) {
            let humidity = 40.0 + 5.0 * f64::from(place);
            let mut ours = heat(*air, humidity).unwrap();
            if DAMP.contains(&(*air, humidity)) {
                assert!(ours - theirs > 1.3, "{air} °F, {humidity} % is no exception: {ours}");
                ours = fitted(*air, humidity);
            }
            assert!((ours - theirs).abs() <= 1.3, "{air} °F, {humidity} %: {ours}, not {theirs}");
            compared += 1;
        }
    }
    assert_eq!(compared, 135);
}

/// Where the chart is blank, there is none, but for one cell that comes to 136.9 °F.
#[test]
fn what_the_chart_leaves_out_has_no_heat_index() {
    for (air, row) in CHART {
        for place in row.len()..13 {
            let humidity = 40.0 + 5.0 * f64::from(u8::try_from(place).unwrap());
            let ours = heat(*air, humidity);
            assert_eq!(ours.is_some(), (*air, humidity) == (92.0, 95.0), "{air} °F, {humidity} %: {ours:?}");
        }
    }
}

/// The regression without its adjustments, °F, from one coefficient to the next.
fn fitted(air: f64, humidity: f64) -> f64 {
    let constant = -42.379 + air * (2.049_015_23 - 0.006_837_83 * air);
    let linear = 10.143_331_27 + air * (0.001_228_74 * air - 0.224_755_41);
    let square = -0.054_817_17 + air * (0.000_852_82 - 0.000_001_99 * air);
    constant + humidity * (linear + humidity * square)
}

/// Worked by hand from the National Weather Service's text.
#[test]
fn dry_and_damp_air_are_adjusted() {
    let adjusted = |air: f64, humidity: f64| heat(air, humidity).unwrap() - fitted(air, humidity);
    let by_hand = [
        // At 95 °F the root is 1, and 13 − 5 is two fours.
        (95.0, 5.0, -2.0),
        // 8 °F off either way, the root is that of 9/17.
        (103.0, 9.0, -0.727_606_875),
        (95.0, 13.0, 0.0),
        (113.0, 5.0, 0.0),
        // One ten, and one five.
        (82.0, 95.0, 1.0),
        (84.5, 90.0, 0.25),
        (88.0, 95.0, 0.0),
        (82.0, 85.0, 0.0),
    ];
    for (air, humidity, by) in by_hand {
        assert!((adjusted(air, humidity) - by).abs() < 1e-6, "{air} °F, {humidity} %: {}", adjusted(air, humidity));
    }
}

#[test]
fn below_80_the_simple_formula_counts() {
    // 0.5 × (70 + 61 + 2.4 + 4.7)
    assert!((heat(70.0, 50.0).unwrap() - 69.05).abs() < 1e-9);
}

// That Steadman's table goes from 20 to 50 °C is from memory.
#[test]
fn the_heat_index_ends_where_its_table_does() {
    for (celsius, humidity) in
        [(19.9, 50.0), (50.1, 10.0), (30.0, -0.1), (30.0, 100.1), (f64::NAN, 50.0), (30.0, f64::NAN), (45.0, 80.0)]
    {
        assert_eq!(heat_index(celsius, humidity), None, "{celsius} °C, {humidity} %");
    }
    for (celsius, humidity) in [(HEAT_FROM, 0.0), (HEAT_FROM, 100.0), (HEAT_TO, 5.0)] {
        assert!(heat_index(celsius, humidity).is_some(), "{celsius} °C, {humidity} %");
    }
}

/// The wind chill chart of the National Weather Service (2001), °F: by wind, mph, and air from 35
/// to −45 °F by steps of 5.
// As the La Crosse office's page has it.
const WIND_CHILL: &[(f64, [f64; 17])] = &[
    (5.0, [31., 25., 19., 13., 7., 1., -5., -11., -16., -22., -28., -34., -40., -46., -52., -57., -63.]),
    (10.0, [27., 21., 15., 9., 3., -4., -10., -16., -22., -28., -35., -41., -47., -53., -59., -66., -72.]),
    (15.0, [25., 19., 13., 6., 0., -7., -13., -19., -26., -32., -39., -45., -51., -58., -64., -71., -77.]),
    (20.0, [24., 17., 11., 4., -2., -9., -15., -22., -29., -35., -42., -48., -55., -61., -68., -74., -81.]),
    (25.0, [23., 16., 9., 3., -4., -11., -17., -24., -31., -37., -44., -51., -58., -64., -71., -78., -84.]),
    (30.0, [22., 15., 8., 1., -5., -12., -19., -26., -33., -39., -46., -53., -60., -67., -73., -80., -87.]),
    (35.0, [21., 14., 7., 0., -7., -14., -21., -27., -34., -41., -48., -55., -62., -69., -76., -82., -89.]),
    (40.0, [20., 13., 6., -1., -8., -15., -22., -29., -36., -43., -50., -57., -64., -71., -78., -84., -91.]),
    (45.0, [19., 12., 5., -2., -9., -16., -23., -30., -37., -44., -51., -58., -65., -72., -79., -86., -93.]),
    (50.0, [19., 12., 4., -3., -10., -17., -24., -31., -38., -45., -52., -60., -67., -74., -81., -88., -95.]),
    (55.0, [18., 11., 4., -3., -11., -18., -25., -32., -39., -46., -54., -61., -68., -75., -82., -89., -97.]),
];

/// The same chart's first column: 40 °F, by wind from 5 to 60 mph by steps of 5.
const AT_40: [f64; 12] = [36., 34., 32., 30., 29., 28., 28., 27., 26., 26., 25., 25.];

#[test]
fn wind_chill_is_that_of_the_chart() {
    let is = |air: f64, wind: f64, theirs: f64| {
        let ours = chill(air, wind).unwrap();
        assert!((ours.round() - theirs).abs() < 1e-9, "{air} °F, {wind} mph: {ours}, not {theirs}");
    };
    for (wind, row) in WIND_CHILL {
        for (place, theirs) in (0_u8..).zip(row) {
            is(35.0 - 5.0 * f64::from(place), *wind, *theirs);
        }
    }
    for (place, theirs) in (1_u8..).zip(AT_40) {
        is(40.0, 5.0 * f64::from(place), theirs);
    }
}

#[test]
fn wind_chill_ends_at_50_degrees_and_3_mph() {
    assert!(chill(50.0, 3.01).is_some());
    assert_eq!(wind_chill(CHILL_TO, CHILL_ABOVE), None);
    assert_eq!(chill(50.1, 20.0), None);
    for wrong in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(wind_chill(wrong, 5.0), None);
        assert_eq!(wind_chill(0.0, wrong), None);
    }
}

/// The scale's table in meters per second, to a tenth.
// As several pages have it.
const SCALE: [(f64, f64); 12] = [
    (0.0, 0.2),
    (0.3, 1.5),
    (1.6, 3.3),
    (3.4, 5.4),
    (5.5, 7.9),
    (8.0, 10.7),
    (10.8, 13.8),
    (13.9, 17.1),
    (17.2, 20.7),
    (20.8, 24.4),
    (24.5, 28.4),
    (28.5, 32.6),
];

#[test]
fn each_force_has_its_winds() {
    for (force, (from, to)) in (0_u8..).zip(SCALE) {
        assert_eq!((beaufort(from).force, beaufort(to).force), (force, force));
    }
    assert_eq!((beaufort(32.7).force, beaufort(f64::INFINITY).force), (12, 12));
    assert_eq!((beaufort(f64::NAN).force, beaufort(-1.0).force), (12, 0));
}

/// The same scale in whole miles per hour, where each force ends.
// As several pages have it.
#[test]
fn in_miles_per_hour_it_differs_in_two_places() {
    let ends = [0_u8, 3, 7, 12, 18, 24, 31, 38, 46, 54, 63, 72];
    let by_miles = |mph: u8| ends.iter().filter(|end| **end < mph).count();
    let differ: Vec<u8> =
        (0..=90).filter(|mph| usize::from(beaufort(f64::from(*mph) * 0.447_04).force) != by_miles(*mph)).collect();
    assert_eq!(differ, [18, 73]);
}

#[test]
fn forces_have_names() {
    let names: Vec<&str> = FORCES.iter().map(|(_, force)| force.words).collect();
    assert_eq!(names[0], "calm");
    assert_eq!(names[4], "moderate breeze");
    assert_eq!(names[12], "hurricane");
    assert!(FORCES.iter().enumerate().all(|(place, (_, force))| usize::from(force.force) == place));
}

proptest! {
    #[test]
    fn more_humidity_and_more_heat_never_feel_cooler(air in 80.0..110.0_f64, humidity in 40.0..99.0_f64) {
        let here = regression(air, humidity);
        // The damp adjustment ends at 87 °F, and the regression is only a fit.
        prop_assert!(regression(air + 1.0, humidity) > here - 0.5);
        prop_assert!(regression(air, humidity + 1.0) > here - 0.5);
    }

    #[test]
    fn more_wind_or_more_cold_never_feels_warmer(air in -45.0..50.0_f64, wind in 3.1..60.0_f64) {
        let here = chill(air, wind).unwrap();
        prop_assert!(chill(air, wind + 1.0).unwrap() < here);
        prop_assert!(chill(air - 1.0, wind).unwrap() < here);
    }

    #[test]
    fn more_wind_never_has_a_smaller_force(wind in 0.0..40.0_f64, more in 0.0..10.0_f64) {
        prop_assert!(beaufort(wind + more).force >= beaufort(wind).force);
    }
}
