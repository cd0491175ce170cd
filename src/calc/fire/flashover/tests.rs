use super::super::room::{Lining, Opening};
use super::super::testing::near;
use super::super::{FOOT, kelvin};
use super::*;

/// Half an inch of gypsum as in table 2-3 of NUREG-1805 (from memory).
const GYPSUM: Lining = Lining { conductivity: 0.000_17, density: 960.0, specific_heat: 1.1, thickness: 0.0127 };

fn room([length, width, height]: [f64; 3], (wide, high): (f64, f64), walls: Lining) -> Room {
    Room {
        length,
        width,
        height,
        opening: Opening { width: wide, sill: 0.0, soffit: high },
        walls,
        floor: walls,
        ambient: kelvin(20.0),
    }
}

/// The numbers of the public tests of the package `ofire` for PD 7974-1.
#[test]
fn published_examples_of_the_correlations() {
    let factor = |area: f64, height: f64| area * height.sqrt();
    near(thomas(1.0, factor(2.0, 9.0)), 2275.8, 1e-6);
    near(ventilation_limit(factor(3.0, 9.0)), 13_500.0, 1e-9);
}

/// NUREG-1805, chapter 13, from memory; all three follow from the recalled geometry.
#[test]
fn a_room_with_walls_of_concrete() {
    let concrete = Lining { conductivity: 0.0016, density: 2400.0, specific_heat: 0.75, thickness: 0.1524 };
    let room = room([25.0 * FOOT, 20.0 * FOOT, 12.0 * FOOT], (3.0 * FOOT, 8.0 * FOOT), concrete);
    let factor = room.opening.factor();
    near(mccaffrey(concrete.conductivity / concrete.thickness, room.surface(), factor), 1612.0, 5e-4);
    let thresholds = Thresholds::of(&room, 180.0);
    near(thresholds.babrauskas, 2611.0, 5e-4);
    near(thresholds.thomas, 2806.0, 5e-4);
}

/// Computed for these tests; three of the values agree with `ofire`.
#[test]
fn small_rooms_of_gypsum() {
    let small = room([10.0 * FOOT, 8.0 * FOOT, 7.0 * FOOT], (3.0 * FOOT, 6.0 * FOOT), GYPSUM);
    near(small.surface(), 36.604, 1e-4);
    let thresholds = Thresholds::of(&small, 180.0);
    near(thresholds.thomas, 1140.3, 1e-4);
    near(thresholds.babrauskas, 1696.1, 1e-4);
    near(mccaffrey(0.013_386, small.surface(), small.opening.factor()), 642.1, 2e-4);

    let cube = |feet: f64| room([8.0 * FOOT, 8.0 * FOOT, 8.0 * FOOT], (8.0 * FOOT, feet * FOOT), GYPSUM);
    let thresholds = Thresholds::of(&cube(4.0), 180.0);
    near(thresholds.thomas, 1495.94, 5e-5);
    near(thresholds.babrauskas, 2462.0, 1e-4);
    near(thresholds.lower, 1969.63, 5e-5);
    near(mccaffrey(0.0316, cube(4.0).surface(), cube(4.0).opening.factor()), 1123.5, 1e-3);
    near(ventilation_limit(cube(4.0).opening.factor()), 4924.06, 5e-5);
    for (feet, [thomas, babrauskas, lower, early, middle, late]) in [
        (3.0, [1067.0, 1599.0, 1279.0, 1013.0, 915.0, 852.0]),
        (4.0, [1496.0, 2462.0, 1970.0, 1243.0, 1123.0, 1045.0]),
        (5.0, [1983.0, 3441.0, 2753.0, 1453.0, 1313.0, 1221.0]),
        (6.0, [2523.0, 4523.0, 3618.0, 1646.0, 1487.0, 1384.0]),
        (8.0, [3741.0, 6963.0, 5571.0, 1993.0, 1801.0, 1676.0]),
    ] {
        for (time, mccaffrey) in [(120.0, early), (180.0, middle), (240.0, late)] {
            let found = Thresholds::of(&cube(feet), time);
            for (found, wanted) in found.all().into_iter().zip([babrauskas, lower, thomas, mccaffrey]) {
                near(found, wanted, 7e-4);
            }
            assert!(found.lowest() <= found.highest());
        }
    }
}

/// LLNL test 51 in the manual of NIST's empirical correlations.
#[test]
fn the_published_layer_temperature() {
    let walls = Lining { conductivity: 0.000_463, density: 1607.0, specific_heat: 1.0, thickness: 0.1 };
    let room = room([6.0, 4.0, 3.0], (0.76, 2.06), walls);
    for (time, celsius) in [
        (60.0, 111.45),
        (120.0, 121.05),
        (180.0, 127.21),
        (600.0, 148.14),
        (1200.0, 162.24),
        (1800.0, 171.28),
        (2400.0, 178.07),
        (3000.0, 183.57),
    ] {
        near(33.0 + layer_rise(&room, 200.0, time), celsius, 1e-4);
    }
    let cube = self::room([8.0 * FOOT, 8.0 * FOOT, 8.0 * FOOT], (8.0 * FOOT, 4.0 * FOOT), GYPSUM);
    for (heat, rise) in [(250.0, 181.0), (500.0, 287.3), (1000.0, 456.0)] {
        near(layer_rise(&cube, heat, 180.0), rise, 1e-3);
    }
}
