use super::*;
use crate::calc::fire::testing::near;
use proptest::prelude::*;

fn within(value: f64, wanted: f64, off: f64) {
    assert!((value - wanted).abs() <= off, "{value} instead of {wanted}");
}

/// A published example of a source of 110 dB at 4 ft in a noise of 70 dB: they meet at
/// 400 ft. To stay 15 dB above the noise leaves 25 dB to lose: 4 ft · 10^(25/20).
#[test]
fn published_example() {
    near(meets(110.0, 4.0 * FOOT, 70.0), 400.0 * FOOT, 1e-9);
    near(meets(110.0, 4.0 * FOOT, 85.0), 71.13 * FOOT, 1e-4);
}

/// The Master Handbook of Acoustics: 80 dB at 10 ft is 76.5 dB at 15 ft and 83.1 dB at 7 ft.
#[test]
fn handbook_examples() {
    let at_one_meter = 80.0 + 20.0 * (10.0 * FOOT).log10();
    within(at(at_one_meter, 15.0 * FOOT), 76.5, 0.05);
    within(at(at_one_meter, 7.0 * FOOT), 83.1, 0.05);
}

/// 6 dB for each doubling, the rule of thumb, which is exact to 0.02 dB each time.
#[test]
fn six_decibels_for_each_doubling() {
    for (distance, level) in [(1.0, 95.0), (2.0, 89.0), (4.0, 83.0), (8.0, 77.0), (16.0, 71.0), (32.0, 65.0)] {
        within(at(95.0, distance), level, 0.11);
    }
    within(at(95.0, 50.0), 61.0, 0.05);
}

/// The Engineering Toolbox's table of voices at 1, 3, 6, 12, and 24 ft, in whole decibels.
#[test]
fn published_voices() {
    let distances = [1.0, 3.0, 6.0, 12.0, 24.0];
    for (voice, levels) in [
        (Voice::Normal, [70.0, 60.0, 54.0, 48.0, 42.0]),
        (Voice::Raised, [76.0, 66.0, 60.0, 54.0, 48.0]),
        (Voice::VeryLoud, [82.0, 72.0, 66.0, 60.0, 54.0]),
        (Voice::Shouting, [88.0, 78.0, 72.0, 66.0, 60.0]),
    ] {
        for (feet, level) in distances.into_iter().zip(levels) {
            within(at(voice.level_at_one_meter(), feet * FOOT), level, 0.5);
        }
    }
}

/// Textbook sums: two equal sources are 10·log₁₀ 2 = 3.01 dB louder than one, ten 10 dB.
#[test]
fn sums() {
    within(sum(&[85.0, 85.0]), 88.01, 0.001);
    within(sum(&[60.0; 10]), 70.0, 1e-9);
    within(sum(&[80.0, 60.0]), 80.043, 0.001);
    within(sum(&[5000.0, 5000.0]), 5003.01, 0.001);
    within(sum(&[72.0]), 72.0, 1e-12);
    assert!(sum(&[]) < f64::MIN);
}

#[test]
fn too_close_counts_as_close() {
    for distance in [0.3, 0.1, 0.0, -4.0] {
        within(at(90.0, distance), at(90.0, CLOSEST), 1e-12);
    }
    assert!(meets(60.0, 1.0, 90.0).abs() < 1e-12);
    within(meets(90.0, 0.0, 90.0), CLOSEST, 1e-12);
}

proptest! {
    #[test]
    fn at_its_reach_speech_has_its_margin(level in 75.0..120.0, noise in 30.0..60.0, margin in 0.0..15.0) {
        let speech = Speech { level, noise, margin };
        let reach = speech.reach();
        prop_assert!((speech.margin_at(reach) - margin).abs() < 1e-9);
        prop_assert!((speech.level_for(reach) - level).abs() < 1e-9);
        prop_assert!(speech.margin_at(reach * 1.1) < margin);
    }

    #[test]
    fn a_sum_is_at_least_its_loudest_and_no_order_matters(mut levels in prop::collection::vec(-20.0..140.0, 1..12)) {
        let whole = sum(&levels);
        let loudest = levels.iter().copied().fold(f64::MIN, f64::max);
        prop_assert!(whole >= loudest - 1e-9);
        levels.reverse();
        prop_assert!((whole - sum(&levels)).abs() < 1e-9);
    }

    #[test]
    fn beyond_the_ear_limit_it_is_quieter(level in 60.0..130.0) {
        let speech = Speech { level, noise: 50.0, margin: MARGIN };
        prop_assert!(at(level, speech.too_loud_within() + 0.001) <= EAR_LIMIT + 1e-9);
    }
}
