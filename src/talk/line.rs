//! One thing that is said.

use crate::calc::talk::{Audience, Part};
use crate::named::named;

named! {
    /// Where the crowd is asked to look.
    Looks, "Choose where people look.", LOOKS: [
        Anywhere = "anywhere",
        RoomA = "room A",
        RoomB = "room B",
        BothRooms = "both rooms",
        Clock = "the clock",
        Smoke = "the smoke",
        Presenter = "the presenter",
    ]
}

/// At most so many lines: more can't be said in front of a crowd.
pub const MOST_LINES: usize = 200;

/// One thing that is said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TalkLine {
    pub id: i64,
    pub part: Part,
    pub audience: Audience,
    /// Who says it.
    pub speaker: String,
    pub looks: Looks,
    pub words: String,
    /// What it teaches.
    pub objective: Option<i64>,
    pub version: i64,
}
