use super::super::testing::near;
use super::*;

/// "13 gpm at 7 psi" is trade text about a head of K 4.9; the rest follows from K·√p.
#[test]
fn sprinklers_and_their_tank() {
    near(flow(4.9, 7.0), 12.964, 1e-4);
    near(flow(4.9, 7.0) * GALLON, 49.07, 1e-4);
    near(pressure(4.9, 13.0), 7.04, 1e-3);
    near(flow(4.9, 16.0), 19.60, 1e-4);
    near(flow(4.9, 25.0), 24.50, 1e-4);
    near(flow(5.6, 7.0), 14.82, 5e-4);
    near(flow(4.9, 7.0) * 10.0, 129.6, 1e-3);
    near(flow(4.9, 7.0) * 2.0, 25.9, 2e-3);
    near(tank_minutes(129.64, 0.0, 12.964), 10.0, 1e-4);
    assert!(tank_minutes(10.0, 20.0, 13.0).abs() < 1e-12);
    near(PSI_PER_FOOT, 0.433, 1e-3);
    near(needed(100.0, 10.0), 1500.0, 1e-12);
}

/// The formula of CFAST's technical reference, evaluated for 13 gpm on 8 × 8 ft.
#[test]
fn a_sprinkler_puts_a_fire_out_slowly_at_worst() {
    near(density(flow(4.9, 7.0), 64.0), 0.1376, 1e-3);
    near(density(13.0, 64.0), 0.137_94, 1e-4);
    let tau = decay_time(density(13.0, 64.0));
    near(tau, 106.1, 1e-3);
    for (time, heat) in [(30.0, 226.1), (60.0, 170.4), (120.0, 96.8)] {
        near(300.0 * f64::exp(-time / tau), heat, 1e-3);
    }
    near(decay_time(density(6.4, 64.0)), 379.9, 1e-3);
}

/// Friction coefficients as a fire department prints them; formulas of the trade, from
/// memory.
#[test]
fn hose_lines() {
    for (inches, psi, gpm, reaction) in
        [(0.875, 50.0, 160.8, 60.1), (0.9375, 50.0, 184.6, 69.0), (1.125, 50.0, 265.8, 99.4)]
    {
        near(smooth_bore(inches, psi), gpm, 5e-4);
        near(smooth_bore_reaction(inches, psi), reaction, 5e-4);
    }
    near(friction(HOSES[0].1, 150.0, 200.0), 69.75, 1e-9);
    near(fog_reaction(150.0, 100.0), 75.75, 1e-9);
    near(tank_minutes(300.0, 0.0, 150.0), 2.0, 1e-9);
}
