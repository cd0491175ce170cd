//! Cue cards for introducing guests.

use crate::calc::precedence::Placed;
use crate::guests::called;
use crate::guests::facts::speaks;
use crate::guests::program::times::Timed;
use crate::guests::snapshot::GuestSnapshot;

/// A cue card for introducing one guest.
pub(super) struct Card {
    pub guest: i64,
    pub number: usize,
    pub name: String,
    /// Pronunciation.
    pub said: String,
    pub place: String,
    /// The guest a deputy came for.
    pub on_behalf: String,
    pub speaks: String,
    /// Seconds and words that the program leaves them; none if they don't speak.
    pub talk: Option<(u32, u32)>,
}

/// Everyone who is introduced, with the minutes that the program leaves them.
pub(super) fn all_cards(snapshot: &GuestSnapshot, lines: &[Timed]) -> Vec<Card> {
    let on = snapshot.event.details.burn_on;
    let card = |placed: Placed| {
        let known = &snapshot.guests[placed.of];
        let line = lines.iter().find(|line| line.entry.guest == Some(known.guest.id));
        let speaks = match line {
            Some(line) if line.is_dropped => "Not speaking: cut from the program".to_owned(),
            Some(line) => format!("Speaks {}", speaks(line.seconds, snapshot.settings.rate)),
            None => String::new(),
        };
        let said = known.person.details.said.clone();
        let holder = Card {
            guest: known.guest.id,
            number: placed.place,
            name: called::headed(known),
            said,
            place: called::subtitle(snapshot, known),
            on_behalf: String::new(),
            speaks,
            talk: line.map(|line| (line.seconds, line.words)),
        };
        match known.deputy(on) {
            Some((name, title)) => Card {
                name,
                said: String::new(),
                place: title,
                on_behalf: [holder.name, holder.place]
                    .into_iter()
                    .filter(|t| !t.is_empty())
                    .collect::<Vec<_>>()
                    .join(", "),
                ..holder
            },
            None => holder,
        }
    };
    snapshot.order(on, |known| known.is_counted_on(on)).into_iter().map(card).collect()
}
