//! Fuel warnings and the decisions about them, line by line.

use super::Room;
use super::snapshot::RoomSnapshot;
use super::warnings::{Because, Warning};
use crate::web::words::{self, Reader};
use time::Date;

/// A fuel warning, and the decision about it.
#[derive(Debug)]
pub(super) struct WarningLine {
    /// Its place in the list, for its form.
    pub number: usize,
    pub hazard: String,
    pub what: String,
    pub key: String,
    /// How many there are in each room, and the same in words.
    pub in_a: u32,
    pub in_b: u32,
    pub places: String,
    /// The word that triggered it; empty if someone checked the box.
    pub word: &'static str,
    pub because: String,
    pub basis: String,
    /// When it was decided, and for how many.
    pub decided_on: Option<Date>,
    pub decided_for: u32,
    pub decided: String,
    pub things: Vec<(String, String)>,
}

impl WarningLine {
    pub fn of(snapshot: &RoomSnapshot, number: usize, warning: &Warning, today: Date) -> Self {
        let ruling = snapshot.ruling(warning);
        let decided = ruling.map(|ruling| {
            let on = Reader::App.near_day(ruling.on, today);
            let items = words::count(usize::try_from(ruling.quantity).unwrap_or(usize::MAX), "item", "items");
            format!("{} Decided by {} on {on}, for {items}.", ended(&ruling.decided), ruling.says_by())
        });
        let things = warning
            .things
            .iter()
            .map(|thing| (format!("{} in {}", thing.details.says(), thing.details.room), thing.href()));
        Self {
            number,
            hazard: warning.hazard.to_string(),
            what: words::capital(warning.what),
            key: warning.key.clone(),
            in_a: warning.count(Room::A),
            in_b: warning.count(Room::B),
            places: warning.places(),
            word: match warning.because {
                Because::Ticked => "",
                Because::Word(word) => word,
            },
            because: match warning.because {
                Because::Ticked => "someone checked it on the item".to_owned(),
                Because::Word(word) => format!("its description says “{word}”"),
            },
            basis: warning.hazard.basis(),
            decided_on: ruling.map(|ruling| ruling.on),
            decided_for: ruling.map_or(0, |ruling| ruling.quantity),
            decided: decided.unwrap_or_default(),
            things: things.collect(),
        }
    }

    pub fn all(snapshot: &RoomSnapshot, today: Date) -> Vec<Self> {
        let mut lines: Vec<Self> = snapshot
            .warnings()
            .iter()
            .enumerate()
            .map(|(number, warning)| Self::of(snapshot, number, warning, today))
            .collect();
        lines.sort_by_key(|line| !line.decided.is_empty());
        lines
    }
}

fn ended(text: &str) -> String {
    if text.ends_with(['.', '!', '?']) { text.to_owned() } else { format!("{text}.") }
}
