//! The two-zone model: a layer of hot gas under the ceiling, and air below it that stays as
//! it was. The plume fills the layer, the opening empties it, and walls, ceiling, and floor
//! take heat from it.
//!
//! Plume, vent, and thermal element follow the technical reference of NIST's zone model
//! CFAST; radiation is reduced to two gray surfaces, and oxygen to one balance. On the same
//! cases it agrees with CFAST as `tests/reference/fire_cfast.py` shows. It holds for one
//! room 2 to 4 m high with a flat, smooth ceiling and one opening of at least a tenth of one
//! wall, without wind. A front that is open over its whole width is outside all measured
//! tests.

mod jet;
mod plume;
mod slab;
mod vent;

pub use jet::{Below, Device, Element, Jet};
pub use plume::{Location, Plume, Source};
pub use slab::Slab;
pub use vent::{Flows, Vent};

use super::growth::Curve;
use super::room::Room;
use super::{AIR_DENSITY, AIR_HEAT, STEFAN_BOLTZMANN, fourth};

/// Heat that a kilogram of oxygen yields, kJ. Huggett, Fire and Materials 4 (1980) 61.
const OXYGEN_HEAT: f64 = 13_100.0;
/// Oxygen in air, by mass.
const OXYGEN: f64 = 0.23;
/// Below this much oxygen in the layer, what burns there goes out.
const LEAST_OXYGEN: f64 = 0.05;
/// Emissivity of walls, ceiling, and floor: NIST's validation inputs.
const EMISSIVITY: f64 = 0.9;
/// What the gas absorbs without soot, 1/m. Our own choice: between 0.2 and 1.0, it moves the
/// measured layers' rise by +8 to −4 %.
const GAS_ABSORPTION: f64 = 0.5;
/// What soot absorbs, m²/(kg·K).
const SOOT_ABSORPTION: f64 = 0.664;
/// Heat that the back of the walls loses, kW/(m²·K).
const WALL_BACK: f64 = 0.01;
/// No layer gets hotter, K.
const HOTTEST: f64 = 1600.0;
/// The layer takes up at least and at most this part of the room.
const LEAST_LAYER: f64 = 0.002;
const MOST_LAYER: f64 = 0.97;
/// No step is shorter, s.
const SHORTEST: f64 = 0.02;

/// What burns, and where.
#[derive(Debug, Clone, PartialEq)]
pub struct Fire {
    /// Its heat release over time.
    pub curve: Curve,
    /// How it rises to the ceiling.
    pub source: Source,
    /// Its surface above the floor, m.
    pub surface: f64,
    /// Its place in the room.
    pub location: Location,
    /// Heat of combustion, kJ/kg.
    pub fuel_heat: f64,
    /// Soot from a kilogram of fuel, kg.
    pub soot: f64,
}

impl Fire {
    /// Furniture: it radiates a third of its heat, as in NIST's validation inputs, and spreads
    /// over a square meter for every 500 kW.
    #[must_use]
    pub fn furniture(curve: Curve, surface: f64, location: Location) -> Self {
        let source = Source { area: 0.36, intensity: 500.0, radiated: 0.33 };
        Self { curve, source, surface, location, fuel_heat: 20_000.0, soot: 0.03 }
    }
}

/// One moment in the room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Moment {
    /// Seconds from ignition.
    pub time: f64,
    /// Heat released in the room, kW.
    pub heat: f64,
    /// Temperature of the layer, K.
    pub layer: f64,
    /// Lower edge of the layer above the floor, m.
    pub edge: f64,
    /// Temperature of ceiling and walls within the layer, K.
    pub ceiling: f64,
    /// Heat that reaches the floor, kW/m².
    pub floor_flux: f64,
    /// What went in and what came out so far.
    pub balance: Balance,
}

/// Where energy and mass are by now.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Balance {
    /// Energy released, kJ.
    pub released: f64,
    /// Energy held by the layer above that of outside air, kJ.
    pub held: f64,
    /// Energy lost through the opening and to the surfaces, kJ. It includes what the fuel's
    /// gas takes to get as warm as the air, 1.5 %, since that comes without heat of its own.
    pub lost: f64,
    /// Mass of the layer, kg.
    pub mass: f64,
    /// Mass that came in by the plume and as fuel, less what left, kg.
    pub gained: f64,
}

/// When the devices responded, in their order. None if they didn't until the end.
pub type Responses = Vec<Option<f64>>;

/// Runs the model until `each` says stop or the time is up. `step` is the longest time step
/// in seconds; 0.5 is enough.
///
/// The values given must be finite and the sizes positive; the opening must be within a
/// wall. What a form allows is checked where it is read.
pub fn run(
    room: &Room,
    fire: &Fire,
    devices: &[Device],
    (until, step): (f64, f64),
    mut each: impl FnMut(&Moment) -> bool,
) -> Responses {
    let mut state = State::new(room, fire, devices);
    while state.time < until {
        let fluxes = state.fluxes();
        if !each(&state.moment(&fluxes)) {
            break;
        }
        state.advance(&fluxes, step);
    }
    state.elements.iter().map(Element::responded).collect()
}

/// Everything that goes on at one moment.
#[derive(Debug, Clone, Copy)]
struct Fluxes {
    heat: f64,
    plume: f64,
    flows: Flows,
    /// Into the walls and into the floor, kW/m².
    walls: f64,
    floor: f64,
    floor_flux: f64,
    /// What heats the layer, kW.
    net: f64,
    layer: f64,
    edge: f64,
    /// The layer's emissivity.
    glows: f64,
    /// Ceiling and walls within the layer, m².
    upper_area: f64,
    upper_opening: f64,
}

#[derive(Debug, Clone)]
struct State<'a> {
    room: &'a Room,
    fire: &'a Fire,
    plume: Plume,
    /// What the ceiling is heated by, and the scale of that heat.
    jet: Jet,
    jet_scale: f64,
    elements: Vec<Element>,
    time: f64,
    volume: f64,
    mass: f64,
    /// Energy released by what is in the layer, kJ.
    burned: f64,
    walls: Slab,
    floor: Slab,
    pressure: f64,
    balance: Balance,
}

impl<'a> State<'a> {
    fn new(room: &'a Room, fire: &'a Fire, devices: &[Device]) -> Self {
        let (area, ambient) = (room.floor_area(), room.ambient);
        let height = room.height - fire.surface;
        let jet = |location, distance| Jet::new(fire.source, ambient, location, height, distance);
        let volume = 0.01 * room.height * area;
        Self {
            room,
            fire,
            plume: Plume::new(fire.source, ambient, fire.location.plume_images()),
            jet: jet(Location::Center, 0.5 * (area / std::f64::consts::PI).sqrt()),
            jet_scale: 0.27 * (1.0 - fire.source.radiated) / (area.powf(0.68) * height.powf(0.64)),
            elements: devices
                .iter()
                .map(|device| Element::new(*device, jet(fire.location, device.distance), ambient))
                .collect(),
            time: 0.0,
            volume,
            mass: volume * room.air_density(),
            burned: 0.0,
            walls: Slab::new(&room.walls, WALL_BACK, ambient),
            floor: Slab::new(&room.floor, 0.0, ambient),
            pressure: 0.0,
            balance: Balance { gained: volume * room.air_density(), ..Balance::default() },
        }
    }

    fn layer(&self) -> f64 {
        AIR_DENSITY * self.volume / self.mass
    }

    fn edge(&self) -> f64 {
        self.room.height - self.volume / self.room.floor_area()
    }

    /// The plume's flow and the heat that there is oxygen for.
    fn burning(&self, layer: f64, above: f64) -> (f64, f64) {
        let (ambient, radiated) = (self.room.ambient, self.fire.source.radiated);
        let wanted = self.fire.curve.at(self.time);
        if wanted <= 0.0 {
            return (0.0, 0.0);
        }
        let mut flow = self.plume.flow(wanted, above);
        if layer > ambient + 1.0 {
            flow = flow.min((1.0 - radiated) * wanted / (AIR_HEAT * (layer - ambient)));
        }
        let below = if above > 0.0 { wanted.min(OXYGEN_HEAT * OXYGEN * flow) } else { 0.0 };
        let oxygen = OXYGEN - self.burned / (OXYGEN_HEAT * self.mass);
        (flow, below + (wanted - below) * (oxygen / LEAST_OXYGEN).clamp(0.0, 1.0))
    }

    fn fluxes(&mut self) -> Fluxes {
        let Self { room, fire, .. } = *self;
        let (ambient, area) = (room.ambient, room.floor_area());
        let (layer, edge) = (self.layer(), self.edge());
        let above = edge - fire.surface;
        let (plume, heat) = self.burning(layer, above);

        let opening = room.opening;
        let upper_opening = opening.width * (opening.soffit - edge.max(opening.sill)).max(0.0);
        let lower_opening = opening.width * (edge.min(opening.soffit) - opening.sill).max(0.0);
        let upper_area = area + room.perimeter() * (room.height - edge) - upper_opening;
        let lower_area = area + room.perimeter() * edge - lower_opening;
        let seen = lower_opening / (lower_area + lower_opening);
        let open = (upper_opening + lower_opening) / (upper_area + lower_area + upper_opening + lower_opening);

        let soot = fire.soot / fire.fuel_heat * self.burned / self.volume;
        let absorbs = GAS_ABSORPTION + SOOT_ABSORPTION * soot * layer;
        let beam = 3.6 * self.volume / (area + room.perimeter() * (room.height - edge) + area);
        let glows = 1.0 - (-absorbs * beam).exp();
        let clear = 1.0 - glows;

        let sigma = STEFAN_BOLTZMANN;
        let (wall, floor) = (self.walls.surface(), self.floor.surface());
        let (layer4, wall4, ambient4) = (fourth(layer), fourth(wall), fourth(ambient));
        let below4 = (1.0 - seen) * fourth(floor) + seen * ambient4;
        let gas_to_wall = EMISSIVITY * glows * sigma * (layer4 - wall4);
        let gas_down = glows * sigma * (layer4 - below4);
        let wall_down = clear * EMISSIVITY * sigma * (wall4 - below4);
        let gas_out = glows * sigma * (layer4 - ambient4);
        let wall_out = clear * EMISSIVITY * sigma * (wall4 - ambient4);
        // Half of what the fire radiates goes up, half goes down.
        let radiated = 0.5 * fire.source.radiated * heat * (1.0 - open);

        let warmer = layer - wall;
        let natural = 0.0014 * warmer.abs().cbrt() * warmer;
        let hot = self.jet.temperature(heat, Below { layer, edge: above });
        // Without this part, the walls would overtake the gas.
        let part = if hot - ambient < 1e-6 { 0.0 } else { ((hot - wall) / (hot - ambient)).max(0.0) };
        let convected = natural.max(self.jet_scale * heat * part) * area + natural * (upper_area - area).max(0.0);

        let net = (1.0 - fire.source.radiated) * heat + radiated * glows
            - gas_to_wall * upper_area
            - gas_down * area
            - gas_out * upper_opening
            - convected;
        let (pressure, flows) = Vent::new(room, layer, edge).balance(net, self.pressure);
        self.pressure = pressure;

        let to_walls =
            gas_to_wall + (radiated * clear - wall_down * area - wall_out * upper_opening + convected) / upper_area;
        let warmer = floor - ambient;
        let to_floor = (gas_down + wall_down) * area * (1.0 - seen) / lower_area + radiated / lower_area
            - 0.001_52 * warmer.abs().cbrt() * warmer;
        let floor_flux = glows * sigma * layer4 + clear * sigma * wall4 + radiated / lower_area - sigma * ambient4;
        Fluxes {
            heat,
            plume,
            flows,
            walls: to_walls,
            floor: to_floor,
            floor_flux,
            net,
            layer,
            edge,
            glows,
            upper_area,
            upper_opening,
        }
    }

    fn moment(&self, now: &Fluxes) -> Moment {
        Moment {
            time: self.time,
            heat: now.heat,
            layer: now.layer,
            edge: now.edge,
            ceiling: self.walls.surface(),
            floor_flux: now.floor_flux,
            balance: self.balance,
        }
    }

    /// How long the next step may be: short enough that neither flow nor radiation overshoots.
    fn step(&self, now: &Fluxes, longest: f64) -> f64 {
        let above = now.edge - self.fire.surface;
        let turnover = now.plume + now.flows.upper_out;
        let radiates = 4.0
            * STEFAN_BOLTZMANN
            * now.glows
            * now.layer
            * now.layer
            * now.layer
            * (EMISSIVITY * now.upper_area + self.room.floor_area() + now.upper_opening);
        let mut rate = turnover / self.mass + radiates / (AIR_HEAT * self.mass);
        if above > 0.0 {
            rate += now.plume / (above.max(0.01) * self.room.air_density() * self.room.floor_area());
        }
        let step = longest.min((1.0 / rate).max(SHORTEST));
        if turnover * step > 0.4 * self.mass { (0.4 * self.mass / turnover).max(SHORTEST) } else { step }
    }

    fn advance(&mut self, now: &Fluxes, longest: f64) {
        let step = self.step(now, longest);
        let below = Below { layer: now.layer, edge: now.edge - self.fire.surface };
        for element in &mut self.elements {
            element.warm(self.time, step, now.heat, below);
        }
        let (air, out) = (self.room.air_density(), now.flows.upper_out);
        let held = |layer: f64, mass: f64| AIR_HEAT * mass * (layer - self.room.ambient);
        let fuel = now.heat / self.fire.fuel_heat;
        self.volume += step * (now.plume - now.flows.inward + now.flows.lower_out) / air;
        self.burned += step * (now.heat - out * self.burned / self.mass);
        self.mass += step * (now.plume + fuel - out);
        self.balance.released += step * now.heat;
        self.balance.gained += step * (now.plume + fuel - out);
        self.walls.heat(now.walls, step);
        self.floor.heat(now.floor, step);
        self.bound();
        self.balance.held = held(self.layer(), self.mass);
        self.balance.mass = self.mass;
        let carried = AIR_HEAT * (out * (now.layer - self.room.ambient) + fuel * self.room.ambient);
        self.balance.lost += step * (now.heat - now.net + carried);
        self.time += step;
    }

    /// Keeps the layer within what the model holds for.
    fn bound(&mut self) {
        let room = self.room.floor_area() * self.room.height;
        self.volume = self.volume.clamp(LEAST_LAYER * room, MOST_LAYER * room);
        let bounded = self.layer().clamp(self.room.ambient, HOTTEST);
        if bounded.to_bits() != self.layer().to_bits() {
            self.mass = AIR_DENSITY * self.volume / bounded;
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::calc::fire::growth::Growth;
    use crate::calc::fire::room::{Lining, Opening};
    use crate::calc::fire::testing::near;
    use crate::calc::fire::{FREEZING, kelvin};

    /// A cube of 8 ft lined with gypsum, open over its whole front up to `soffit`.
    pub fn cube(soffit: f64) -> Room {
        Room {
            length: 2.4384,
            width: 2.4384,
            height: 2.4384,
            opening: Opening { width: 2.4384, sill: 0.0, soffit },
            walls: Lining::GYPSUM,
            floor: Lining::GYPSUM,
            ambient: kelvin(20.0),
        }
    }

    fn fire(growth: Growth, location: Location) -> Fire {
        let curve = Curve::squared(growth.alpha(), 0.0, 3000.0, 420.0);
        let fire = Fire::furniture(curve, 0.3, location);
        Fire { source: Source { intensity: f64::INFINITY, ..fire.source }, ..fire }
    }

    /// Layer and its edge at 60 and 120 s; sprinkler, alarms; 500 °C, 600 °C, 20 kW/m².
    fn case(growth: Growth, feet: f64, location: Location) -> [f64; 10] {
        let sprinkler = Device { distance: 1.22, rti: 50.0, conductance: 0.0, rating: kelvin(68.0) };
        let alarm = |rise| Device { distance: 1.0, rti: 5.0, conductance: 0.0, rating: kelvin(20.0) + rise };
        let (room, fire) = (cube(feet * 0.3048), fire(growth, location));
        let mut moments: Vec<Moment> = Vec::new();
        let responses = run(&room, &fire, &[sprinkler, alarm(5.0), alarm(10.0)], (400.0, 0.1), |moment| {
            moments.push(*moment);
            true
        });
        let at = |time: f64| moments.iter().find(|moment| moment.time >= time - 0.05).unwrap();
        let when = |reached: &dyn Fn(&Moment) -> bool| {
            moments.iter().find(|one| reached(one)).map_or(f64::NAN, |one| one.time)
        };
        let time = |index: usize| responses[index].unwrap();
        [
            at(60.0).layer - FREEZING,
            at(60.0).edge,
            at(120.0).layer - FREEZING,
            at(120.0).edge,
            time(0),
            time(1),
            time(2),
            when(&|one| one.layer >= kelvin(500.0)),
            when(&|one| one.layer >= kelvin(600.0)),
            when(&|one| one.floor_flux >= 20.0),
        ]
    }

    /// Values of a second, independent program for the same equations, to the 1 % that its
    /// author gives.
    #[test]
    fn whole_fires_agree_with_another_program() {
        use Growth::{Fast, Medium, UltraFast};
        use Location::{Center, Corner, Wall};
        for (growth, feet, location, wanted) in [
            (Fast, 4.0, Wall, [135.1, 0.941, 385.1, 0.896, 50.17, 12.69, 16.17, 152.9, 181.4, 132.5]),
            (Fast, 4.0, Corner, [143.1, 0.967, 405.4, 0.933, 44.90, 11.29, 14.30, 147.0, 175.5, 129.2]),
            (Fast, 4.0, Center, [127.0, 0.910, 362.5, 0.855, 50.80, 13.08, 16.64, 159.6, 188.0, 135.8]),
            (Fast, 6.0, Wall, [128.4, 1.460, 330.4, 1.371, 50.15, 12.70, 16.18, 170.7, 199.9, 152.8]),
            (Fast, 6.0, Corner, [141.8, 1.504, 368.4, 1.428, 44.77, 11.30, 14.30, 157.8, 186.7, 146.4]),
            (Fast, 8.0, Wall, [115.9, 1.974, 276.8, 1.860, 50.30, 12.64, 16.05, 193.2, 223.6, 170.1]),
            (Medium, 4.0, Wall, [51.4, 0.938, 166.3, 0.968, 79.81, 19.83, 26.08, 290.1, 339.4, 256.5]),
            (UltraFast, 6.0, Corner, [351.7, 1.424, 740.8, 1.213, 28.27, 7.43, 9.21, 82.2, 97.9, 75.6]),
            (Fast, 3.0, Wall, [137.6, 0.685, 407.6, 0.669, 50.07, 12.69, 16.17, 146.5, 193.6, 123.0]),
        ] {
            let found = case(growth, feet, location);
            println!("{growth:?} {feet} {location:?}: {found:.3?}");
            for (found, wanted) in found.into_iter().zip(wanted) {
                near(found, wanted, 0.01);
            }
        }
    }

    /// The fluxes of one moment, by a second, independent evaluation.
    #[test]
    fn the_fluxes_of_one_moment() {
        let (room, fire) = (cube(1.8288), fire(Growth::Fast, Location::Center));
        let mut state = State::new(&room, &fire, &[]);
        state.volume = (2.4384 - 1.2) * room.floor_area();
        state.mass = AIR_DENSITY * state.volume / 573.15;
        state.burned = 5000.0;
        state.walls = Slab::new(&room.walls, 0.0, 373.15);
        state.floor = Slab::new(&room.floor, 0.0, 323.15);
        let now = Fire { curve: Curve::through(vec![(0.0, 500.0)]), ..fire.clone() };
        state.fire = &now;
        let fluxes = state.fluxes();
        near(fluxes.glows, 0.6253, 2e-4);
        near(fluxes.net, 200.97, 1e-3);
        near(fluxes.walls, 10.842, 1e-3);
        near(fluxes.floor, 5.985, 1e-3);
        near(fluxes.floor_flux, 8.722, 1e-3);
    }

    /// With a link that conducts heat to its fitting: the same program.
    #[test]
    fn a_link_that_conducts_responds_later() {
        let device = Device { distance: 1.22, rti: 50.0, conductance: 0.5, rating: kelvin(68.0) };
        let (room, fire) = (cube(1.2192), fire(Growth::Fast, Location::Wall));
        let responses = run(&room, &fire, &[device], (200.0, 0.1), |_| true);
        near(responses[0].unwrap(), 51.72, 0.002);
    }
}
