//! What a practice gave, as it is sent.

use super::clock::drawn;
use super::measured::Practice;
use crate::calc::talk::{Audience, Part};
use crate::error::Result;
use crate::talk::says;
use crate::talk::snapshot::TalkSnapshot;
use crate::web::form::{self, Mistakes};
use serde::Deserialize;
use time::OffsetDateTime;

/// A practice is at most so long, ms, and has at most so many words.
const MOST_MS: u32 = 4 * 3_600_000;
const MOST_WORDS: u32 = 60_000;

/// What a practice gave. Without scripts, someone types which part they read and how long it
/// took.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Default)]
#[serde(default)]
pub(super) struct PracticeForm {
    pub fire: String,
    /// When the plan that the fire is from was pinned.
    pub pinned: String,
    pub children_words: String,
    pub children_ms: String,
    pub adults_words: String,
    pub adults_ms: String,
    pub finished: String,
    pub cut: String,
    pub part: String,
    pub took: String,
    pub note: String,
}

/// "3:20", or "200" seconds.
fn seconds(text: &str) -> Result<u32, String> {
    let wrong = || "Enter minutes and seconds, as in 3:20.".to_owned();
    let text = text.trim();
    let number = |text: &str| text.parse::<u32>().map_err(|_| wrong());
    let seconds = match text.split_once(':') {
        Some((minutes, seconds)) if seconds.len() == 2 => {
            let (minutes, seconds) = (number(minutes)?, number(seconds)?);
            if seconds > 59 || minutes > 240 {
                return Err(wrong());
            }
            minutes * 60 + seconds
        }
        Some(_) => return Err(wrong()),
        None => number(text)?,
    };
    if seconds == 0 || seconds > 4 * 3_600 { Err(wrong()) } else { Ok(seconds) }
}

impl PracticeForm {
    pub fn is_by_hand(&self) -> bool {
        self.finished.trim().is_empty()
    }

    pub fn read(&self, snapshot: &TalkSnapshot, now: OffsetDateTime) -> Result<Practice, Mistakes> {
        let mut wrong = Mistakes::default();
        let note = wrong.note("note", form::paragraph(&self.note, 1_000)).unwrap_or_default();
        let mut new = Practice {
            id: 0,
            at: now,
            by: None,
            account: None,
            fires: Vec::new(),
            children: (0, 0),
            adults: (0, 0),
            finished: 0,
            cut: 0,
            note,
        };
        if self.is_by_hand() {
            let part = wrong.note("part", self.part.parse::<Part>());
            let took = wrong.note("took", seconds(&self.took));
            if let (Some(part), Some(took)) = (part, took) {
                new.by_hand(snapshot, part, took);
            }
        } else {
            let mut number = |text: &str, most: u32| {
                let text = if text.trim().is_empty() { "0" } else { text };
                wrong.note("took", form::number(text, 0, most)).unwrap_or_default()
            };
            new.children = (number(&self.children_words, MOST_WORDS), number(&self.children_ms, MOST_MS));
            new.adults = (number(&self.adults_words, MOST_WORDS), number(&self.adults_ms, MOST_MS));
            new.finished = number(&self.finished, 10_000);
            new.cut = number(&self.cut, 10_000);
            // Another plan's fire with this number is another fire.
            let is_same = snapshot.fires().is_some_and(|fires| fires.pinned_at.to_string() == self.pinned);
            if is_same {
                new.fires = drawn(snapshot, self.fire.parse().unwrap_or_default());
            }
        }
        if wrong.is_empty() { Ok(new) } else { Err(wrong) }
    }
}

impl Practice {
    /// One part, read in one go and timed by hand: the time is shared out as planned.
    fn by_hand(&mut self, snapshot: &TalkSnapshot, part: Part, took: u32) {
        let (mut planned, mut words) = ([0.0, 0.0], [0, 0]);
        for (_, timed) in snapshot.of_part(part) {
            let place = usize::from(timed.line.audience == Audience::Adults);
            planned[place] += timed.seconds;
            words[place] += timed.checked.words;
            self.finished += 1;
        }
        let all: f64 = planned.iter().sum();
        let ms = |place: usize| {
            if all > 0.0 { says::whole(f64::from(took) * 1_000.0 * planned[place] / all) } else { 0 }
        };
        (self.children, self.adults) = ((words[0], ms(0)), (words[1], ms(1)));
    }
}
