use super::super::testing::near;
use super::super::{FOOT, kelvin};
use super::*;

/// The manual of NIST's empirical correlations: 100 kW on 0.09 m². Its printed results
/// need the flame length by Q*; with the formula that it prints they would be 6 % lower.
#[test]
fn published_points_and_cylinders() {
    let diameter = (4.0 * 0.09 / PI).sqrt();
    near(diameter, 0.338_51, 2e-5);
    let by_strength = flame_length_by_strength(100.0, diameter, kelvin(20.0));
    // The manual takes slightly different air.
    near(by_strength, 1.0697, 0.007);
    let printed = flame_length(100.0, diameter);
    near(printed, 1.1375, 1e-4);
    for (distance, point, shorter, solid) in
        [(0.5, 6.01, 5.636, 5.64), (0.75, 3.65, 3.519, 3.51), (1.0, 2.33, 2.277, 2.40)]
    {
        near(point_source_upright(100.0, 0.35, 1.0697, distance), point, 2e-3);
        near(point_source_upright(100.0, 0.35, printed, distance), shorter, 2e-4);
        near(cylinder(100.0, 0.35, diameter, printed, distance), solid, 2e-3);
    }
}

/// Agrees with `ofire`.
#[test]
fn points_at_a_distance() {
    near(point_source(2000.0, 0.35, 6.096), 1.498_99, 1e-5);
    near(point_source(3000.0, 0.35, 9.144), 0.999_326, 1e-5);
    for (flux, distances) in
        [(1.0, [7.46, 9.14, 10.56]), (1.6, [5.90, 7.23, 8.34]), (2.5, [4.72, 5.78, 6.68]), (4.0, [3.73, 4.57, 5.28])]
    {
        for (heat, distance) in [2000.0, 3000.0, 4000.0].into_iter().zip(distances) {
            near(point_source_distance(heat, 0.35, flux), distance, 1e-3);
        }
    }
}

/// The textbook value 0.139 for a cube's corner, and the Stefan–Boltzmann law.
#[test]
fn views_and_black_bodies() {
    near(corner_view(1.0, 1.0, 1.0), 0.138_532, 1e-5);
    near(black_body(kelvin(600.0)), 32.958, 1e-4);
    near(black_body(kelvin(900.0)), 107.405, 1e-4);
    // From right in front of it, an opening is all there is to see.
    near(4.0 * corner_view(1.0, 1.0, 1e-6), 1.0, 1e-5);
}

/// Computed for these tests from Howell's factor; no publication.
#[test]
#[expect(clippy::approx_constant, reason = "6.28 is a distance here")]
fn openings_at_a_distance() {
    let low = (8.0 * FOOT, 4.0 * FOOT);
    for (celsius, fluxes) in [(600.0, [1.41, 0.53, 0.37]), (900.0, [4.59, 1.71, 1.20])] {
        for (feet, flux) in [15.0, 25.0, 30.0].into_iter().zip(fluxes) {
            near(glowing_opening(kelvin(celsius), 1.0, low, feet * FOOT), flux, 0.01);
        }
    }
    let full = (8.0 * FOOT, 8.0 * FOOT);
    for (flux, [half, whole]) in [(1.0, [10.02, 14.19]), (1.6, [7.89, 11.18]), (2.5, [6.28, 8.91]), (4.0, [4.92, 6.99])]
    {
        for (opening, distance) in [(low, half), (full, whole)] {
            let found = distance_to(flux, |distance| glowing_opening(kelvin(900.0), 1.0, opening, distance));
            near(found.unwrap(), distance, 6e-4);
        }
    }
    assert_eq!(distance_to(1.0, |_| 2.0), None);
}

/// Computed from the formula; no publication.
#[test]
fn tolerance_falls_with_heat() {
    for (flux, seconds) in [(4.0, 18.1), (5.0, 11.8), (10.0, 3.2)] {
        near(tolerated(flux), seconds, 0.01);
    }
}
