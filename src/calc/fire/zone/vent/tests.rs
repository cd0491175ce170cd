use super::super::tests::cube;
use super::*;
use crate::calc::fire::testing::near;

fn vent(sill: f64, soffit: f64, height: f64, layer: f64) -> Vent {
    let mut room = cube(soffit);
    room.opening.sill = sill;
    Vent::new(&room, layer, height)
}

/// Values of a second, independent evaluation of the same equations.
#[test]
fn flows_at_a_pressure() {
    let flows = vent(0.0, 1.2192, 1.0, 573.15).flows(-1.0);
    near(flows.upper_out, 0.029_78, 2e-3);
    near(flows.inward, 2.9549, 1e-4);
    let flows = vent(0.0, 1.2192, 1.5, 323.15).flows(1.0);
    near(flows.lower_out, 3.2294, 1e-4);
    assert_eq!((flows.upper_out, flows.inward), (0.0, 0.0));
    let flows = vent(0.6, 1.8288, 1.0, 573.15).flows(-1.0);
    near(flows.upper_out, 1.6096, 1e-4);
    near(flows.inward, 1.3656, 1e-4);
}

/// Values of a second, independent solution.
#[test]
fn the_pressure_balances_the_heat() {
    for (sill, soffit, pressure, upper, lower, inward) in [
        (0.0, 1.2192, 0.0215, 0.3186, 0.3884, 0.0),
        (0.0, 1.8288, -0.7376, 1.78, 0.0, 2.4689),
        (0.6, 1.8288, -1.349, 1.3919, 0.0, 1.7102),
    ] {
        for guess in [0.0, -40.0, 40.0] {
            let (found, flows) = vent(sill, soffit, 1.0, 573.15).balance(300.0, guess);
            near(found, pressure, 2e-3);
            near(flows.upper_out, upper, 1e-3);
            assert!((flows.lower_out - lower).abs() < 1e-3 && (flows.inward - inward).abs() < 2e-3, "{flows:?}");
        }
    }
}

#[test]
fn every_balance_is_found() {
    for height in [0.0, 0.3, 1.2, 1.5, 2.4] {
        for layer in [293.2, 300.0, 700.0, 1500.0] {
            for heat in [-3000.0, -20.0, 0.0, 1e-5, 20.0, 3000.0] {
                let vent = vent(0.3, 1.5, height, layer);
                let (pressure, flows) = vent.balance(heat, 0.0);
                let carried = flows.heat(layer, 293.15);
                assert!(
                    pressure.is_finite() && (carried - heat).abs() <= 0.1 + 2e-3 * heat.abs(),
                    "{height} {layer} {heat}: {carried}"
                );
            }
        }
    }
}
