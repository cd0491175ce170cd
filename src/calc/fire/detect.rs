//! When an alarm or a sprinkler responds, by correlations for a steady or growing fire below
//! a ceiling without a hot layer. In a room they are late: for the rooms here, use
//! [`super::zone`]. They are kept to check the model against published figures.
//!
//! Alpert's ceiling jet and the response of a thermal element are taken from the manual of
//! NIST's empirical correlations.

use super::two_thirds;

/// The two sets of Alpert's velocity coefficients in use differ by 0.5 % in time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Velocity {
    /// 0.947 and 0.197, as in the SFPE Handbook.
    Handbook,
    /// 0.96 and 0.195, as in older editions.
    Older,
}

/// A fire below a ceiling, and a point below that ceiling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// From the fire's axis, m.
    pub distance: f64,
    /// Ceiling above the fire's surface, m.
    pub height: f64,
}

/// How much hotter than the air the jet is, K, for a heat release in kW. Mirror images of the
/// fire count: twice the heat at a wall, four times in a corner.
///
/// ```
/// use burnday::calc::fire::detect::{Place, jet_rise};
///
/// let place = Place { distance: 5.9, height: 3.72 };
/// assert!((22.0 + jet_rise(410.0, place) - 46.445).abs() < 0.001);
/// ```
#[must_use]
pub fn jet_rise(heat: f64, Place { distance, height }: Place) -> f64 {
    if distance / height <= 0.18 {
        16.9 * two_thirds(heat) / (height * two_thirds(height))
    } else {
        5.38 * two_thirds(heat / distance) / height
    }
}

/// The speed of the jet, m/s.
#[must_use]
pub fn jet_speed(heat: f64, Place { distance, height }: Place, velocity: Velocity) -> f64 {
    let (near, far) = match velocity {
        Velocity::Handbook => (0.947, 0.197),
        Velocity::Older => (0.96, 0.195),
    };
    if distance / height <= 0.15 {
        near * (heat / height).cbrt()
    } else {
        far * heat.cbrt() * height.sqrt() / distance.powf(5.0 / 6.0)
    }
}

/// The heat release in kW at which the jet is this much hotter than the air.
#[must_use]
pub fn heat_for_rise(rise: f64, Place { distance, height }: Place) -> f64 {
    if distance / height <= 0.18 {
        (rise * height.powf(5.0 / 3.0) / 16.9).powf(1.5)
    } else {
        distance * (rise * height / 5.38).powf(1.5)
    }
}

/// When an element responds to a steady fire, s; never if the jet isn't hot enough. `rise` is
/// how far the rating is above the air, K.
#[must_use]
pub fn steady(heat: f64, place: Place, rti: f64, rise: f64, velocity: Velocity) -> Option<f64> {
    let hot = jet_rise(heat, place);
    (hot > rise).then(|| rti / jet_speed(heat, place, velocity).sqrt() * (hot / (hot - rise)).ln())
}

/// The first whole second at which [`steady`] says that the fire of that second would have
/// set the element off by then: what several spreadsheets do. It is earlier than
/// [`growing`].
#[must_use]
pub fn quasi_steady(heat: impl Fn(f64) -> f64, place: Place, rti: f64, rise: f64, until: f64) -> Option<f64> {
    let seconds = std::iter::successors(Some(1.0), |time| Some(time + 1.0)).take_while(|time| *time <= until);
    seconds.into_iter().find(|time| {
        steady(heat(*time), place, rti, rise, Velocity::Handbook).is_some_and(|response| response <= *time)
    })
}

/// When an element responds to a growing fire, s: the element's temperature over time, in
/// steps of `step` seconds. `conductance` is that of its fitting, (m/s)^½.
#[must_use]
pub fn growing(
    heat: impl Fn(f64) -> f64,
    place: Place,
    (rti, conductance): (f64, f64),
    rise: f64,
    (until, step): (f64, f64),
) -> Option<f64> {
    let (mut time, mut warmer) = (0.0, 0.0);
    while time < until {
        // The fire of the middle of the step.
        let now = heat(time + step / 2.0);
        let before = warmer;
        if now > 0.0 {
            let gains = jet_speed(now, place, Velocity::Handbook).sqrt() / rti;
            let losses = conductance / rti;
            let settles = gains * jet_rise(now, place) / (gains + losses);
            warmer = settles + (warmer - settles) * (-(gains + losses) * step).exp();
        }
        if warmer >= rise {
            return Some(time + step * (rise - before) / (warmer - before));
        }
        time += step;
    }
    None
}

#[cfg(test)]
mod tests;
