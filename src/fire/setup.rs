//! What the estimates rest on, as it is typed: the same fields in the form, in the store,
//! and, once read, in the computation.

use super::choices::{AlarmKind, Ceiling, Fuel, Hose, Place, Walls};
use crate::calc::fire::growth::{Growth, Item, Shape};
use crate::calc::fire::sampling::Range;
use serde::{Deserialize, Serialize};

/// The most items that a fire goes through.
pub(super) const MOST_ITEMS: usize = 6;

/// The names under which mistakes about the items are kept: type, delay, heat, rise.
pub(super) const ITEM_FIELDS: [[&str; 4]; MOST_ITEMS] = [
    ["kind_1", "delay_1", "peak_1", "rise_1"],
    ["kind_2", "delay_2", "peak_2", "rise_2"],
    ["kind_3", "delay_3", "peak_3", "rise_3"],
    ["kind_4", "delay_4", "peak_4", "rise_4"],
    ["kind_5", "delay_5", "peak_5", "rise_5"],
    ["kind_6", "delay_6", "peak_6", "rise_6"],
];

/// Everything that is typed. Numbers may be ranges: "28 to 50".
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Setup {
    pub name: String,
    pub length: String,
    pub width: String,
    pub height: String,
    /// The open front: its width, its height, and how much of that the clear panel covers
    /// from the top down.
    pub front_width: String,
    pub front_height: String,
    pub panel: String,
    pub walls: String,
    pub ceiling: String,
    pub place: String,
    /// Of what burns, above the floor.
    pub surface: String,
    /// °F.
    pub air: String,
    pub kind: Vec<String>,
    /// Seconds.
    pub delay: Vec<String>,
    /// Kilowatts.
    pub peak: Vec<String>,
    /// Seconds: until the peak, or for seats until 1,055 kW if they could get there.
    pub rise: Vec<String>,
    /// °F.
    pub rating: String,
    pub head_distance: String,
    pub rti: String,
    pub conductance: String,
    pub k_factor: String,
    /// psi.
    pub head_psi: String,
    pub alarm: String,
    pub alarm_distance: String,
    /// kW/m² where the public stands; the rest in feet.
    pub flux: String,
    pub structure: String,
    pub hose_depth: String,
    pub permit_distance: String,
    pub own_distance: String,
    /// Gallons, and minutes.
    pub tank: String,
    pub unusable: String,
    pub tank_minutes: String,
    /// Gallons per minute, gallons, minutes.
    pub attack_gpm: String,
    pub attack_supply: String,
    pub backup_gpm: String,
    pub backup_supply: String,
    pub attack_minutes: String,
    pub hose: String,
    /// Feet.
    pub hose_length: String,
    /// psi.
    pub nozzle_psi: String,
}

impl Default for Setup {
    /// A cube of 8 ft whose front is open up to a clear panel of 2 ft.
    fn default() -> Self {
        let text = str::to_owned;
        Self {
            name: text("As listed"),
            length: text("8 ft"),
            width: text("8 ft"),
            height: text("8 ft"),
            front_width: text("8 ft"),
            front_height: text("8 ft"),
            panel: text("2 ft"),
            walls: text(Walls::Gypsum.as_str()),
            ceiling: text(Ceiling::Flat.as_str()),
            place: text(Place::Wall.as_str()),
            surface: text("8 in to 24 in"),
            air: text("50 to 86"),
            kind: Vec::new(),
            delay: Vec::new(),
            peak: Vec::new(),
            rise: Vec::new(),
            rating: text("155"),
            head_distance: text("2.5 ft to 4 ft"),
            rti: text("28 to 50"),
            conductance: text("0.3 to 1"),
            k_factor: text("4.9"),
            head_psi: text("7"),
            alarm: text(AlarmKind::Unknown.as_str()),
            alarm_distance: text("2.5 ft to 4 ft"),
            flux: text("1"),
            structure: text("9"),
            hose_depth: text("20"),
            permit_distance: String::new(),
            own_distance: String::new(),
            tank: String::new(),
            unusable: String::new(),
            tank_minutes: text("10"),
            attack_gpm: text("150"),
            attack_supply: String::new(),
            backup_gpm: text("150"),
            backup_supply: String::new(),
            attack_minutes: text("5"),
            hose: text(Hose::Small.as_str()),
            hose_length: text("150"),
            nozzle_psi: text("50"),
        }
    }
}

impl Setup {
    /// Adds an item with what is usual for its type.
    pub(super) fn push(&mut self, fuel: Fuel) {
        let item = fuel.preset().item();
        let (delay, peak, rise) = typed_item(&item);
        self.kind.push(fuel.to_string());
        self.delay.push(delay);
        self.peak.push(peak);
        self.rise.push(rise);
    }

    /// The same, with what is usual where an item has a type and no numbers.
    pub(super) fn filled(mut self) -> Self {
        for (place, kind) in self.kind.iter().enumerate() {
            let Ok(fuel) = kind.parse::<Fuel>() else { continue };
            let (delay, peak, rise) = typed_item(&fuel.preset().item());
            for (all, usual) in [(&mut self.delay, delay), (&mut self.peak, peak), (&mut self.rise, rise)] {
                if let Some(typed) = all.get_mut(place).filter(|typed| typed.trim().is_empty()) {
                    *typed = usual;
                }
            }
        }
        self
    }

    /// A field of an item; empty if there is none.
    pub(super) fn item(&self, place: usize) -> [&str; 4] {
        [&self.kind, &self.delay, &self.peak, &self.rise].map(|all| all.get(place).map_or("", String::as_str))
    }
}

/// Delay, heat, and rise of an item as they are typed.
fn typed_item(item: &Item) -> (String, String, String) {
    let typed = |range: Range| {
        let (low, high) = (range.low.round(), range.high.round());
        if range.is_exact() { low.to_string() } else { format!("{low} to {high}") }
    };
    let rise = match item.shape {
        Shape::Steady { rise, .. } | Shape::Flash { rise, .. } => rise,
        Shape::Squared { alpha, .. } => {
            let time = |alpha: f64| Growth::Fast.time() * (Growth::Fast.alpha() / alpha).sqrt();
            Range::new(time(alpha.high), time(alpha.low))
        }
    };
    (typed(item.delay), typed(item.shape.peak()), typed(rise))
}
