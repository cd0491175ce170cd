//! What the rooms' own lists say about the fire: which items burn, which head and which alarm
//! are there.

use super::setup::{AlarmKind, Fuel, MOST_ITEMS, Setup};
use crate::calc::pairs::folded;
use crate::rooms::{Draft, Kind, Room, Thing};

/// Words by which an item is known, in the order in which a fire usually takes them.
const WORDS: [(Fuel, &[&str]); 5] = [
    (Fuel::Wastebasket, &["wastebasket", "waste basket", "trash can", "waste paper basket"]),
    (Fuel::Curtain, &["curtain", "drape", "drapes", "drapery"]),
    (Fuel::Armchair, &["armchair", "easy chair", "recliner", "upholstered chair"]),
    (Fuel::Sofa, &["sofa", "couch", "love seat", "loveseat", "settee"]),
    (Fuel::Bed, &["bed", "mattress", "bunk"]),
];

fn has(text: &str, words: &[&str]) -> bool {
    let plain: String = text.chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    let plain = format!(" {} ", plain.split_whitespace().collect::<Vec<_>>().join(" "));
    words.iter().any(|word| plain.contains(&format!(" {word} ")) || plain.contains(&format!(" {word}s ")))
}

fn described(draft: &Draft) -> String {
    folded(&[draft.what.as_str(), &draft.model, &draft.material, &draft.condition].join(" / "))
}

/// The usual setup with what is on the lists.
pub(super) fn setup(things: &[Thing]) -> Setup {
    let mut setup = Setup::default();
    let furnishings = || things.iter().filter(|thing| thing.draft.kind == Kind::Furnishing);
    let in_a = || furnishings().filter(|thing| thing.draft.room == Room::A && thing.draft.quantity > 0);
    for (fuel, words) in WORDS {
        if in_a().any(|thing| has(&folded(&thing.draft.what), words)) && setup.kind.len() < MOST_ITEMS {
            setup.push(fuel);
        }
    }
    let alarm =
        furnishings().find(|thing| has(&folded(&thing.draft.what), &["smoke alarm", "alarm", "smoke detector"]));
    if let Some(alarm) = alarm {
        let text = described(&alarm.draft);
        // One that senses both responds to flames like an ionization alarm.
        let kind = if has(&text, &["ionization", "dual sensor", "dual"]) {
            AlarmKind::Ionization
        } else if has(&text, &["photoelectric", "optical"]) {
            AlarmKind::Photoelectric
        } else {
            AlarmKind::Unknown
        };
        kind.as_str().clone_into(&mut setup.alarm);
    }
    let is_head = |thing: &&Thing| {
        thing.draft.room == Room::B && has(&folded(&thing.draft.what), &["sprinkler", "sprinkler head"])
    };
    if let Some(head) = things.iter().find(is_head) {
        let text = described(&head.draft);
        let rating = [135, 155, 165, 175, 200].into_iter().find(|degrees| has(&text, &[&degrees.to_string()]));
        if let Some(degrees) = rating {
            setup.rating = degrees.to_string();
        }
    }
    setup
}

/// What a field of the setup was taken from.
pub(super) fn is_listed(things: &[Thing], fuel: Fuel) -> bool {
    let words = WORDS.into_iter().find(|(known, _)| *known == fuel).map_or(&[][..], |(_, words)| words);
    things.iter().any(|thing| thing.draft.kind == Kind::Furnishing && has(&folded(&thing.draft.what), words))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thing(room: Room, what: &str, model: &str) -> Thing {
        let draft = Draft { model: model.to_owned(), ..Draft::of(room, Kind::Furnishing, what) };
        Thing { id: 1, event_id: 1, draft, photo_id: None, version: 1 }
    }

    #[test]
    fn the_lists_say_what_burns_and_what_responds() {
        let things = [
            thing(Room::A, "sofa", ""),
            thing(Room::A, "Curtains", ""),
            thing(Room::A, "bedside lamp", ""),
            thing(Room::A, "wastebasket", ""),
            thing(Room::B, "recliner", ""),
            thing(Room::B, "smoke alarm", "photoelectric, 10 years"),
            thing(Room::B, "sprinkler head", "quick response, 165 °F, K 4.9"),
        ];
        let setup = setup(&things);
        assert_eq!(setup.kind, ["wastebasket", "curtain", "sofa"]);
        assert_eq!((setup.alarm.as_str(), setup.rating.as_str()), ("photoelectric", "165"));
        assert!(setup.read().is_ok());
        assert!(is_listed(&things, Fuel::Armchair) && !is_listed(&things, Fuel::Bed));
    }

    #[test]
    fn nothing_burns_in_an_empty_room() {
        let mistakes = setup(&[]).read().unwrap_err();
        assert!(!mistakes.of("kind_1").is_empty());
    }
}
