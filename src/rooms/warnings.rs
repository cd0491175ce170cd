//! What should not burn, or not without a decision. Nothing is refused: the authority
//! having jurisdiction decides, and the decision is recorded.

use super::hazard::Hazard;
use super::room::Room;
use super::thing::{Details, Thing};
use crate::calc::pairs::{first_word, folded};

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
    use super::*;
    use crate::rooms::Kind;
    use crate::rooms::hazard::ADOPTED;

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
