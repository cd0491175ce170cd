//! What another place shows in the countdown.

use super::{Owner, Strand};
use crate::accounts::{Private, User};
use crate::web::words::{self, Reader};
use time::Date;

/// What a place has to show.
#[derive(Debug, Default)]
pub struct CountdownItems {
    /// The tasks of this strand need what is reported here.
    pub strand: Option<Strand>,
    /// Replaces the line of the strand with the same name.
    pub ready: Vec<Ready>,
    pub due: Vec<Due>,
    pub needs: Vec<Need>,
    /// What the place's own page lists as wrong, whenever it must be settled: the address
    /// of each, as the countdown gives it too.
    pub problems: Vec<String>,
    /// Both rooms, small.
    pub rooms: Option<DrawnRooms>,
}

/// Both rooms from above, as they fill.
#[derive(Debug, Clone)]
pub struct DrawnRooms {
    pub href: String,
    /// How many of the items drawn are on hand, and how many are drawn.
    pub here: usize,
    pub all: usize,
    pub rooms: Vec<DrawnRoom>,
}

/// One room. The paths are SVG's.
#[derive(Debug, Clone)]
pub struct DrawnRoom {
    /// "A" or "B".
    pub letter: &'static str,
    pub width: f64,
    pub height: f64,
    pub walls: String,
    /// Each item, and whether it is "wanted", "promised", or "here".
    pub items: Vec<(String, &'static str)>,
}

/// Something that one task needs.
#[derive(Debug)]
pub struct Need {
    pub task: ForTask,
    pub title: String,
    /// How far it is, in a word or two.
    pub state: String,
    pub href: String,
}

/// Which task that is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ForTask {
    Id(i64),
    /// Its key in the template.
    Key(&'static str),
}

/// How ready one part of the burn is: one pip for each thing needed.
#[derive(Debug, Clone)]
pub struct Ready {
    pub name: &'static str,
    pub href: String,
    pub done: usize,
    pub waiting: usize,
    pub open: usize,
    /// What is counted, as it follows the numbers: "positions filled".
    pub what: &'static str,
    /// The same for the rain date, if the event has one and the place knows.
    pub rain: Option<OnRainDate>,
}

/// How ready a part would be if the rain date were used.
#[derive(Debug, Clone)]
pub struct OnRainDate {
    pub on: Date,
    pub done: usize,
    pub all: usize,
}

impl Ready {
    /// Its name, as people read it.
    pub(super) fn label(&self) -> &'static str {
        self.name.parse().map_or(self.name, Strand::label)
    }

    pub(super) fn all(&self) -> usize {
        self.done + self.waiting + self.open
    }

    /// "33 of 33 positions filled".
    pub(super) fn says(&self) -> String {
        format!("{} of {} {}", words::grouped(self.done), words::grouped(self.all()), self.what)
    }

    /// "rain date Sat, Jan 16: 28 of 33"; empty without one.
    pub(super) fn on_rain_date(&self, today: Date) -> String {
        self.rain.as_ref().map_or_else(String::new, |rain| {
            let (done, all) = (words::grouped(rain.done), words::grouped(rain.all));
            format!("rain date {}: {done} of {all}", Reader::App.near_day(rain.on, today))
        })
    }
}

/// Something to do that isn't a task in the plan, such as a follow-up call.
#[derive(Debug)]
pub struct Due {
    pub title: String,
    /// The smaller line beneath it.
    pub beneath: String,
    /// What someone said, for those who may read it; may be empty.
    pub said: String,
    /// Where to do it.
    pub href: String,
    /// Who is responsible: a person, or else whoever has this role in the burn.
    pub person: Option<(i64, String)>,
    pub owner: Owner,
    pub on: Date,
    pub call: Call,
    /// It is about something that the place also reports as a problem.
    pub is_problem: bool,
}

/// Whom to call about something.
#[derive(Debug, Clone, Default)]
pub enum Call {
    #[default]
    NoOne,
    /// Their numbers in People.
    People(Vec<i64>),
    /// Someone who isn't in People, such as an authority.
    Office { name: String, phone: String },
}

impl Due {
    /// What this user may read beneath the title.
    pub(super) fn beneath_for(&self, user: &User) -> String {
        let said = user.shown(Private::Notes, &self.said);
        if said.is_empty() { self.beneath.clone() } else { format!("{}: {said}", self.beneath) }
    }
}
