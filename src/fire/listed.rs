//! What the rooms' own lists say about the fire: which items burn, which head and which alarm
//! are there.

use super::choices::{AlarmKind, Fuel};
use super::setup::{MOST_ITEMS, Setup};
use crate::calc::fire::FOOT;
use crate::calc::pairs::{first_word, folded};
use crate::error::Result;
use crate::events::Event;
use crate::rooms::{self, Details, Kind, Measured, Room, Thing, feet};
use sqlx::SqliteConnection;

/// Words by which an item is known, in the order in which a fire usually takes them.
const WORDS: [(Fuel, &[&str]); 5] = [
    (Fuel::Wastebasket, &["wastebasket", "waste basket", "trash can", "waste paper basket"]),
    (Fuel::Curtain, &["curtain", "drape", "drapes", "drapery"]),
    (Fuel::Armchair, &["armchair", "easy chair", "recliner", "upholstered chair"]),
    (Fuel::Sofa, &["sofa", "couch", "love seat", "loveseat", "settee"]),
    (Fuel::Bed, &["bed", "mattress", "bunk"]),
];

fn has(text: &str, words: &[&str]) -> bool {
    first_word(text, words).is_some()
}

fn described(details: &Details) -> String {
    folded(&[details.what.as_str(), &details.model, &details.material, &details.condition].join(" / "))
}

/// What is measured on the drawing of the rooms, as far as the estimate can use it. The front
/// is open but for its panel.
fn take_over(setup: &mut Setup, drawn: &Measured) {
    /// The highest ceiling and the shortest reach that a setup may have.
    const HIGHEST: f64 = 13.0 * FOOT;
    const SHORTEST: f64 = 0.5 * FOOT;
    let height = drawn.height.clamp(6.5 * FOOT, HIGHEST);
    (setup.length, setup.width) = (feet(drawn.depth), feet(drawn.width));
    (setup.height, setup.front_width, setup.front_height) = (feet(height), feet(drawn.width), feet(height));
    // A foot of the front stays open, and the structure is no lower than its room.
    let panel = drawn.panel.map(|panel| panel.min(height - FOOT)).filter(|panel| *panel > 0.0);
    setup.panel = panel.map_or_else(String::new, feet);
    if setup.structure.parse().is_ok_and(|structure: f64| structure * FOOT < height) {
        setup.structure = format!("{:.0}", (height / FOOT).ceil());
    }
    for (field, reach) in [(&mut setup.head_distance, drawn.sprinkler), (&mut setup.alarm_distance, drawn.alarm)] {
        if let Some(reach) = reach {
            *field = feet(reach.max(SHORTEST));
        }
    }
}

/// What the lists of an event's rooms say, as a setup.
pub async fn as_listed(db: &mut SqliteConnection, event: &Event) -> Result<Setup> {
    let drawn = rooms::measured(db, event).await?;
    Ok(setup(&rooms::of_event(db, event.id).await?, drawn.as_ref()))
}

/// The usual setup with what is on the lists, and what is measured where the rooms are drawn.
pub(super) fn setup(things: &[Thing], drawn: Option<&Measured>) -> Setup {
    let mut setup = Setup::default();
    if let Some(drawn) = drawn {
        take_over(&mut setup, drawn);
    }
    let furnishings = || things.iter().filter(|thing| thing.details.kind == Kind::Furnishing);
    for (fuel, _) in WORDS {
        if is_listed(things, fuel) && setup.kind.len() < MOST_ITEMS {
            setup.push(fuel);
        }
    }
    let alarm = furnishings().find(|thing| has(&folded(&thing.details.what), &["smoke alarm", "smoke detector"]));
    if let Some(alarm) = alarm {
        let text = described(&alarm.details);
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
        thing.details.room == Room::B && has(&folded(&thing.details.what), &["sprinkler", "sprinkler head"])
    };
    let rating = things.iter().filter(is_head).find_map(|head| {
        let text = described(&head.details);
        let is_said = |degrees: &u32| has(&text, &[&format!("{degrees} f"), &format!("{degrees}f")]);
        [135, 155, 165, 175, 200].into_iter().find(is_said)
    });
    if let Some(degrees) = rating {
        setup.rating = degrees.to_string();
    }
    setup
}

/// Is this type of item on the list of room A, which burns without a sprinkler?
pub(super) fn is_listed(things: &[Thing], fuel: Fuel) -> bool {
    let words = WORDS.into_iter().find(|(known, _)| *known == fuel).map_or(&[][..], |(_, words)| words);
    let burns = |details: &Details| details.kind == Kind::Furnishing && details.room == Room::A && details.quantity > 0;
    let is_it = |what: &str| has(what, words) && !has(what, &["rod", "table", "lamp", "frame"]);
    things.iter().any(|thing| burns(&thing.details) && is_it(&folded(&thing.details.what)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn thing(room: Room, what: &str, model: &str) -> Thing {
        let details = Details { model: model.to_owned(), ..Details::of(room, Kind::Furnishing, what) };
        Thing { id: 1, event_id: 1, details, photo_id: None, version: 1 }
    }

    #[test]
    fn the_lists_say_what_burns_and_what_responds() {
        let things = [
            thing(Room::A, "sofa", ""),
            thing(Room::A, "Curtains", ""),
            thing(Room::A, "bed lamp", ""),
            thing(Room::A, "curtain rod", ""),
            thing(Room::B, "sprinkler tank", "200 gal"),
            thing(Room::A, "wastebasket", ""),
            thing(Room::B, "recliner", ""),
            thing(Room::B, "smoke alarm", "photoelectric, 10 years"),
            thing(Room::B, "sprinkler head", "quick response, 165 °F, K 4.9"),
        ];
        let setup = setup(&things, None);
        assert_eq!(setup.kind, ["wastebasket", "curtain", "sofa"]);
        assert_eq!((setup.alarm.as_str(), setup.rating.as_str()), ("photoelectric", "165"));
        assert!(setup.read().is_ok());
        // The recliner is in room B alone.
        assert!(is_listed(&things, Fuel::Sofa) && !is_listed(&things, Fuel::Armchair));
    }

    #[test]
    fn nothing_burns_in_an_empty_room() {
        let mistakes = setup(&[], None).read().unwrap_err();
        assert!(!mistakes.of("kind_1").is_empty());
    }
}
