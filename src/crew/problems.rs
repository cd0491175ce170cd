//! What is wrong in the crew: on a date, with a position, and with someone in one.

use super::Assignment;
use super::lines::DateLine;
use super::posts::Post;
use super::reply_status::{ReplyStatus, Seats};
use super::snapshot::CrewSnapshot;
use crate::web::words;
use std::collections::BTreeSet;
use time::Date;

/// At most this many names follow each other at the top of the page.
const MOST_NAMED: usize = 8;

/// What keeps someone in a position from counting on a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Trouble {
    Waiting,
    Maybe,
    NotAsked,
    Declined,
    Rule,
}

impl Trouble {
    const ALL: [Self; 5] = [Self::Waiting, Self::Maybe, Self::NotAsked, Self::Declined, Self::Rule];

    /// None for someone who counts.
    pub fn of(snapshot: &CrewSnapshot, one: &Assignment, on: Date) -> Option<Self> {
        match snapshot.status(one, on) {
            ReplyStatus::Declined => Some(Self::Declined),
            _ if !snapshot.broken(one, on).is_empty() => Some(Self::Rule),
            ReplyStatus::Confirmed => None,
            ReplyStatus::Maybe => Some(Self::Maybe),
            ReplyStatus::Waiting => Some(Self::Waiting),
            ReplyStatus::OtherDate(_) | ReplyStatus::NotAsked => Some(Self::NotAsked),
        }
    }

    /// As a mark on pages.
    const fn as_str(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Maybe => "maybe",
            Self::NotAsked => "not-asked",
            Self::Declined => "no",
            Self::Rule => "rule",
        }
    }

    /// Beside a name.
    pub const fn says(self) -> &'static str {
        match self {
            Self::Waiting => "waiting for a reply",
            Self::Maybe => "maybe",
            Self::NotAsked => "not asked",
            Self::Declined => "said no",
            Self::Rule => "breaks a rule",
        }
    }

    /// Before several names.
    const fn label(self) -> &'static str {
        match self {
            Self::Waiting => "Waiting on",
            Self::Maybe => "Said maybe",
            Self::NotAsked => "Not asked",
            Self::Declined => "Said no",
            Self::Rule => "Doesn't count",
        }
    }
}

/// What is wrong with a position, the worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Problem {
    Open,
    Waiting,
    Rule,
    NoBackup,
}

impl Problem {
    /// As a mark on pages.
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Waiting => "waiting",
            Self::Rule => "rule",
            Self::NoBackup => "backup",
        }
    }

    /// What is wrong with a position, given whether someone could take over on each date.
    pub fn of(snapshot: &CrewSnapshot, post: &Post, has_backup: bool) -> Vec<Self> {
        let is_short = |short: fn(Seats) -> usize| snapshot.dates().any(|on| short(snapshot.seats(post, on)) > 0);
        let breaks =
            |one: &Assignment| snapshot.dates().any(|on| Trouble::of(snapshot, one, on) == Some(Trouble::Rule));
        let mut here = snapshot.assigned.iter().filter(|one| one.post_id == post.id && !one.is_standby);
        let all = [
            (is_short(|seats| seats.open), Self::Open),
            (is_short(|seats| seats.waiting), Self::Waiting),
            (here.any(breaks), Self::Rule),
            (!has_backup, Self::NoBackup),
        ];
        all.into_iter().filter(|(is_so, _)| *is_so).map(|(_, problem)| problem).collect()
    }
}

/// What is wrong on one date.
pub(super) struct DateProblems {
    pub date: DateLine,
    /// "Burn day, Sat, Jun 5: 1 of 33 positions open, 2 waiting on replies."
    pub says: String,
    /// The positions and the people behind it.
    pub named: Vec<Named>,
}

/// Several names with what they have in common.
pub(super) struct Named {
    /// The same as a mark.
    pub why: &'static str,
    pub label: &'static str,
    /// Each with the address of its page.
    pub names: Vec<(String, String)>,
    /// How many more there are than are shown.
    pub more: usize,
}

impl Named {
    fn of(why: &'static str, label: &'static str, mut names: Vec<(String, String)>) -> Option<Self> {
        let more = names.len().saturating_sub(MOST_NAMED);
        names.truncate(MOST_NAMED);
        (!names.is_empty()).then_some(Self { why, label, names, more })
    }
}

impl DateProblems {
    pub fn of(snapshot: &CrewSnapshot, on: Date, today: Date) -> Self {
        let date = DateLine::of(snapshot, on, today);
        let here = format!("/events/{}/crew", snapshot.event.id);
        let mut open: Vec<(&Post, usize)> =
            snapshot.posts.iter().map(|post| (post, snapshot.seats(post, on).open)).collect();
        open.retain(|(_, open)| *open > 0);
        open.sort_by_key(|(post, _)| !post.details.is_critical);
        let troubled = troubled(snapshot, on, &open);
        let positions = open
            .iter()
            .map(|(post, open)| (format!("{here}/positions/{}", post.id), format!("{} ({open})", post.details.name)));
        let mut named = vec![Named::of("open", "Open", positions.collect())];
        for trouble in Trouble::ALL {
            let people = troubled.iter().filter(|(other, ..)| *other == trouble);
            let people = people.map(|(_, (_, id), name)| (format!("{here}/people/{id}"), name.clone()));
            named.push(Named::of(trouble.as_str(), trouble.label(), people.collect()));
        }
        Self { says: says(&date), date, named: named.into_iter().flatten().collect() }
    }
}

/// The people who don't count on a date, sorted by surname, with their names. Someone who
/// said no only matters until someone else has the position. A broken rule is named.
fn troubled(snapshot: &CrewSnapshot, on: Date, open: &[(&Post, usize)]) -> BTreeSet<(Trouble, (String, i64), String)> {
    let primaries = snapshot.assigned.iter().filter(|one| !one.is_standby);
    let troubled = primaries.filter_map(|one| {
        let (person, trouble) = (snapshot.people.get(&one.person_id)?, Trouble::of(snapshot, one, on)?);
        let matters = trouble != Trouble::Declined || open.iter().any(|(post, _)| post.id == one.post_id);
        let broken = snapshot.broken(one, on);
        let name = match broken.first().filter(|_| trouble == Trouble::Rule) {
            Some(violation) => format!("{} ({})", person.details.name, violation.why.says()),
            None => person.details.name.clone(),
        };
        matters.then(|| (trouble, person.listing(), name))
    });
    troubled.collect()
}

fn says(date: &DateLine) -> String {
    let Seats { filled, waiting, open } = date.seats;
    let places = words::count(filled + waiting + open, "position", "positions");
    let replies = if waiting == 1 { "a reply" } else { "replies" };
    let what = match (open, waiting) {
        (0, 0) => format!("all {places} filled"),
        (0, _) => format!("{waiting} of {places} waiting on {replies}"),
        (_, 0) => format!("{open} of {places} open"),
        _ => format!("{open} of {places} open, {waiting} waiting on {replies}"),
    };
    format!("{}, {}: {what}.", date.label, date.day)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_date_says_what_is_wrong_in_one_sentence() {
        let line = |filled, waiting, open| DateLine {
            label: "Burn day",
            day: "Sat, Jun 5".to_owned(),
            iso: "2027-06-05".to_owned(),
            seats: Seats { filled, waiting, open },
        };
        for (date, what) in [
            (line(33, 0, 0), "all 33 positions filled"),
            (line(32, 1, 0), "1 of 33 positions waiting on a reply"),
            (line(31, 0, 2), "2 of 33 positions open"),
            (line(30, 2, 1), "1 of 33 positions open, 2 waiting on replies"),
            (line(1, 0, 0), "all 1 position filled"),
        ] {
            assert_eq!(says(&date), format!("Burn day, Sat, Jun 5: {what}."));
        }
    }
}
