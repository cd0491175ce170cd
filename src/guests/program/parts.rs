//! The program as it is stored: its parts, in order.

use crate::calc;
use crate::calc::program::Give;
use crate::named::named;
use serde_json::{Value, json};

named! {
    /// How a part of the program may be cut when time is short.
    Gives, "Choose what to do when time is short.", GIVES: [
        Fixed = "fixed",
        Shorten = "shorten",
        Drop = "drop",
        Either = "shorten or drop",
    ]
}

impl Gives {
    pub(super) fn give(self, least: u32) -> Give {
        match self {
            Self::Fixed => Give::Fixed,
            Self::Shorten => Give::Shorten(least),
            Self::Drop => Give::Drop,
            Self::Either => Give::Either(least),
        }
    }
}

named! {
    /// The type of a part of the program.
    Part, "Choose a type for this part.", PARTS: [
        Words = "words",
        Introductions = "introductions",
        Talks = "talks",
        Thanks = "sponsor thanks",
    ]
}

impl Part {
    /// Its name on pages.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Words => "remarks",
            Self::Introductions => "introductions",
            Self::Talks => "guests' remarks",
            Self::Thanks => "sponsor thanks",
        }
    }
}

/// A part of the program.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ProgramItem {
    pub kind: Part,
    pub title: String,
    pub who: String,
    /// In total, or for each guest introduced or thanked.
    pub seconds: u32,
    pub gives: Gives,
    pub least: u32,
    pub priority: u8,
}

/// The program before ignition.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Program {
    /// How many minutes before ignition it begins.
    pub begins: u32,
    /// How long it may run.
    pub minutes: u32,
    pub items: Vec<ProgramItem>,
    /// 0 until it is first saved.
    pub version: i64,
}

impl Program {
    /// A program to start from: common practice.
    #[must_use]
    pub fn usual() -> Self {
        let part = |kind, title: &str, who: &str, seconds, gives, least, priority| ProgramItem {
            kind,
            title: title.to_owned(),
            who: who.to_owned(),
            seconds,
            gives,
            least,
            priority,
        };
        Self {
            begins: 25,
            minutes: 12,
            items: vec![
                part(Part::Words, "Welcome", "presenter", 120, Gives::Fixed, 120, 1),
                part(Part::Introductions, "Introduction of officials", "presenter", 10, Gives::Fixed, 10, 1),
                part(Part::Talks, "Remarks by guests", "", 0, Gives::Fixed, 0, 1),
                part(Part::Thanks, "Thanks to sponsors", "presenter", 30, Gives::Shorten, 10, 4),
            ],
            version: 0,
        }
    }

    pub(in crate::guests) fn snapshot(&self) -> Value {
        let part =
            |item: &ProgramItem| format!("{} ({}, {})", item.title, calc::program::says(item.seconds), item.gives);
        json!({
            "begins": format!("{} min before ignition", self.begins),
            "may last": format!("{} min", self.minutes),
            "parts": self.items.iter().map(part).collect::<Vec<_>>().join("; "),
        })
    }
}
