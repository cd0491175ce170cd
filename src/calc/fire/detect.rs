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
mod tests {
    use super::super::growth::Growth;
    use super::super::testing::near;
    use super::*;

    const VETTORI: Place = Place { distance: 2.2, height: 2.09 };

    /// The manual of NIST's empirical correlations.
    #[test]
    fn published_jets_and_steady_responses() {
        let place = Place { distance: 5.9, height: 3.72 };
        near(22.0 + jet_rise(410.0, place), 46.45, 2e-4);
        near(jet_speed(410.0, place, Velocity::Handbook), 0.643, 1e-3);
        let time = |velocity| steady(262.5, VETTORI, 55.0, 68.0 - 16.6, velocity).unwrap();
        near(time(Velocity::Handbook), 98.2, 5e-4);
        near(time(Velocity::Older), 98.74, 1e-4);
    }

    /// The manual's smoke alarm: an element of RTI 5 that responds at 5 K.
    #[test]
    fn the_published_alarm() {
        let place = Place { distance: 1.3, height: 2.1 };
        let heat = |time: f64| 0.004_63 * time * time;
        assert_eq!(steady(heat(27.0), place, 5.0, 5.0, Velocity::Handbook), None);
        near(steady(heat(28.0), place, 5.0, 5.0, Velocity::Handbook).unwrap(), 35.0, 2e-3);
        near(steady(heat(28.0), place, 5.0, 5.0, Velocity::Older).unwrap(), 35.12, 5e-4);
    }

    /// Computed for these tests; no publication. The inverse agrees with `ofire`.
    #[test]
    fn values_computed_elsewhere() {
        near(jet_rise(262.5, VETTORI), 62.389, 1e-5);
        near(jet_speed(262.5, VETTORI, Velocity::Handbook), 0.945_29, 1e-5);
        for (distance, heat) in [(0.30, 31.694), (1.22, 101.069), (1.72, 142.491)] {
            let place = Place { distance, height: 2.13 };
            near(heat_for_rise(48.0, place), heat, 1e-5);
            near(jet_rise(heat, place), 48.0, 1e-5);
        }
        let place = Place { distance: 1.72, height: 2.13 };
        near(steady(300.0, place, 35.0, 49.0, Velocity::Handbook).unwrap(), 30.719, 1e-4);
        near(steady(300.0, place, 35.0, 49.0, Velocity::Older).unwrap(), 30.876, 1e-4);
    }

    /// Computed for these tests with two step sizes; no publication.
    #[test]
    fn growing_fires() {
        let place = |distance| Place { distance, height: 2.13 };
        let wall = |growth: Growth| move |time: f64| 2.0 * growth.alpha() * time * time;
        let fast = growing(wall(Growth::Fast), place(1.72), (50.0, 0.0), 48.0, (300.0, 0.05)).unwrap();
        near(fast, 72.137, 1e-4);
        near(quasi_steady(wall(Growth::Fast), place(1.72), 50.0, 48.0, 300.0).unwrap(), 53.0, 1e-9);
        let alarm = growing(wall(Growth::Medium), place(1.0), (5.0, 0.0), 5.0, (100.0, 0.05)).unwrap();
        near(alarm, 17.052, 1e-4);
        let test_1 = |time: f64| 0.105 * time * time;
        near(quasi_steady(test_1, VETTORI, 55.0, 51.4, 300.0).unwrap(), 59.0, 1e-9);
        near(growing(test_1, VETTORI, (55.0, 0.0), 51.4, (300.0, 0.05)).unwrap(), 81.1, 1e-3);
        // A warmer day, a lower rating, and a mirror image each make it earlier.
        let link = |heat: f64, rise: f64| {
            growing(|time| heat * Growth::Fast.alpha() * time * time, place(1.22), (35.0, 0.0), rise, (300.0, 0.05))
                .unwrap()
        };
        for (heat, rise, time) in [
            (2.0, 48.0, 56.2),
            (2.0, 37.0, 49.8),
            (2.0, 59.0, 61.9),
            (2.0, 58.0, 61.4),
            (2.0, 36.0, 49.2),
            (1.0, 48.0, 72.3),
            (4.0, 48.0, 43.9),
        ] {
            near(link(heat, rise), time, 2e-3);
        }
    }
}
