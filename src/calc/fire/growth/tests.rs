use super::super::testing::near;
use super::*;

/// The NFPA classes as printed on `codingace.net/eng/fire_growth_rate.html`, with the
/// rounded coefficients of that page.
#[test]
fn a_fire_of_a_class_reaches_1055_kw_at_the_time_of_the_class() {
    for (alpha, time, heat) in
        [(0.0469, 150.0, 1055.3), (0.00293, 600.0, 1054.8), (0.0117, 300.0, 1053.0), (0.1876, 75.0, 1055.3)]
    {
        near(squared(alpha, time), heat, 1e-4);
    }
    for (class, alpha) in [
        (Growth::Slow, 0.002_931),
        (Growth::Medium, 0.011_722),
        (Growth::Fast, 0.046_889),
        (Growth::UltraFast, 0.187_556),
    ] {
        near(class.alpha(), alpha, 2e-4);
    }
}

/// Computed by hand from Q = αt² and E = αt³/3; no publication.
#[test]
fn time_and_energy_follow_from_the_formula() {
    let fast = Growth::Fast.alpha();
    near(squared_time(fast, 1500.0), 178.9, 5e-4);
    near(squared_time(1000.0 / 150.0_f64.powi(2), 1500.0), 183.7, 5e-4);
    near(squared_time(Growth::Medium.alpha(), 1500.0), 357.7, 5e-4);
    near(squared_time(Growth::UltraFast.alpha(), 1500.0), 89.4, 5e-4);
    near(squared_energy(fast, 150.0), 52_750.0, 1e-4);
    near(squared_energy(fast, 200.0), 125_040.0, 1e-4);
    near(Curve::squared(fast, 0.0, 1e9, 200.0).decaying(200.0, 1e-9, 200.0).energy(), 125_040.0, 2e-3);
}

#[test]
fn items_burn_as_they_are_drawn_and_one_after_the_other() {
    let basket = Shape::Steady { peak: 50.0, rise: 25.0, hold: 90.0, decay: 60.0 };
    let curtain = Shape::Flash { peak: 200.0, rise: 20.0, decay: 30.0 };
    for (shape, time, heat) in [
        (basket, -1.0, 0.0),
        (basket, 12.5, 25.0),
        (basket, 25.0, 50.0),
        (basket, 115.0, 50.0),
        (basket, 145.0, 25.0),
        (basket, 500.0, 0.0),
        (curtain, 10.0, 50.0),
        (curtain, 20.0, 200.0),
        (curtain, 35.0, 100.0),
        (curtain, 51.0, 0.0),
    ] {
        assert!((shape.heat(time) - heat).abs() < 1e-9, "{shape:?} at {time}");
    }
    let lit = [Lit { at: 10.0, shape: basket }, Lit { at: 20.0, shape: curtain }];
    let curve = Curve::of_items(&lit, 100.0);
    near(curve.at(40.0), 250.0, 1e-9);
    near(curve.at(30.5), f64::midpoint(40.0 + 50.0, 42.0 + 60.5), 1e-9);
    assert!((curve.at(-5.0), curve.at(5.0)) == (0.0, 0.0));
    near(curve.peak(), 250.0, 1e-9);
}

#[test]
fn water_ends_a_curve() {
    let curve = Curve::squared(0.05, 0.0, 1000.0, 300.0).decaying(60.5, 100.0, 300.0);
    near(curve.at(60.0), 180.0, 1e-9);
    near(curve.at(160.5), 0.05 * 60.5 * 60.5 * (-1.0_f64).exp(), 1e-2);
}
