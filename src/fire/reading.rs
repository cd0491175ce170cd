//! A setup read into numbers: what the computation takes, or what is wrong, field by field.

use super::setup::{AlarmKind, Ceiling, Fuel, Hose, ITEM_FIELDS, Place, Setup, Walls};
use super::typed::{distances, feet, length, numbers, one_number};
use crate::calc::fire::bands::{Alarm, Inputs, Sensing, Sprinkler};
use crate::calc::fire::growth::{Growth, Item, Shape};
use crate::calc::fire::room::{Lining, Opening, Room};
use crate::calc::fire::sampling::Range;
use crate::calc::fire::zone::Location;
use crate::calc::fire::{FOOT, kelvin, water};
use crate::web::form::{self, Mistakes};

/// What was typed, once it is read.
#[derive(Debug, Clone, PartialEq)]
pub struct Read {
    pub inputs: Inputs,
    pub fuels: Vec<Fuel>,
    /// The front without its panel.
    pub front: Opening,
    pub walls: Walls,
    pub ceiling: Ceiling,
    pub heat: Heat,
    pub water: Water,
}

/// What distances rest on, in meters.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Heat {
    /// kW/m² where the public stands.
    pub flux: f64,
    pub structure: f64,
    pub hose_depth: f64,
    pub permit: Option<f64>,
    pub own: Option<f64>,
}

/// What the water check rests on, in US units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Water {
    pub k_factor: f64,
    pub head_psi: f64,
    pub tank: Option<f64>,
    pub unusable: f64,
    pub tank_minutes: f64,
    pub attack_gpm: f64,
    pub attack_supply: Option<f64>,
    pub backup_gpm: f64,
    pub backup_supply: Option<f64>,
    pub attack_minutes: f64,
    pub hose: Hose,
    pub hose_feet: f64,
    pub nozzle_psi: f64,
}

/// Fahrenheit in kelvins.
fn fahrenheit(degrees: f64) -> f64 {
    kelvin((degrees - 32.0) / 1.8)
}

impl Setup {
    /// Everything typed, or what is wrong with it, field by field.
    ///
    /// # Errors
    /// What is wrong.
    pub fn read(&self) -> Result<Read, Mistakes> {
        let mut mistakes = Mistakes::default();
        let said = &mut mistakes;
        said.note("name", form::line(&self.name, 60));
        let size = |said: &mut Mistakes, name, text: &str, least, most| said.note(name, length(text, least, most));
        let (long, wide) = (size(said, "length", &self.length, 4.0, 40.0), size(said, "width", &self.width, 4.0, 40.0));
        let height = size(said, "height", &self.height, 6.5, 13.2);
        let front_width = size(said, "front_width", &self.front_width, 1.0, 40.0);
        let front_height = size(said, "front_height", &self.front_height, 1.0, 13.2);
        let panel = if self.panel.trim().is_empty() { Some(0.0) } else { size(said, "panel", &self.panel, 0.0, 13.0) };
        let walls = said.note("walls", self.walls.parse::<Walls>());
        let ceiling = said.note("ceiling", self.ceiling.parse::<Ceiling>());
        let place = said.note("place", self.place.parse::<Place>());
        let surface = said.note("surface", distances(&self.surface, 0.0, 4.0));
        let air = said.note("air", numbers(&self.air, -20.0, 120.0));
        let items = self.read_items(said);
        let rating = said.note("rating", one_number(&self.rating, 130.0, 300.0));
        let head_distance = said.note("head_distance", distances(&self.head_distance, 0.5, 40.0));
        let rti = said.note("rti", numbers(&self.rti, 10.0, 350.0));
        let conductance = said.note("conductance", numbers(&self.conductance, 0.0, 2.0));
        let k_factor = said.note("k_factor", one_number(&self.k_factor, 1.0, 30.0));
        let head_psi = said.note("head_psi", one_number(&self.head_psi, 1.0, 200.0));
        let alarm = said.note("alarm", self.alarm.parse::<AlarmKind>());
        let alarm_distance = said.note("alarm_distance", distances(&self.alarm_distance, 0.5, 40.0));
        let heat = self.read_heat(said);
        let water = self.read_water(said, k_factor, head_psi);
        if let (Some(height), Some(front), Some(panel)) = (height, front_height, panel) {
            if front > height + 1e-9 {
                said.add("front_height", format!("The room is only {} high.", feet(height)));
            } else if front - panel < FOOT - 1e-3 {
                said.add("panel", format!("Leave at least 1 ft of the front open. It is {} high.", feet(front)));
            }
        }
        if let (Some(height), Some(heat)) = (height, &heat)
            && heat.structure < height - 1e-3
        {
            said.add("structure", format!("The room alone is {} high.", feet(height)));
        }
        if let (Some(long), Some(wide)) = (long, wide) {
            let corner = long.hypot(wide);
            for (name, distance) in [("head_distance", head_distance), ("alarm_distance", alarm_distance)] {
                if distance.is_some_and(|distance| distance.high > corner + 1e-3) {
                    said.add(name, format!("From corner to corner, the room is only {}.", feet(corner)));
                }
            }
        }
        if let (Some(long), Some(wide), Some(front)) = (long, wide, front_width)
            && front > long.max(wide) + 1e-9
        {
            said.add("front_width", format!("The longest wall is only {} wide.", feet(long.max(wide))));
        }
        if let (Some(height), Some(surface)) = (height, surface)
            && surface.high > height - 4.0 * FOOT + 1e-3
        {
            said.add("surface", "Type a height at least 4 ft below the ceiling.");
        }
        let read = (|| {
            let (long, wide, height) = (long?, wide?, height?);
            let front = Opening { width: front_width?, sill: 0.0, soffit: front_height? };
            let walls = walls?;
            let lining = walls.lining();
            let room = Room {
                length: long,
                width: wide,
                height,
                opening: Opening { soffit: front.soffit - panel?, ..front },
                walls: lining,
                floor: Lining::GYPSUM,
                ambient: kelvin(20.0),
            };
            let (fuels, items): (Vec<Fuel>, Vec<Item>) = items?.into_iter().unzip();
            let (air, water) = (air?, water?);
            let floor = room.floor_area() / (FOOT * FOOT);
            let inputs = Inputs {
                room,
                until: Inputs::horizon(&items),
                items,
                location: place?.location(),
                surface: surface?,
                ambient: Range::new(fahrenheit(air.low), fahrenheit(air.high)),
                sprinkler: Sprinkler {
                    rating: fahrenheit(rating?),
                    distance: head_distance?,
                    rti: rti?,
                    conductance: conductance?,
                    density: water::density(water::flow(water.k_factor, water.head_psi), floor),
                },
                alarm: Alarm { distance: alarm_distance?, sensing: alarm?.sensing() },
                flashover: Range::new(kelvin(500.0), kelvin(600.0)),
            };
            Some(Read { inputs, fuels, front, walls, ceiling: ceiling?, heat: heat?, water })
        })();
        match read {
            Some(read) if mistakes.is_empty() => Ok(read),
            _ => Err(mistakes),
        }
    }

    /// The items, in the order in which they catch. Rows without a type are empty.
    fn read_items(&self, said: &mut Mistakes) -> Option<Vec<(Fuel, Item)>> {
        let (mut items, mut is_whole) = (Vec::new(), true);
        for (place, [kind_name, delay_name, peak_name, rise_name]) in ITEM_FIELDS.into_iter().enumerate() {
            let [kind, delay, peak, rise] = self.item(place);
            if kind.is_empty() {
                continue;
            }
            let fuel = said.note(kind_name, kind.parse::<Fuel>());
            let delay = said.note(delay_name, numbers(delay, 0.0, 300.0));
            let peak = said.note(peak_name, numbers(peak, 5.0, 10_000.0));
            let rise = said.note(rise_name, numbers(rise, 5.0, 1_200.0));
            match (fuel, delay, peak, rise) {
                (Some(fuel), Some(delay), Some(peak), Some(rise)) => {
                    items.push((fuel, Item { delay, shape: shape(fuel, peak, rise) }));
                }
                _ => is_whole = false,
            }
        }
        if items.is_empty() && is_whole {
            said.add(ITEM_FIELDS[0][0], "Choose at least one item that burns.");
            return None;
        }
        is_whole.then_some(items)
    }

    fn read_heat(&self, said: &mut Mistakes) -> Option<Heat> {
        let flux = said.note("flux", one_number(&self.flux, 0.5, 1.6));
        let meters = |feet: Result<f64, String>| feet.map(|feet| feet * FOOT);
        let structure = said.note("structure", meters(one_number(&self.structure, 6.0, 60.0)));
        let hose_depth = said.note("hose_depth", meters(one_number(&self.hose_depth, 0.0, 200.0)));
        let mut optional = |name, text: &str| {
            if text.trim().is_empty() {
                return Some(None);
            }
            said.note(name, meters(one_number(text, 1.0, 2_000.0))).map(Some)
        };
        let permit = optional("permit_distance", &self.permit_distance);
        let own = optional("own_distance", &self.own_distance);
        Some(Heat { flux: flux?, structure: structure?, hose_depth: hose_depth?, permit: permit?, own: own? })
    }

    fn read_water(&self, said: &mut Mistakes, k_factor: Option<f64>, head_psi: Option<f64>) -> Option<Water> {
        let mut optional = |name, text: &str| {
            if text.trim().is_empty() {
                Some(None)
            } else {
                said.note(name, one_number(text, 1.0, 100_000.0)).map(Some)
            }
        };
        let tank = optional("tank", &self.tank);
        let attack_supply = optional("attack_supply", &self.attack_supply);
        let backup_supply = optional("backup_supply", &self.backup_supply);
        let unusable = if self.unusable.trim().is_empty() {
            Some(0.0)
        } else {
            said.note("unusable", one_number(&self.unusable, 0.0, 10_000.0))
        };
        let tank_minutes = said.note("tank_minutes", one_number(&self.tank_minutes, 1.0, 60.0));
        let attack_gpm = said.note("attack_gpm", one_number(&self.attack_gpm, 10.0, 1_000.0));
        let backup_gpm = said.note("backup_gpm", one_number(&self.backup_gpm, 10.0, 1_000.0));
        let attack_minutes = said.note("attack_minutes", one_number(&self.attack_minutes, 1.0, 120.0));
        let hose = said.note("hose", self.hose.parse::<Hose>());
        let hose_length = said.note("hose_length", one_number(&self.hose_length, 25.0, 2_000.0));
        let nozzle_psi = said.note("nozzle_psi", one_number(&self.nozzle_psi, 20.0, 150.0));
        Some(Water {
            k_factor: k_factor?,
            head_psi: head_psi?,
            tank: tank?,
            unusable: unusable?,
            tank_minutes: tank_minutes?,
            attack_gpm: attack_gpm?,
            attack_supply: attack_supply?,
            backup_gpm: backup_gpm?,
            backup_supply: backup_supply?,
            attack_minutes: attack_minutes?,
            hose: hose?,
            hose_feet: hose_length?,
            nozzle_psi: nozzle_psi?,
        })
    }
}

/// How an item with these numbers burns; the rest is usual for its type.
fn shape(fuel: Fuel, peak: Range, rise: Range) -> Shape<Range> {
    match fuel.preset().item().shape {
        Shape::Steady { hold, decay, .. } => Shape::Steady { peak, rise, hold, decay },
        Shape::Flash { decay, .. } => Shape::Flash { peak, rise, decay },
        Shape::Squared { .. } => {
            let alpha = |time: f64| Growth::Fast.alpha() * (Growth::Fast.time() / time).powi(2);
            Shape::Squared { peak, alpha: Range::new(alpha(rise.high), alpha(rise.low)) }
        }
    }
}

impl Place {
    fn location(self) -> Location {
        match self {
            Self::Wall => Location::Wall,
            Self::Corner => Location::Corner,
            Self::Middle => Location::Center,
        }
    }
}

impl Walls {
    fn lining(self) -> Lining {
        match self {
            Self::Gypsum => Lining::GYPSUM,
            // NUREG-1805, table 2-3 (from memory), 1/2 in.
            Self::Plywood => Lining { conductivity: 0.000_12, density: 540.0, specific_heat: 2.5, thickness: 0.0127 },
        }
    }
}

impl AlarmKind {
    fn sensing(self) -> Sensing {
        match self {
            Self::Unknown => Sensing::Unknown,
            Self::Ionization => Sensing::Ionization,
            Self::Photoelectric => Sensing::Photoelectric,
        }
    }
}
