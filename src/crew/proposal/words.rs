//! The proposal in words.

use super::plan::{Change, Dated, Plan};
use crate::calc::staffing::{Answer, Bar, Closer, How, Missing, Seat, standbys};
use crate::crew::snapshot::{CrewSnapshot, Seats};
use crate::crew::{Hours, Post};
use crate::web::words::{self, Reader};
use std::collections::{BTreeMap, BTreeSet};
use time::Date;

/// At most this many people are named who could close a gap.
const MOST_CLOSERS: usize = 5;
/// At most this many people are named in one sentence.
const MOST_NAMED: usize = 8;

/// One date.
pub(super) struct DateView {
    pub label: &'static str,
    pub day: String,
    pub iso: String,
    pub sum: Sum,
    pub missing: Vec<MissingLine>,
    /// People who said yes and aren't needed.
    pub idle: Vec<(i64, String)>,
}

/// How many people a date needs, how many places can be filled, and by whom.
pub(super) struct Sum {
    pub seats: usize,
    pub filled: usize,
    pub yes: usize,
    pub by_hand: usize,
    pub maybe: usize,
    pub waiting: usize,
    pub not_asked: usize,
}

impl Sum {
    fn of(dated: &Dated) -> Self {
        let seats = &dated.found.seats;
        let open: u32 = dated.found.open.iter().map(|(_, open)| *open).sum();
        let by = |wanted: &[How]| seats.iter().filter(|seat| wanted.contains(&seat.how)).count();
        Self {
            seats: seats.len() + open as usize,
            filled: seats.len(),
            yes: by(&[How::SaidYes, How::Yes, How::Moved]),
            by_hand: by(&[How::ByHand]),
            maybe: by(&[How::Maybe]),
            waiting: by(&[How::Waiting]),
            not_asked: by(&[How::NotAsked]),
        }
    }

    /// "29 of 31 positions can be filled: 25 by people who said yes, 4 by people who haven't
    /// been asked yet."
    pub fn says(&self) -> String {
        let by = |count: usize, words: &str| (count > 0).then(|| format!("{count} by {words}"));
        let parts: Vec<String> = [
            by(self.yes, "people who said yes"),
            by(self.by_hand, "override"),
            by(self.maybe, "people who said maybe"),
            by(self.waiting, "people who haven't answered yet"),
            by(
                self.not_asked,
                if self.not_asked == 1 {
                    "someone who hasn't been asked yet"
                } else {
                    "people who haven't been asked yet"
                },
            ),
        ]
        .into_iter()
        .flatten()
        .collect();
        let by = if parts.is_empty() { String::new() } else { format!(": {}", parts.join(", ")) };
        format!("{} of {} can be filled{by}.", self.filled, words::count(self.seats, "position", "positions"))
    }
}

pub(super) struct MissingLine {
    pub words: String,
    /// How many people are needed, are available, and are missing.
    pub needed: u32,
    pub can: usize,
    pub short: u32,
    pub closers: Vec<CloserLine>,
    /// How many more there are than are shown.
    pub more: usize,
}

pub(super) struct CloserLine {
    pub person: i64,
    /// What keeps them from the position.
    pub why: &'static str,
    pub name: String,
    pub words: String,
    pub href: String,
    pub act: String,
}

/// People without any one of whom a position is short.
pub(super) struct FallLine {
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
pub(super) struct PostLine {
    pub id: i64,
    pub name: String,
    pub hours: String,
    pub is_critical: bool,
    pub cells: Vec<PostCell>,
    pub no_backup: Vec<FallLine>,
}

pub(super) struct PostCell {
    pub day: String,
    pub seats: Seats,
    pub people: Vec<SeatLine>,
}

pub(super) struct SeatLine {
    pub person_id: i64,
    pub name: String,
    pub words: String,
    /// They are assigned but not asked yet.
    pub is_to_ask: bool,
}

pub(super) struct ChangeLine {
    pub kind: &'static str,
    pub person: i64,
    pub post: i64,
    /// What they answered, if the position is new to them. Empty for other changes.
    pub how: &'static str,
    /// They were asked about the position they leave.
    pub was_asked: bool,
    pub who: String,
    pub what: String,
    pub why: String,
}

/// How many people to ask who hold the same qualifications.
pub(super) struct StandbyLine {
    pub kind: String,
    pub wanted: u32,
    /// None if no number is enough.
    pub ask: Option<u32>,
    pub asked: String,
    pub known: Vec<String>,
}

/// Puts a plan into words.
pub(super) struct Words<'a> {
    pub snapshot: &'a CrewSnapshot,
    pub today: Date,
}

impl Words<'_> {
    fn name(&self, person: i64) -> String {
        self.snapshot.people.get(&person).map_or_else(|| "someone".to_owned(), |one| one.details.name.clone())
    }

    fn post(&self, id: i64) -> &str {
        self.snapshot.post(id).map_or("a position", |post| post.details.name.as_str())
    }

    fn skill(&self, id: i64) -> &str {
        self.snapshot.qualification(id).map_or("a qualification", |one| one.name.as_str())
    }

    fn near(&self, on: Date) -> String {
        Reader::App.near_day(on, self.today)
    }

    pub fn date(&self, dated: &Dated) -> DateView {
        let is_burn = dated.on == self.snapshot.event.details.burn_on;
        DateView {
            label: if is_burn { "Burn day" } else { "Rain date" },
            day: self.near(dated.on),
            iso: words::iso(dated.on),
            sum: Sum::of(dated),
            missing: dated.found.missing.iter().map(|missing| self.missing(dated, missing)).collect(),
            idle: dated.found.idle.iter().map(|person| (*person, self.name(*person))).collect(),
        }
    }

    /// "“Pump 1” and “Pump 2” need 2 people with “Driver/operator”. 1 person is available:
    /// Ray Ortiz. 1 more is needed."
    fn missing(&self, dated: &Dated, missing: &Missing) -> MissingLine {
        let names: Vec<String> = missing.posts.iter().map(|post| format!("“{}”", self.post(*post))).collect();
        let needs = missing.needs.iter().map(|need| format!("“{}”", self.skill(*need)));
        let needs = needs.collect::<Vec<_>>();
        let with = if needs.is_empty() { String::new() } else { format!(" with {}", joined(&needs, "and")) };
        let verb = if names.len() == 1 { "needs" } else { "need" };
        let seats = words::count(missing.seats as usize, "person", "people");
        let people: Vec<String> = missing.people.iter().map(|person| self.name(*person)).collect();
        let can = match people.len() {
            0 => "No one is available".to_owned(),
            many if many <= MOST_NAMED => {
                format!("{} available: {}", words::count(many, "person is", "people are"), joined(&people, "and"))
            }
            many => format!("{many} people are available"),
        };
        let short = match missing.short {
            1 => "1 more is needed".to_owned(),
            many => format!("{many} more are needed"),
        };
        let closers = missing.closers.iter().take(MOST_CLOSERS).map(|closer| self.closer(dated, closer));
        MissingLine {
            words: format!("{} {verb} {seats}{with}. {can}. {short}.", joined(&names, "and")),
            needed: missing.seats,
            can: missing.people.len(),
            short: missing.short,
            closers: closers.collect(),
            more: missing.closers.len().saturating_sub(MOST_CLOSERS),
        }
    }

    fn closer(&self, dated: &Dated, closer: &Closer) -> CloserLine {
        let (event, person, post) = (self.snapshot.event.id, closer.person, self.post(closer.post));
        let of_person = format!("/events/{event}/crew/people/{person}");
        let name = self.name(person);
        let (words, href, act) = match closer.bar {
            Bar::Answer(Answer::NotAsked) => (
                format!("hasn't been asked about this date and could take “{post}”"),
                format!("/events/{event}/crew/positions/{}?person={person}#assign", closer.post),
                "Assign, then ask".to_owned(),
            ),
            Bar::Answer(Answer::No) => (format!("said no to {}", self.near(dated.on)), of_person, "View".to_owned()),
            Bar::Answer(Answer::Maybe) => ("said maybe".to_owned(), of_person, "View".to_owned()),
            Bar::Answer(_) => ("hasn't answered yet".to_owned(), of_person, "View".to_owned()),
            Bar::Hours => {
                let there = self.snapshot.hours(person, dated.on).map(Hours::says).unwrap_or_default();
                let needed = self.snapshot.post(closer.post).map(|post| post.details.hours.says()).unwrap_or_default();
                (format!("is available {there}, and “{post}” needs {needed}"), of_person, "Edit hours".to_owned())
            }
            Bar::Expired(skill) => {
                let until = self.snapshot.held(person).filter_map(|holding| holding.kept.expires_on).max();
                let until = until.map(|until| format!(" until {}", self.near(until))).unwrap_or_default();
                (
                    format!("holds “{}”{until}, but not on {}", self.skill(skill), self.near(dated.on)),
                    of_person,
                    "Renew".to_owned(),
                )
            }
            Bar::Missing(skill) => {
                (format!("is missing only “{}”", self.skill(skill)), of_person, "Qualifications".to_owned())
            }
        };
        CloserLine { person, why: bar_mark(closer.bar), name, words, href, act }
    }

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

    fn how(&self, dated: &Dated, person: i64, how: How) -> String {
        match how {
            How::ByHand => "stays by override".to_owned(),
            How::SaidYes => "said yes to this position".to_owned(),
            How::Yes => "said yes to the date".to_owned(),
            How::Maybe => "said maybe".to_owned(),
            How::Waiting => "waiting for a reply".to_owned(),
            How::NotAsked => "not asked yet".to_owned(),
            How::Moved => {
                let said = dated.people.iter().find(|one| one.id == person).into_iter().flat_map(|one| &one.posts);
                let yes =
                    said.filter(|(_, said)| *said == Answer::Yes).map(|(post, _)| format!("“{}”", self.post(*post)));
                format!("said yes to {}", joined(&yes.collect::<Vec<_>>(), "and"))
            }
        }
    }

    /// "Ada Fenn at “First pump”", needed on the rain date only.
    pub fn rain_alone(&self, plan: &Plan) -> Vec<String> {
        let seat = |(post, person): &(i64, i64)| format!("{} at “{}”", self.name(*person), self.post(*post));
        plan.rain_alone.iter().map(seat).collect()
    }

    pub fn changes(&self, plan: &Plan) -> Vec<ChangeLine> {
        plan.changes.iter().filter_map(|change| self.change(plan, *change)).collect()
    }

    fn change(&self, plan: &Plan, change: Change) -> Option<ChangeLine> {
        let of = |id: i64| self.snapshot.assigned.iter().find(|one| one.id == id);
        let line = |kind: &'static str, (person, post): (i64, i64), what: String, why: String| {
            let who = self.name(person);
            ChangeLine { kind, person, post, how: "", was_asked: false, who, what, why }
        };
        Some(match change {
            Change::Put { person, post, is_for_rain } => {
                let dated = if is_for_rain { plan.dates.get(1) } else { plan.dates.first() }?;
                let how = dated.found.seats.iter().find(|seat| (seat.post, seat.person) == (post, person))?.how;
                let said = self.how(dated, person, how);
                let why = match how {
                    How::Moved => format!("{said}, but without this move a position would stay open"),
                    _ if is_for_rain => {
                        format!("{said}, needed on the rain date, {}", self.near(dated.on))
                    }
                    _ => said,
                };
                let line = line("put", (person, post), format!("joins “{}”", self.post(post)), why);
                ChangeLine { how: how_mark(how), ..line }
            }
            Change::Seat { assignment } => {
                let one = of(assignment)?;
                let what = format!("becomes primary at “{}”", self.post(one.post_id));
                line("seat", (one.person_id, one.post_id), what, "was an alternate".to_owned())
            }
            Change::StandBy { assignment } => {
                let one = of(assignment)?;
                let why = self.why_not(plan, one.post_id, one.person_id);
                let what = format!("becomes an alternate at “{}”", self.post(one.post_id));
                line("alternate", (one.person_id, one.post_id), what, why)
            }
            Change::Off { assignment } => {
                let one = of(assignment)?;
                let seats = plan.dates.iter().flat_map(|dated| &dated.found.seats);
                let others: BTreeSet<i64> =
                    seats.filter(|seat| seat.person == one.person_id).map(|seat| seat.post).collect();
                let others: Vec<String> = others.iter().map(|post| format!("“{}”", self.post(*post))).collect();
                let was_asked = one.request_id.is_some();
                let asked =
                    if was_asked { "; they were asked about it, so withdraw that question under Replies" } else { "" };
                let why = format!("moves to {}{asked}", joined(&others, "and"));
                let what = format!("leaves “{}”", self.post(one.post_id));
                ChangeLine { was_asked, ..line("off", (one.person_id, one.post_id), what, why) }
            }
        })
    }

    /// Why someone isn't placed in the position they are assigned to.
    fn why_not(&self, plan: &Plan, post: i64, person: i64) -> String {
        let Some(dated) = plan.dates.first() else { return String::new() };
        let post = dated.posts.iter().find(|one| one.id == post);
        let one = dated.people.iter().find(|one| one.id == person);
        let bars = post.zip(one).map(|(post, one)| crate::calc::staffing::bars(post, one, Answer::NotAsked));
        match bars.unwrap_or_default().first() {
            None => "others are more likely to come, or need fewer moves".to_owned(),
            Some(Bar::Answer(_)) => format!("said no to {}", self.near(dated.on)),
            Some(Bar::Hours) => "can't be there the whole time".to_owned(),
            Some(Bar::Expired(skill)) => format!("“{}” isn't valid on {}", self.skill(*skill), self.near(dated.on)),
            Some(Bar::Missing(skill)) => format!("“{}” is not on record", self.skill(*skill)),
        }
    }

    /// By the qualifications that positions require: how many people are needed, how many to
    /// ask, and how many are on file.
    pub fn standbys(&self, plan: &Plan, certainty: f64, show_rate: f64) -> Vec<StandbyLine> {
        let Some(burn) = plan.dates.first() else { return Vec::new() };
        let mut kinds: BTreeMap<&[i64], u32> = BTreeMap::new();
        for post in &burn.posts {
            *kinds.entry(&post.needs).or_default() += post.seats;
        }
        let known = |needs: &[i64], dated: &Dated| {
            let can = dated.people.iter().filter(|person| {
                let holds =
                    |need: &i64| person.holds.iter().any(|held| held.qualification == *need && !held.is_expired);
                needs.iter().all(holds) && person.day != Answer::No
            });
            format!("{} on {}", can.count(), self.near(dated.on))
        };
        let line = |(needs, wanted): (&[i64], u32)| {
            let names: Vec<&str> = needs.iter().map(|need| self.skill(*need)).collect();
            let ask = standbys(wanted, certainty, show_rate);
            StandbyLine {
                kind: if names.is_empty() { "no qualification required".to_owned() } else { names.join(" and ") },
                wanted,
                ask,
                asked: match ask {
                    Some(asked) => format!("{asked} ({} extra)", asked - wanted),
                    None => "no number is enough".to_owned(),
                },
                known: plan.dates.iter().map(|dated| known(needs, dated)).collect(),
            }
        };
        kinds.into_iter().map(line).collect()
    }
}

/// What keeps someone from a position, as a mark on pages.
fn bar_mark(bar: Bar) -> &'static str {
    match bar {
        Bar::Answer(Answer::NotAsked) => "not-asked",
        Bar::Answer(Answer::No) => "no",
        Bar::Answer(Answer::Maybe) => "maybe",
        Bar::Answer(_) => "waiting",
        Bar::Hours => "hours",
        Bar::Expired(_) => "expired",
        Bar::Missing(_) => "not-recorded",
    }
}

/// What someone who gets a position answered, as a mark on pages.
fn how_mark(how: How) -> &'static str {
    match how {
        How::ByHand => "by-hand",
        How::SaidYes | How::Yes => "yes",
        How::Maybe => "maybe",
        How::Waiting => "waiting",
        How::NotAsked => "not-asked",
        How::Moved => "moved",
    }
}

/// Several numbers as one mark.
fn numbers(all: &[impl ToString]) -> String {
    all.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}

/// "A", "A and B", "A, B and C".
fn joined(parts: &[impl AsRef<str>], last: &str) -> String {
    let parts: Vec<&str> = parts.iter().map(AsRef::as_ref).collect();
    match parts.as_slice() {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., end] => format!("{} {last} {end}", most.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_joined_as_people_say_them() {
        assert_eq!(joined(&[] as &[&str], "and"), "");
        assert_eq!(joined(&["Pump 1"], "and"), "Pump 1");
        assert_eq!(joined(&["Pump 1", "Pump 2"], "or"), "Pump 1 or Pump 2");
        assert_eq!(joined(&["A", "B", "C"], "and"), "A, B and C");
    }
}
