//! The positions, with the people proposed for each date.

use super::speaker::{MOST_NAMED, Words, joined};
use crate::calc::staffing::{How, Seat};
use crate::crew::Post;
use crate::crew::proposal::plan::{Dated, Plan};
use crate::crew::reply_status::Seats;
use crate::web::words;
use time::Date;

/// People without any one of whom a position is short.
pub(in crate::crew) struct FallLine {
    /// "No backup", with the date if that is true on only one of two.
    pub says: String,
    /// "Without Ray Ortiz, no one is left."
    pub words: String,
    /// The numbers of the people.
    pub people: String,
    /// How many are missing then.
    pub short: usize,
    /// The days this is true for.
    pub days: String,
}

/// A position with the people proposed for each date.
pub(in crate::crew) struct PostLine {
    pub id: i64,
    pub name: String,
    pub hours: String,
    pub is_critical: bool,
    pub cells: Vec<PostCell>,
    pub no_backup: Vec<FallLine>,
}

pub(in crate::crew) struct PostCell {
    pub day: String,
    pub seats: Seats,
    pub people: Vec<SeatLine>,
}

pub(in crate::crew) struct SeatLine {
    pub person_id: i64,
    pub name: String,
    pub words: String,
    /// They are assigned but not asked yet.
    pub is_to_ask: bool,
}

impl Words<'_> {
    /// Who has no backup in a position.
    fn no_backup(&self, plan: &Plan, post: &Post) -> Vec<FallLine> {
        let mut lines: Vec<(FallLine, Vec<Date>)> = Vec::new();
        for dated in &plan.dates {
            let Some(fall) = self.fall_on(dated, post) else { continue };
            match lines.iter_mut().find(|(known, _)| known.words == fall.words) {
                Some((_, days)) => days.push(dated.on),
                None => lines.push((fall, vec![dated.on])),
            }
        }
        let line = |(fall, days): (FallLine, Vec<Date>)| {
            let near: Vec<String> = days.iter().map(|on| self.near(*on)).collect();
            let says = if days.len() == plan.dates.len() {
                "No backup".to_owned()
            } else {
                format!("No backup on {}", joined(&near, "and"))
            };
            let days: Vec<String> = days.into_iter().map(words::iso).collect();
            FallLine { says, days: days.join(" "), ..fall }
        };
        lines.into_iter().map(line).collect()
    }

    /// The same for one date, without naming it.
    fn fall_on(&self, dated: &Dated, post: &Post) -> Option<FallLine> {
        let falls = dated.found.falls.iter().filter(|fall| fall.posts.contains(&post.id));
        let people: Vec<i64> = falls.map(|fall| fall.person).collect();
        if people.is_empty() {
            return None;
        }
        let who = if people.len() > MOST_NAMED {
            format!("any one of {} people", people.len())
        } else {
            joined(&people.iter().map(|person| self.name(*person)).collect::<Vec<_>>(), "or")
        };
        let here = dated.found.seats.iter().filter(|seat| seat.post == post.id).count().saturating_sub(1);
        let short = usize::from(post.details.needed).saturating_sub(here);
        let left = if here == 0 { "no one is left".to_owned() } else { format!("it is {short} short") };
        let words = format!("Without {who}, {left}.");
        Some(FallLine { says: String::new(), words, people: numbers(&people), short, days: String::new() })
    }

    pub fn posts(&self, plan: &Plan) -> Vec<PostLine> {
        let line = |post: &Post| PostLine {
            id: post.id,
            name: post.details.name.clone(),
            hours: post.details.hours.says(),
            is_critical: post.details.is_critical,
            cells: plan.dates.iter().map(|dated| self.cell(dated, post)).collect(),
            no_backup: self.no_backup(plan, post),
        };
        self.snapshot.posts.iter().map(line).collect()
    }

    fn cell(&self, dated: &Dated, post: &Post) -> PostCell {
        let here: Vec<&Seat> = dated.found.seats.iter().filter(|seat| seat.post == post.id).collect();
        let filled = here.iter().filter(|seat| matches!(seat.how, How::ByHand | How::SaidYes)).count();
        let open = dated.found.open.iter().find(|(id, _)| *id == post.id).map_or(0, |(_, open)| *open as usize);
        PostCell {
            day: self.near(dated.on),
            seats: Seats { filled, waiting: here.len() - filled, open },
            people: here.iter().map(|seat| self.seat(dated, seat)).collect(),
        }
    }

    fn seat(&self, dated: &Dated, seat: &Seat) -> SeatLine {
        let how = self.how(dated, seat.person, seat.how);
        let others = dated.found.seats.iter().filter(|other| other.person == seat.person && other.post != seat.post);
        let others: Vec<String> = others.map(|other| format!("“{}”", self.post(other.post))).collect();
        let words = if others.is_empty() { how } else { format!("{how}, also has {}", joined(&others, "and")) };
        let is_assigned =
            self.snapshot.assigned.iter().any(|one| one.post_id == seat.post && one.person_id == seat.person);
        SeatLine {
            person_id: seat.person,
            name: self.name(seat.person),
            words,
            is_to_ask: seat.how == How::NotAsked && is_assigned,
        }
    }
}

/// Several numbers as one mark.
fn numbers(all: &[impl ToString]) -> String {
    all.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}
