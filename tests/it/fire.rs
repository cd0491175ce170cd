//! The zone model and its bands against rooms that were really burned: the measured tests of
//! the National Institute of Standards and Technology in `fire_measured.json`.

use burnday::calc::fire::bands::{
    Alarm, Bands, FLASHOVER_ERROR, Factor, Inputs, LAYER_ERROR, Pictured, SPRINKLER_ERROR, Sensing, Sprinkler,
};
use burnday::calc::fire::growth::Curve;
use burnday::calc::fire::items::Preset;
use burnday::calc::fire::room::{Lining, Opening, Room};
use burnday::calc::fire::sampling::Range;
use burnday::calc::fire::zone::{Device, Fire, Location, Moment, Source, run};
use burnday::calc::fire::{FOOT, FREEZING, kelvin};
use proptest::prelude::*;
use serde::Deserialize;
use serde_json::Value;

const MEASURED: &str = include_str!("../reference/fire_measured.json");

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

fn at(moments: &[Moment], time: f64) -> &Moment {
    &moments[moments.partition_point(|moment| moment.time < time).min(moments.len() - 1)]
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

fn mean(ratios: &[(String, f64)]) -> f64 {
    ratios.iter().map(|(_, ratio)| ratio).sum::<f64>() / ratios.len() as f64
}

fn deviation(ratios: &[(String, f64)]) -> f64 {
    let mean = mean(ratios);
    (ratios.iter().map(|(_, ratio)| (ratio - mean).powi(2)).sum::<f64>() / (ratios.len() - 1) as f64).sqrt()
}

/// Half widths of the 80 % and 90 % bands in standard deviations.
const EIGHT_IN_TEN: f64 = 1.2816;
const NINE_IN_TEN: f64 = 1.6449;

fn sprinklers(set: &str) -> Vec<(String, f64)> {
    let ratio = |test: &Test| {
        let head = test.sprinkler.as_ref().unwrap();
        let device =
            Device { distance: head.r_m, rti: head.rti, conductance: head.c, rating: kelvin(head.rating) };
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
        let measured = hottest(&mut test.measured["layer_C"].as_array().unwrap().iter().map(|row| row[1].as_f64().unwrap()));
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

/// A room and a fire that a form allows.
#[derive(Debug, Clone)]
struct Case {
    room: Room,
    fire: Fire,
    device: Device,
}

fn cases() -> impl Strategy<Value = Case> {
    let sizes = (2.0..6.0_f64, 2.0..6.0_f64, 2.0..4.0_f64);
    let opening = (0.4..1.0_f64, 0.0..0.3_f64, 0.6..0.9_f64);
    let air = 260.0..315.0_f64;
    let fire = (0.002..0.3_f64, 100.0..6000.0_f64, 0.0..0.9_f64, 0..3_usize);
    let device = (0.0..3.0_f64, 20.0..150.0_f64, 0.0..1.0_f64, 330.0..380.0_f64);
    (sizes, opening, air, fire, device).prop_map(|(sizes, opening, ambient, fire, device)| {
        let (length, width, height) = sizes;
        let (part, sill, soffit) = opening;
        let (alpha, cap, surface, place) = fire;
        let (distance, rti, conductance, rating) = device;
        let location = [Location::Center, Location::Wall, Location::Corner][place];
        Case {
            room: Room {
                length,
                width,
                height,
                opening: Opening { width: part * width, sill: sill * height, soffit: soffit * height },
                walls: Lining::GYPSUM,
                floor: Lining::GYPSUM,
                ambient,
            },
            fire: Fire::furniture(Curve::squared(alpha, 10.0, cap, 300.0), surface, location),
            device: Device { distance, rti, conductance, rating },
        }
    })
}

impl Case {
    fn run(&self) -> (Vec<Moment>, f64) {
        let mut moments = Vec::new();
        let responses = run(&self.room, &self.fire, &[self.device], (300.0, 0.5), |moment| {
            moments.push(*moment);
            true
        });
        (moments, responses[0].unwrap_or(f64::INFINITY))
    }

    fn responds(&self) -> f64 {
        self.run().1
    }

    /// Is there air for the whole fire?
    fn is_short_of_air(&self) -> bool {
        let (moments, _) = self.run();
        moments.iter().any(|moment| moment.heat < self.fire.curve.at(moment.time) - 0.01)
    }
}

/// What differs by the size of time steps alone, s.
const STEPS: f64 = 0.25;

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_room_stays_within_what_the_model_holds_for(case in cases()) {
        let (moments, _) = case.run();
        // Steps are no shorter than 0.02 s.
        prop_assert!((600..=15_000).contains(&moments.len()));
        for moment in &moments {
            prop_assert!((case.room.ambient - 1e-6..=1600.0 + 1e-6).contains(&moment.layer), "{moment:?}");
            prop_assert!((0.0..=case.room.height).contains(&moment.edge), "{moment:?}");
            prop_assert!(moment.floor_flux.is_finite() && moment.ceiling.is_finite());
        }
    }

    #[test]
    fn energy_and_mass_are_accounted_for(case in cases()) {
        let (moments, _) = case.run();
        // At its bounds, the model gives up the account.
        prop_assume!(moments.iter().all(|moment| moment.layer < 1599.0));
        let last = moments.last().unwrap().balance;
        prop_assert!((last.held + last.lost - last.released).abs() <= 0.01 * last.released + 1.0, "{last:?}");
        prop_assert!((last.mass - last.gained).abs() <= 0.01 * last.gained + 0.01, "{last:?}");
    }

    #[test]
    fn what_makes_a_sprinkler_later_never_makes_it_earlier(case in cases(), more in 1.02..2.0_f64) {
        let time = case.responds();
        let later = |change: &dyn Fn(&mut Case)| {
            let mut changed = case.clone();
            change(&mut changed);
            changed.responds() >= time - STEPS
        };
        prop_assert!(later(&|case| case.device.rating += 20.0 * (more - 1.0)), "rating");
        prop_assert!(later(&|case| case.device.rti *= more), "RTI");
        prop_assert!(later(&|case| case.device.conductance += more - 1.0), "conductance");
        prop_assert!(later(&|case| case.device.distance *= more), "distance");
        prop_assert!(later(&|case| case.room.ambient -= 30.0 * (more - 1.0)), "a colder day");
        let mut hotter = case.clone();
        hotter.fire.curve = case.fire.curve.scaled(more);
        prop_assert!(hotter.responds() <= time + STEPS, "more heat");
    }

    #[test]
    fn a_larger_opening_is_never_hotter_while_there_is_air(case in cases(), part in 0.5..0.95_f64) {
        let mut narrower = case.clone();
        narrower.room.opening.width *= part;
        prop_assume!(!narrower.is_short_of_air());
        let (wide, narrow) = (case.run().0, narrower.run().0);
        for time in [60.0, 120.0, 200.0, 290.0] {
            let (wide, narrow) = (at(&wide, time).layer, at(&narrow, time).layer);
            prop_assert!(wide <= narrow * 1.01, "{wide} and {narrow} K at {time} s");
        }
    }
}

/// A living room of 8 ft in which a basket, a curtain, and an armchair burn.
fn living_room(opening_feet: f64) -> Inputs {
    let feet = |feet: f64| feet * FOOT;
    let items = [Preset::Wastebasket, Preset::Curtain, Preset::Armchair];
    Inputs {
        room: Room {
            length: feet(8.0),
            width: feet(8.0),
            height: feet(8.0),
            opening: Opening { width: feet(8.0), sill: 0.0, soffit: feet(opening_feet) },
            walls: Lining::GYPSUM,
            floor: Lining::GYPSUM,
            ambient: kelvin(20.0),
        },
        items: items.map(Preset::item).to_vec(),
        location: Location::Wall,
        surface: Range::new(0.2, 0.6),
        ambient: Range::new(kelvin(10.0), kelvin(30.0)),
        sprinkler: Sprinkler {
            rating: kelvin(68.0),
            distance: Range::new(0.92 * 0.8, 0.92 * 1.3),
            rti: Range::new(28.0, 50.0),
            conductance: Range::exactly(0.5),
            density: 0.138,
        },
        alarm: Alarm { distance: Range::exactly(0.92), sensing: Sensing::Ionization },
        flashover: Range::new(kelvin(500.0), kelvin(600.0)),
        until: 420.0,
    }
}

fn simulate(inputs: &Inputs, count: usize, seed: u64) -> Bands {
    inputs.simulate(count, seed, || false).unwrap()
}

/// Another program drew 512 fires from the same ranges by Sobol's sequence; it adds the
/// alarm's lag a little differently.
#[test]
fn bands_agree_with_another_program() {
    for (feet, corner, sprinkler, flashover, floor, never) in [
        (4.0, false, [30.0, 32.0, 43.0, 57.0, 61.0], [98.0, 115.0, 192.0, 360.0, 432.0], [90.0, 104.0, 152.0, 228.0, 255.0], 0.05),
        (4.0, true, [29.0, 31.0, 41.0, 55.0, 59.0], [94.0, 112.0, 186.0, 327.0, 401.0], [89.0, 103.0, 150.0, 225.0, 252.0], 0.04),
        (6.0, false, [30.0, 32.0, 43.0, 57.0, 61.0], [125.0, 151.0, 331.0, 1e9, 1e9], [101.0, 117.0, 174.0, 268.0, 309.0], 0.35),
        (6.0, true, [29.0, 31.0, 41.0, 55.0, 59.0], [115.0, 139.0, 264.0, 1e9, 1e9], [98.0, 114.0, 169.0, 255.0, 289.0], 0.22),
    ] {
        let mut inputs = living_room(feet);
        if corner {
            inputs.location = Location::Corner;
            inputs.sprinkler.distance = Range::new(1.3 * 0.8, 1.3 * 1.3);
            inputs.alarm.distance = Range::exactly(1.3);
        }
        let bands = simulate(&inputs, 512, 1);
        for (band, wanted) in [(&bands.sprinkler, sprinkler), (&bands.flashover, flashover), (&bands.floor, floor)] {
            // The outermost rest on a few fires.
            for ((found, wanted), part) in band.at.into_iter().zip(wanted).zip([0.1, 0.06, 0.06, 0.06, 0.1]) {
                let found = found.unwrap_or(1e9);
                // Fires that take longer than 420 s were followed a little differently.
                assert!((found / wanted - 1.0).abs() < part || wanted > 400.0, "{feet} ft: {found} for {wanted}");
            }
        }
        assert!((bands.flashover.never - never).abs() < 0.04, "{feet} ft: {}", bands.flashover.never);
        let median = bands.alarm.median().unwrap();
        assert!((26.0..31.0).contains(&median), "{median}");
    }
}

#[test]
fn the_same_seed_draws_the_same_fires() {
    let inputs = living_room(6.0);
    assert_eq!(simulate(&inputs, 20, 7), simulate(&inputs, 20, 7));
    assert_ne!(simulate(&inputs, 20, 7), simulate(&inputs, 20, 8));
    assert!(inputs.simulate(20, 7, || true).is_none(), "stopped");
    assert!(inputs.simulate(0, 7, || false).is_none(), "nothing to draw");
}

#[test]
fn a_wider_input_widens_the_band_and_matters_more() {
    let width = |bands: &Bands| bands.sprinkler.at[3].unwrap() - bands.sprinkler.at[1].unwrap();
    let narrow = living_room(4.0);
    let mut wide = narrow.clone();
    wide.sprinkler.rti = Range::new(20.0, 250.0);
    let (narrow, wide) = (simulate(&narrow, 128, 3), simulate(&wide, 128, 3));
    assert!(width(&wide) > 1.3 * width(&narrow), "{} and {}", width(&wide), width(&narrow));
    let place = |bands: &Bands| bands.moves_sprinkler.iter().position(|(factor, _)| *factor == Factor::Rti).unwrap();
    assert_eq!(place(&wide), 0, "{:?}", wide.moves_sprinkler);
    assert!(wide.moves_sprinkler[0].1 > 0.4 && place(&narrow) > 0, "{:?}", wide.moves_sprinkler);
}

/// A band of differences is not the difference of bands.
#[test]
fn differences_are_taken_fire_by_fire() {
    let bands = simulate(&living_room(4.0), 128, 5);
    let (sooner, flashover, sprinkler) = (bands.sooner.at, bands.flashover.at, bands.sprinkler.at);
    let wrong = flashover[1].unwrap() - sprinkler[3].unwrap();
    assert!(sooner[1].unwrap() > wrong + 5.0, "{sooner:?} and {wrong}");
    assert!((sooner[2].unwrap() - (flashover[2].unwrap() - sprinkler[2].unwrap())).abs() < 15.0);
}

#[test]
fn water_keeps_room_b_cool() {
    let bands = simulate(&living_room(4.0), 100, 2);
    let [a, b] = &bands.pictures;
    assert_eq!((a.len(), b.len()), (85, 85), "every five seconds until 420");
    let hottest = |picture: &[Pictured]| picture.iter().map(|one| one.layer[1]).fold(0.0, f64::max);
    assert!(hottest(a) > kelvin(600.0) && hottest(b) < kelvin(250.0), "{} {}", hottest(a), hottest(b));
    for one in a.iter().chain(b) {
        assert!(one.layer[0] <= one.layer[1] && one.layer[1] <= one.layer[2] && one.edge > 0.0);
    }
}

/// A small seat behind a wide opening may not flash over.
#[test]
fn too_little_fuel_never_flashes_over() {
    let mut inputs = living_room(6.0);
    inputs.items.truncate(2);
    let bands = simulate(&inputs, 64, 4);
    assert!(bands.flashover.never > 0.999 && bands.flashover.median().is_none());
    assert!(bands.sprinkler.median().is_some() && bands.sooner.median().is_none());
}
