//! One fire in the zone model, and the fires of a page and of a plan, compared with a plain
//! explicit Euler loop over the layer alone: one balance of mass and energy, steady walls, and
//! the same plume, in steps that are short enough for it.

mod ratio;

use burnday::calc::fire::bands::{Alarm, Inputs, Sensing, Sprinkler};
use burnday::calc::fire::growth::{Curve, Growth};
use burnday::calc::fire::items::Preset;
use burnday::calc::fire::room::{Lining, Opening, Room};
use burnday::calc::fire::sampling::Range;
use burnday::calc::fire::zone::{Device, Fire, Location, Plume, run};
use burnday::calc::fire::{AIR_DENSITY, AIR_HEAT, FOOT, GRAVITY, kelvin};
use std::hint::black_box;
use std::time::Instant;

const UNTIL: f64 = 300.0;

fn main() {
    let room = room(6.0);
    let curve = Curve::squared(Growth::Fast.alpha(), 0.0, 3000.0, UNTIL);
    let fire = Fire::furniture(curve, 0.3, Location::Wall);
    let devices = [device(1.22, 50.0, kelvin(68.0)), device(1.0, 5.0, kelvin(25.0))];
    let one = |_| millis(|| run(&room, &fire, &devices, (UNTIL, 0.5), |_| true));
    let plain = |_| millis(|| euler(&room, &fire));
    // 300 s in under a millisecond, which is what the plain loop takes where this was set.
    ratio::compare("one fire of 300 s: to plain Euler", "ms", &(0.0..=1.0), 200, plain, one);
    let inputs = inputs();
    let fires = |count: usize| millis(|| inputs.simulate(count, 1, || false));
    // 300 fires in under 300 ms, where the plain loop takes 215 ms.
    let many = |_| plain_fires(&room, &fire, 300);
    ratio::compare("300 fires for a page: to plain", "ms", &(0.0..=1.4), 12, many, |_| fires(300));
    let growth = 0.0..=f64::INFINITY;
    ratio::compare("2000 fires for a plan: to 300", "ms", &growth, 4, |_| fires(300), |_| fires(2000));
}

fn millis<T>(work: impl FnOnce() -> T) -> f64 {
    let at = Instant::now();
    black_box(work());
    at.elapsed().as_secs_f64() * 1e3
}

fn plain_fires(room: &Room, fire: &Fire, count: usize) -> f64 {
    (0..count).map(|_| millis(|| euler(room, fire))).sum()
}

fn room(opening_feet: f64) -> Room {
    let feet = |feet: f64| feet * FOOT;
    Room {
        length: feet(8.0),
        width: feet(8.0),
        height: feet(8.0),
        opening: Opening { width: feet(8.0), sill: 0.0, soffit: feet(opening_feet) },
        walls: Lining::GYPSUM,
        floor: Lining::GYPSUM,
        ambient: kelvin(20.0),
    }
}

fn device(distance: f64, rti: f64, rating: f64) -> Device {
    Device { distance, rti, conductance: 0.0, rating }
}

fn inputs() -> Inputs {
    let items = [Preset::Wastebasket, Preset::Curtain, Preset::Armchair].map(Preset::item).to_vec();
    Inputs {
        room: room(6.0),
        until: Inputs::horizon(&items),
        items,
        location: Location::Wall,
        surface: Range::new(0.2, 0.6),
        ambient: Range::new(kelvin(10.0), kelvin(30.0)),
        sprinkler: Sprinkler {
            rating: kelvin(68.0),
            distance: Range::new(0.75, 1.2),
            rti: Range::new(28.0, 50.0),
            conductance: Range::new(0.3, 1.0),
            density: 0.138,
        },
        alarm: Alarm { distance: Range::new(0.75, 1.2), sensing: Sensing::Unknown },
        flashover: Range::new(kelvin(500.0), kelvin(600.0)),
    }
}

/// A layer that a plume fills and an opening empties, with walls that take a fixed part of the
/// heat. It needs short steps: its flow follows the layer's depth at once.
fn euler(room: &Room, fire: &Fire) -> f64 {
    const STEP: f64 = 0.05;
    let plume = Plume::new(fire.source, room.ambient, fire.location.plume_images());
    let (area, air) = (room.floor_area(), room.air_density());
    let mut mass = 0.01 * area * room.height * air;
    let (mut layer, mut time) = (room.ambient, 0.0);
    while time < UNTIL {
        let volume = (AIR_HEAT * mass * layer / (AIR_HEAT * AIR_DENSITY)).min(0.97 * area * room.height);
        let edge = room.height - volume / area;
        let heat = fire.curve.at(time);
        let inflow = plume.flow(heat, edge - fire.surface);
        let hung = (room.opening.soffit - edge).max(0.0);
        let gas = AIR_DENSITY / layer;
        let speed = (2.0 * GRAVITY * hung * (air - gas).max(0.0) / gas).sqrt();
        let outflow = 0.7 * room.opening.width * hung * gas * speed * 2.0 / 3.0;
        let lost = 0.03 * (area + room.perimeter() * (room.height - edge)) * (layer - room.ambient);
        let energy = mass * layer + STEP * (inflow * room.ambient - outflow * layer + (0.67 * heat - lost) / AIR_HEAT);
        mass = (mass + STEP * (inflow - outflow)).max(0.01);
        layer = (energy / mass).clamp(room.ambient, 1600.0);
        time += STEP;
    }
    layer
}
