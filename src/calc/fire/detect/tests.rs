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
