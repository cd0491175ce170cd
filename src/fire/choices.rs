//! What is chosen from lists in what an estimate rests on.

use crate::calc::fire::bands::Sensing;
use crate::calc::fire::items::Preset;
use crate::calc::fire::room::Lining;
use crate::calc::fire::water;
use crate::calc::fire::zone::Location;
use crate::named::named;

named! {
    /// Where the first item stands.
    Place, "Choose where the fire starts.", START_PLACES: [
        Wall = "at a wall",
        Corner = "in a corner",
        Middle = "in the middle",
    ]
}

impl Place {
    pub(super) fn location(self) -> Location {
        match self {
            Self::Wall => Location::Wall,
            Self::Corner => Location::Corner,
            Self::Middle => Location::Center,
        }
    }
}

named! {
    /// What walls and ceiling are lined with.
    Walls, "Choose what the walls are lined with.", WALLS: [
        Gypsum = "gypsum board",
        Plywood = "plywood",
    ]
}

impl Walls {
    pub(super) fn lining(self) -> Lining {
        match self {
            Self::Gypsum => Lining::GYPSUM,
            // NUREG-1805, table 2-3 (from memory), 1/2 in.
            Self::Plywood => Lining { conductivity: 0.000_12, density: 540.0, specific_heat: 2.5, thickness: 0.0127 },
        }
    }
}

named! {
    /// What the jet of hot gas runs along.
    Ceiling, "Choose the type of ceiling.", CEILINGS: [
        Flat = "flat and smooth",
        Joists = "exposed joists or beams",
    ]
}

named! {
    /// What the alarm senses.
    AlarmKind, "Choose the type of alarm.", ALARM_KINDS: [
        Unknown = "not known",
        Ionization = "ionization",
        Photoelectric = "photoelectric",
    ]
}

impl AlarmKind {
    pub(super) fn sensing(self) -> Sensing {
        match self {
            Self::Unknown => Sensing::Unknown,
            Self::Ionization => Sensing::Ionization,
            Self::Photoelectric => Sensing::Photoelectric,
        }
    }
}

named! {
    /// The types of items that a fire goes through.
    Fuel, "Choose the type of item.", FUELS: [
        Wastebasket = "wastebasket",
        Curtain = "curtain",
        Armchair = "armchair",
        Sofa = "sofa",
        Bed = "bed",
    ]
}

impl Fuel {
    pub(super) fn preset(self) -> Preset {
        match self {
            Self::Wastebasket => Preset::Wastebasket,
            Self::Curtain => Preset::Curtain,
            Self::Armchair => Preset::Armchair,
            Self::Sofa => Preset::Sofa,
            Self::Bed => Preset::Bed,
        }
    }
}

named! {
    /// The size of the attack hose.
    Hose, "Choose a hose size.", HOSES: [
        Small = "1 3/4 in",
        Large = "2 1/2 in",
    ]
}

impl Hose {
    pub(super) fn friction(self) -> f64 {
        let size = if self == Self::Small { 1.75 } else { 2.5 };
        water::HOSES.into_iter().find(|(inches, _)| *inches >= size).map_or(0.0, |(_, coefficient)| coefficient)
    }
}
