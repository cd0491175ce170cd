//! What should not burn, or not without a decision. Nothing is refused: the authority
//! having jurisdiction decides, and the decision is recorded.

use super::{Details, Room, Thing};
use crate::calc::pairs::{first_word, folded};
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

const ADOPTED: &str = "Check the edition your authority has adopted.";

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
    fn words(self) -> &'static [&'static str] {
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

/// What triggered a warning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Because {
    Ticked,
    Word(&'static str),
}

/// An item's warnings, by checkboxes and by words.
pub(super) fn of(details: &Details) -> Vec<(Hazard, Because)> {
    let text = folded(&[details.what.as_str(), &details.model, &details.material].join(" / "));
    let one = |hazard: Hazard| {
        if details.hazards.contains(&hazard) {
            return Some((hazard, Because::Ticked));
        }
        first_word(&text, hazard.words()).map(|word| (hazard, Because::Word(word)))
    };
    Hazard::ALL.into_iter().filter_map(one).collect()
}

/// A warning about one type of item, in both rooms.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Warning<'a> {
    pub hazard: Hazard,
    /// The type as someone typed it, and as it is compared.
    pub what: &'a str,
    pub key: String,
    pub things: Vec<&'a Thing>,
    pub because: Because,
}

impl Warning<'_> {
    pub fn quantity(&self) -> u32 {
        self.things.iter().map(|thing| thing.details.quantity.max(1)).sum()
    }

    pub fn count(&self, room: Room) -> u32 {
        let these = self.things.iter().filter(|thing| thing.details.room == room);
        these.map(|thing| thing.details.quantity.max(1)).sum()
    }

    /// "1 in room A, 2 in room B".
    pub fn places(&self) -> String {
        let rooms = Room::ALL.into_iter().map(|room| (room, self.count(room))).filter(|(_, count)| *count > 0);
        rooms.map(|(room, count)| format!("{count} in {room}")).collect::<Vec<_>>().join(", ")
    }
}

/// All warnings, by hazard and then alphabetically.
pub(super) fn warnings(things: &[Thing]) -> Vec<Warning<'_>> {
    let mut all: Vec<Warning> = Vec::new();
    for thing in things {
        for (hazard, because) in of(&thing.details) {
            let key = folded(&thing.details.what);
            match all.iter_mut().find(|known| known.hazard == hazard && known.key == key) {
                Some(known) => known.things.push(thing),
                None => all.push(Warning { hazard, what: &thing.details.what, key, things: vec![thing], because }),
            }
        }
    }
    all.sort_by(|one, other| (one.hazard, &one.key).cmp(&(other.hazard, &other.key)));
    all
}

#[cfg(test)]
mod tests {
    use super::super::Kind;
    use super::*;

    #[test]
    fn words_and_ticks_warn_and_other_words_do_not() {
        let details = |what: &str| Details::of(Room::A, Kind::Furnishing, what);
        for (what, hazards) in [
            ("Air freshener, aerosol", &[Hazard::Pressure][..]),
            ("Aerosols", &[Hazard::Pressure]),
            ("propane tank", &[Hazard::Pressure]),
            ("PAINT CAN", &[Hazard::Closed]),
            ("can of gasoline", &[Hazard::Liquid]),
            ("foam-filled cushion", &[Hazard::Foam]),
            ("highlighter pen", &[]),
            ("drumstick picture", &[]),
            ("sofa", &[]),
            ("E-bike", &[Hazard::Battery]),
            ("power banks", &[Hazard::Battery]),
            ("gas-lift chair", &[Hazard::GasSpring]),
            ("box of ammunition", &[Hazard::Ammunition]),
            ("tube television", &[Hazard::Tube]),
            ("smoke alarm, ionization", &[Hazard::Radioactive]),
            ("smoke alarm, photoelectric", &[]),
            ("table", &[]),
        ] {
            let found: Vec<Hazard> = of(&details(what)).into_iter().map(|(hazard, _)| hazard).collect();
            assert_eq!(found, hazards, "{what}");
        }
        let ticked = Details { hazards: vec![Hazard::Treated], ..details("bench") };
        assert_eq!(of(&ticked), [(Hazard::Treated, Because::Ticked)]);
        let cover = Details { material: "linen over polyurethane".to_owned(), ..details("sofa") };
        assert_eq!(of(&cover), [(Hazard::Foam, Because::Word("polyurethane"))]);
    }

    #[test]
    fn every_basis_leaves_the_decision_to_others() {
        for hazard in Hazard::ALL {
            assert!(hazard.basis().ends_with(ADOPTED), "{hazard}");
            assert!(hazard.words().iter().all(|word| folded(word) == **word), "{hazard}");
        }
    }
}
