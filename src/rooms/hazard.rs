//! Why an item should not burn, or not without a decision.

use crate::named::named;

named! {
    /// Why an item is questionable as fuel.
    Hazard, "Choose what the warning is about.", HAZARDS: [
        Pressure = "container under pressure",
        Liquid = "flammable or combustible liquid",
        Closed = "closed container",
        Foam = "foam or plastics",
        Treated = "treated or painted wood",
        Asbestos = "asbestos",
        Battery = "lithium battery",
        GasSpring = "gas spring",
        Ammunition = "ammunition or fireworks",
        Tube = "picture tube",
        Radioactive = "ionization alarm",
    ]
}

pub(super) const ADOPTED: &str = "Check the edition your authority has adopted.";

impl Hazard {
    /// The reason for the warning, with its source.
    #[must_use]
    pub fn basis(self) -> String {
        // Of NFPA 1403, closed containers are known from an excerpt and the rest from
        // memory, as are the air quality rules on asbestos.
        let known = match self {
            Self::Pressure | Self::Closed => {
                "NFPA 1403 (2018 edition, chapter 5) calls for removing closed containers and highly combustible \
                 materials before a burn."
            }
            Self::Liquid => {
                "NFPA 1403 does not allow flammable or combustible liquids as fuel. NIOSH report F2000-27 describes a \
                 death after diesel fuel was sprayed on debris."
            }
            Self::Foam => {
                "NFPA 1403 excludes foam and plastics from training fuel. NIOSH reports F2002-34 and F2005-31 recommend \
                 fuel that burns in a known way, and as little of it as possible. A flashover demonstration burns some, \
                 so decide how much."
            }
            Self::Treated => "NFPA 1403 excludes treated wood from training fuel.",
            Self::Asbestos => "NFPA 1403 calls for removing asbestos before a burn, and so do air quality rules.",
            Self::Battery => {
                "A lithium battery that burns gives off toxic gas, throws parts, and can light again hours later. NFPA \
                 1403 calls for removing highly combustible materials."
            }
            Self::GasSpring => {
                "The gas spring of a chair is a closed container under pressure, and can shoot out. NFPA 1403 (2018 \
                 edition, chapter 5) calls for removing closed containers."
            }
            Self::Ammunition => {
                "Ammunition and fireworks go off in a fire. Common practice: never in a room that burns."
            }
            Self::Tube => "A picture tube can implode, and its glass holds lead. Common practice: take it out.",
            Self::Radioactive => {
                "An ionization smoke alarm holds a small radioactive source. Use a photoelectric alarm, or have the \
                 authority decide about this one by name."
            }
        };
        format!("{known} {ADOPTED}")
    }

    /// Words in an item's description that point to it.
    pub(super) fn words(self) -> &'static [&'static str] {
        match self {
            Self::Pressure => &[
                "aerosol",
                "spray can",
                "spray paint",
                "propane",
                "butane",
                "oxygen",
                "gas bottle",
                "gas cylinder",
                "fire extinguisher",
                "lighter",
                "hairspray",
            ],
            Self::Liquid => &[
                "gasoline",
                "petrol",
                "diesel",
                "kerosene",
                "lamp oil",
                "paint thinner",
                "turpentine",
                "solvent",
                "lighter fluid",
                "nail polish",
                "motor oil",
            ],
            Self::Closed => &["paint can", "paint tin", "closed can", "sealed", "drum", "keg", "jerry can", "canister"],
            Self::Foam => &["foam", "polyurethane", "polystyrene", "styrofoam"],
            Self::Treated => &["treated wood", "pressure treated", "creosote", "railroad tie", "painted wood"],
            Self::Asbestos => &["asbestos", "vermiculite"],
            Self::Battery => &[
                "lithium",
                "power bank",
                "e bike",
                "ebike",
                "e scooter",
                "scooter",
                "hoverboard",
                "laptop",
                "tablet computer",
                "cell phone",
                "smartphone",
                "cordless drill",
            ],
            Self::GasSpring => &["gas lift", "gas spring", "gas strut", "office chair", "desk chair"],
            Self::Ammunition => &["ammunition", "ammo", "firework", "fireworks", "flare"],
            Self::Tube => &["picture tube", "tube television", "tube tv", "crt"],
            Self::Radioactive => &["ionization"],
        }
    }
}
