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
mod tests;
