//! What ran, and the numbers.

mod figures;
mod form;
mod outcomes;
mod page;
mod routes;
mod store;

use time::Date;

pub(super) use routes::router;
pub use store::add;
pub(super) use store::of_event;

/// A story as someone enters it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewStory {
    pub outlet_id: i64,
    pub ran_on: Date,
    pub title: String,
    /// Its web address, or where the clipping is.
    pub link: String,
    /// Time on air, if it was on air.
    pub air_seconds: Option<u32>,
    /// Which of the event's key messages are in it, the first in the lowest bit.
    pub carried: u8,
    /// What the outlet should correct; empty if nothing.
    pub correction: String,
    /// When it did.
    pub corrected_on: Option<Date>,
}

impl NewStory {
    /// The numbers of the messages in it, from 1.
    fn carried_numbers(&self) -> Vec<String> {
        (0..8_u8).filter(|place| (self.carried >> place) & 1 == 1).map(|place| (place + 1).to_string()).collect()
    }
}

/// A story about an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Story {
    pub id: i64,
    pub outlet_id: i64,
    pub outlet: String,
    pub details: NewStory,
    pub version: i64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    #[test]
    fn the_messages_in_a_story_are_numbered_from_1() {
        let story = NewStory {
            outlet_id: 1,
            ran_on: date!(2027 - 01 - 03),
            title: "Two rooms burn".to_owned(),
            link: String::new(),
            air_seconds: None,
            carried: 0b101,
            correction: String::new(),
            corrected_on: None,
        };
        assert_eq!(story.carried_numbers(), ["1", "3"]);
        assert_eq!(NewStory { carried: 0, ..story }.carried_numbers(), [""; 0]);
    }
}
