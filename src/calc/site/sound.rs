//! Whether people hear the presenter over the pumps and the crowd.
//!
//! A small source in the open: its level falls by 6 dB each time the distance doubles. Walls
//! that reflect, wind, and ground that absorbs are left out, so a sound check on the day decides.
//!
//! Units: meters, and decibels (dBA where ears or noise are meant).

use super::FOOT;

/// The closest to a source that the law of distance is used, m; anything closer counts as
/// this. Common practice, no source.
pub const CLOSEST: f64 = 0.3;

/// How far speech should be above the noise, dB. Common practice, no source.
pub const MARGIN: f64 = 10.0;

/// The same for children and people who are hard of hearing, dB: the speech-to-noise ratio
/// behind the American standard for classrooms, ANSI S12.60 (from memory).
pub const MARGIN_HARD_OF_HEARING: f64 = 15.0;

/// What ears should not get on average, dBA: the recommended limit of the National Institute for
/// Occupational Safety and Health (NIOSH) for eight hours.
pub const EAR_LIMIT: f64 = 85.0;

/// The level at a distance, from the level at 1 m: L − 20·log₁₀ d.
///
/// ```
/// use burnday::calc::site::sound::at;
///
/// // Twice as far is 6 dB less, each time.
/// assert!((at(95.0, 2.0) - 89.0).abs() < 0.03);
/// assert!((at(95.0, 4.0) - 83.0).abs() < 0.05);
/// ```
#[must_use]
pub fn at(level_at_one_meter: f64, distance: f64) -> f64 {
    level_at_one_meter - fall(distance)
}

/// What is lost between 1 m and a distance, dB.
fn fall(distance: f64) -> f64 {
    20.0 * distance.max(CLOSEST).log10()
}

/// The level of several sources together: their energies add up. Without a source there is no
/// sound, negative infinity.
///
/// ```
/// use burnday::calc::site::sound::sum;
///
/// // Two pumps are 3 dB louder than one.
/// assert!((sum(&[85.0, 85.0]) - 88.01).abs() < 0.005);
/// ```
#[must_use]
pub fn sum(levels: &[f64]) -> f64 {
    let loudest = levels.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if !loudest.is_finite() {
        return loudest;
    }
    // Relative to the loudest, no energy is too large for a number.
    let energy: f64 = levels.iter().map(|level| 10_f64.powf((level - loudest) / 10.0)).sum();
    loudest + 10.0 * energy.log10()
}

/// The distance at which a source has fallen to the ambient noise, m, from its level at the
/// distance `measured`; 0 if it is below the noise everywhere.
///
/// ```
/// use burnday::calc::site::sound::meets;
///
/// // 110 dB at 4 ft over a noise of 70 dB: 400 ft.
/// assert!((meets(110.0, 4.0 * 0.3048, 70.0) - 400.0 * 0.3048).abs() < 1e-9);
/// ```
#[must_use]
pub fn meets(level: f64, measured: f64, ambient: f64) -> f64 {
    let distance = measured.max(CLOSEST) * 10_f64.powf((level - ambient) / 20.0);
    // One that meets the noise exactly at the closest distance counts, whatever rounding does.
    if distance < CLOSEST * (1.0 - 1e-9) { 0.0 } else { distance }
}

/// How loudly a person talks without an amplifier.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Voice {
    /// As to somebody at the same table.
    Normal,
    /// Raised.
    Raised,
    /// Very loud.
    VeryLoud,
    /// Shouting.
    Shouting,
}

impl Voice {
    /// The level at 1 m, dB, from the published level at 1 ft: 70, 76, 82, and 88 dB (the
    /// Engineering Toolbox). Those are averages over the pitches that carry speech, about
    /// 7 dB lower than the same voice in dBA, so a comparison with noise in dBA is cautious.
    #[must_use]
    pub fn level_at_one_meter(self) -> f64 {
        let at_one_foot = match self {
            Self::Normal => 70.0,
            Self::Raised => 76.0,
            Self::VeryLoud => 82.0,
            Self::Shouting => 88.0,
        };
        at_one_foot + fall(FOOT)
    }
}

/// Somebody who talks to the crowd, with or without an amplifier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Speech {
    /// Level at 1 m from the mouth or the loudspeaker, dB.
    pub level: f64,
    /// Noise where people listen, dB.
    pub noise: f64,
    /// How far the speech should be above the noise, dB: [`MARGIN`] or
    /// [`MARGIN_HARD_OF_HEARING`].
    pub margin: f64,
}

impl Speech {
    /// How far the speech is above the noise at a distance, dB; negative if it is below.
    #[must_use]
    pub fn margin_at(&self, distance: f64) -> f64 {
        at(self.level, distance) - self.noise
    }

    /// The farthest distance with the margin, m; 0 if it is nowhere.
    #[must_use]
    pub fn reach(&self) -> f64 {
        meets(self.level, 1.0, self.noise + self.margin)
    }

    /// The level at 1 m that gives the margin at a distance, dB.
    #[must_use]
    pub fn level_for(&self, distance: f64) -> f64 {
        self.noise + self.margin + fall(distance)
    }

    /// How far ears should keep from the source so as to stay below [`EAR_LIMIT`], m; 0 if it is
    /// quieter than that.
    #[must_use]
    pub fn too_loud_within(&self) -> f64 {
        meets(self.level, 1.0, EAR_LIMIT)
    }
}

#[cfg(test)]
mod tests {
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
}
