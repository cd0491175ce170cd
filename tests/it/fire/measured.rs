//! The zone model and its bands against rooms that were really burned: the measured tests of
//! the National Institute of Standards and Technology in `fire_measured.json`.

use super::{at, deviation, mean};
use burnday::calc::fire::bands::{FLASHOVER_ERROR, LAYER_ERROR, SPRINKLER_ERROR, Sensing};
use burnday::calc::fire::growth::Curve;
use burnday::calc::fire::room::{Lining, Opening, Room};
use burnday::calc::fire::zone::{Device, Fire, Location, Moment, Source, run};
use burnday::calc::fire::{FREEZING, kelvin};
use serde::Deserialize;
use serde_json::Value;

const MEASURED: &str = include_str!("../../reference/fire_measured.json");

#[derive(Deserialize)]
struct Measured {
    tests: Vec<Test>,
}

#[derive(Deserialize)]
struct Test {
    set: String,
    test: Value,
    #[serde(default)]
    location: String,
    room: RoomInputs,
    hrr: Vec<(f64, f64)>,
    sprinkler: Option<Head>,
    alarm: Option<Detector>,
    measured: Value,
}

#[derive(Deserialize)]
#[serde(rename_all = "PascalCase")]
struct Size {
    l: f64,
    w: f64,
    h: f64,
    #[serde(rename = "Ta")]
    ambient: f64,
}

#[derive(Deserialize)]
struct RoomInputs {
    #[serde(flatten)]
    size: Size,
    sill: f64,
    soffit: f64,
    wo: f64,
    wall: [f64; 4],
    floor: [f64; 4],
    zf: f64,
    area: f64,
    chi: f64,
    hc: f64,
    soot: f64,
    xf: f64,
}

#[derive(Deserialize)]
struct Head {
    r_m: f64,
    rti: f64,
    c: f64,
    #[serde(rename = "rating_C")]
    rating: f64,
}

#[derive(Deserialize)]
struct Detector {
    r_m: f64,
}

fn tests(set: &str) -> Vec<Test> {
    let all: Measured = serde_json::from_str(MEASURED).unwrap();
    let found: Vec<Test> = all.tests.into_iter().filter(|test| test.set == set).collect();
    assert!(!found.is_empty(), "{set}");
    found
}

impl Test {
    fn room(&self) -> Room {
        let lining = |[conductivity, density, specific_heat, thickness]: [f64; 4]| Lining {
            conductivity,
            density,
            specific_heat,
            thickness,
        };
        let room = &self.room;
        Room {
            length: room.size.l,
            width: room.size.w,
            height: room.size.h,
            opening: Opening { width: room.wo, sill: room.sill, soffit: room.soffit },
            walls: lining(room.wall),
            floor: lining(room.floor),
            ambient: room.size.ambient,
        }
    }

    fn fire(&self) -> Fire {
        let room = &self.room;
        let location = [(1.0, Location::Center), (2.0, Location::Wall), (4.0, Location::Corner)];
        Fire {
            curve: Curve::through(self.hrr.clone()),
            source: Source { area: room.area, intensity: f64::INFINITY, radiated: room.chi },
            surface: room.zf,
            location: location.into_iter().find(|(images, _)| (images - room.xf).abs() < 0.01).unwrap().1,
            fuel_heat: room.hc,
            soot: room.soot,
        }
    }

    /// Layer temperature and its lower edge, and what the devices did.
    fn run(&self, devices: &[Device], until: f64) -> (Vec<Moment>, Vec<Option<f64>>) {
        let mut moments = Vec::new();
        let responses = run(&self.room(), &self.fire(), devices, (until, 0.5), |moment| {
            moments.push(*moment);
            true
        });
        (moments, responses)
    }

    fn number(&self, name: &str) -> f64 {
        self.measured[name].as_f64().unwrap_or_else(|| panic!("{} {}: {name}", self.set, self.test))
    }
}

/// How many predictions are within so many standard deviations of what was measured, by the
/// logarithm of their ratio; prints each one that isn't.
fn within(ratios: &[(String, f64)], deviation: f64, deviations: f64) -> usize {
    let is_within = |ratio: f64| ratio.ln().abs() <= deviations * deviation;
    for (name, ratio) in ratios.iter().filter(|(_, ratio)| !is_within(*ratio)) {
        println!("  outside {deviations} deviations: {name}, predicted/measured {ratio:.2}");
    }
    ratios.iter().filter(|(_, ratio)| is_within(*ratio)).count()
}

/// Half widths of the 80 % and 90 % bands in standard deviations.
const EIGHT_IN_TEN: f64 = 1.2816;
const NINE_IN_TEN: f64 = 1.6449;

fn sprinklers(set: &str) -> Vec<(String, f64)> {
    let ratio = |test: &Test| {
        let head = test.sprinkler.as_ref().unwrap();
        let device = Device { distance: head.r_m, rti: head.rti, conductance: head.c, rating: kelvin(head.rating) };
        let predicted = test.run(&[device], 400.0).1[0].unwrap();
        (format!("{} {} {}", test.location, test.test, test.set), predicted / test.number("sprinkler_s"))
    };
    tests(set).iter().map(ratio).collect()
}

/// Vettori, NISTIR 6253: 27 tests of residential sprinklers below a smooth ceiling.
#[test]
fn residential_sprinklers_open_within_the_band() {
    let ratios = sprinklers("Vettori, smooth ceiling");
    let (eight, nine) = (within(&ratios, SPRINKLER_ERROR, EIGHT_IN_TEN), within(&ratios, SPRINKLER_ERROR, NINE_IN_TEN));
    println!("sprinklers: {:.2} ± {:.2}; {eight} and {nine} of 27", mean(&ratios), deviation(&ratios));
    assert_eq!(ratios.len(), 27);
    assert!(eight >= 25 && nine >= 25, "{eight}, {nine}");
    // The band of nine in ten may not be wider than this.
    assert!((2.0 * NINE_IN_TEN * SPRINKLER_ERROR).exp() <= 1.94);
    assert!((0.94..1.14).contains(&mean(&ratios)));
}

/// The same with beams below the ceiling, which the model doesn't know: the page warns that
/// they make a sprinkler about twice as late.
#[test]
fn exposed_beams_make_sprinklers_about_twice_as_late() {
    let ratios = sprinklers("Vettori, beams 0.24 m deep 0.41 m apart");
    println!("sprinklers between beams: {:.2} ± {:.2}", mean(&ratios), deviation(&ratios));
    assert!((0.45..0.65).contains(&mean(&ratios)));
}

/// Steckler, Quintiere and Rinkinen, NBSIR 82-2520; NIST/NRC, NUREG-1824; Lee, NBSIR 85-2998.
#[test]
fn layers_are_as_hot_as_measured_within_the_band() {
    let mut rises = Vec::new();
    let mut heights = Vec::new();
    for test in tests("Steckler") {
        let (moments, _) = test.run(&[], 1800.0);
        let last = moments.last().unwrap();
        let ambient = test.room.size.ambient;
        let name = format!("Steckler {}", test.test);
        rises.push((name.clone(), (last.layer - ambient) / (kelvin(test.number("layer_C")) - ambient)));
        heights.push((name, last.edge / test.number("layer_height_m")));
    }
    let steckler = rises.clone();
    let mut nrc = Vec::new();
    for test in tests("NIST/NRC corner and wall") {
        let (moments, _) = test.run(&[], 1201.0);
        for row in test.measured["layer"].as_array().unwrap() {
            let [time, celsius, _] = [0, 1, 2].map(|column| row[column].as_f64().unwrap());
            if time >= 120.0 {
                let ambient = test.room.size.ambient;
                let rise = (at(&moments, time).layer - ambient) / (kelvin(celsius) - ambient);
                nrc.push((format!("NRC {} at {time} s", test.test), rise));
            }
        }
    }
    let mut nbs = Vec::new();
    for test in tests("NBS furnished room") {
        let last = test.hrr.last().unwrap().0;
        let (moments, _) = test.run(&[], last);
        let hottest = |values: &mut dyn Iterator<Item = f64>| values.fold(0.0, f64::max);
        let measured =
            hottest(&mut test.measured["layer_C"].as_array().unwrap().iter().map(|row| row[1].as_f64().unwrap()));
        let predicted = hottest(&mut moments.iter().map(|moment| moment.layer));
        let ambient = test.room.size.ambient;
        nbs.push((format!("NBS {}", test.test), (predicted - ambient) / (kelvin(measured) - ambient)));
    }
    for (name, set) in [("Steckler", &steckler), ("NRC", &nrc), ("NBS", &nbs), ("Steckler heights", &heights)] {
        println!("{name}: {:.2} ± {:.2} of {}", mean(set), deviation(set), set.len());
    }
    let all = [steckler, nrc, nbs].concat();
    let (eight, nine) = (within(&all, LAYER_ERROR, EIGHT_IN_TEN), within(&all, LAYER_ERROR, NINE_IN_TEN));
    println!("layers: {eight} and {nine} of {}", all.len());
    assert_eq!(all.len(), 83);
    assert!(eight >= 74 && nine >= 80, "{eight}, {nine}");
    // Layers hang lower than the model says, so pictures draw them lower.
    let low = heights.iter().filter(|(_, ratio)| (1.0..=1.0 / 0.65).contains(ratio)).count();
    println!("heights within 0.65 to 1.0: {low} of 55");
    assert!(low >= 46);
}

/// Lee, NBSIR 85-2998: four furnished rooms, counted from 50 kW, since the rooms' clocks are
/// uncertain. This is weak evidence.
#[test]
fn furnished_rooms_flash_over_within_the_band() {
    let first = |values: &mut dyn Iterator<Item = (f64, f64)>, mark: f64| {
        let mut before = (0.0, 0.0);
        for (time, value) in values {
            if value >= mark {
                return before.0 + (time - before.0) * (mark - before.1) / (value - before.1);
            }
            before = (time, value);
        }
        panic!("it never gets to {mark}");
    };
    let ratio = |test: &Test| {
        let (moments, _) = test.run(&[], test.hrr.last().unwrap().0);
        let lit = first(&mut test.hrr.iter().copied(), 50.0);
        let rows = test.measured["layer_C"].as_array().unwrap();
        let mut measured = rows.iter().map(|row| (row[0].as_f64().unwrap(), row[1].as_f64().unwrap()));
        let mut predicted = moments.iter().map(|moment| (moment.time, moment.layer - FREEZING));
        let ratio = (first(&mut predicted, 500.0) - lit) / (first(&mut measured, 500.0) - lit);
        (format!("NBS {}", test.test), ratio)
    };
    let ratios: Vec<_> = tests("NBS furnished room").iter().map(ratio).collect();
    println!("500 °C: {ratios:.2?}");
    assert!(within(&ratios, FLASHOVER_ERROR, EIGHT_IN_TEN) >= 3);
    assert_eq!(within(&ratios, FLASHOVER_ERROR, NINE_IN_TEN), 4);
}

/// Bukowski and others, NIST TN 1455: flaming fires in homes, alarms nearest to the fire. The
/// fires' curves were fitted to ceiling temperatures, so this is no independent test of the
/// model, but of how long an alarm takes after the element.
#[test]
fn alarms_respond_a_while_after_the_element() {
    let tests = tests("NIST home smoke alarms");
    for (sensing, name) in [(Sensing::Ionization, "ion_s"), (Sensing::Photoelectric, "photo_s")] {
        let mut lags = Vec::new();
        for test in &tests {
            let device = Device {
                distance: test.alarm.as_ref().unwrap().r_m,
                rti: 5.0,
                conductance: 0.0,
                rating: test.room.size.ambient + 5.0,
            };
            let measured = test.measured[name][0].as_f64().unwrap();
            lags.push(measured - test.run(&[device], 400.0).1[0].unwrap());
        }
        let inside = |part: f64| {
            let band = sensing.lag(part)..=sensing.lag(1.0 - part);
            lags.iter().filter(|lag| band.contains(lag)).count()
        };
        println!("{name} after the element: {lags:.1?} s; {} and {} of 8", inside(0.1), inside(0.05));
        assert!(inside(0.1) >= 6 && inside(0.05) >= 7, "{lags:?}");
    }
}
