//! The proposal in words.

use super::plan::{Change, Dated, Plan};
use crate::calc::staffing::{Answer, Bar, Closer, How, Missing, Seat, standbys};
use crate::crew::book::{Book, Seats};
use crate::crew::{Hours, Post};
use crate::web::words;
use std::collections::{BTreeMap, BTreeSet};
use time::Date;

/// So many who would close a gap are named.
const MOST_CLOSERS: usize = 5;
/// So many are named of those without any one of whom a post is short.
const MOST_NAMED: usize = 8;

/// One date.
pub(super) struct DateView {
    pub label: &'static str,
    pub day: String,
    pub iso: String,
    pub sum: Sum,
    pub missing: Vec<MissingLine>,
    /// Said yes, and aren't needed.
    pub idle: Vec<(i64, String)>,
}

/// How many seats of a date there are, how many can be filled, and by whom.
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

    /// "29 of 31 seats can be filled: 25 by people who said yes, 4 by people who
    /// are still to be asked."
    pub fn says(&self) -> String {
        let by = |count: usize, words: &str| (count > 0).then(|| format!("{count} by {words}"));
        let parts: Vec<String> = [
            by(self.yes, "people who said yes"),
            by(self.by_hand, "decision against a rule"),
            by(self.maybe, "people who said maybe"),
            by(self.waiting, "people who haven’t answered yet"),
            by(self.not_asked, "people who are still to be asked"),
        ]
        .into_iter()
        .flatten()
        .collect();
        let by = if parts.is_empty() { String::new() } else { format!(": {}", parts.join(", ")) };
        let all = self.seats;
        let many = if self.filled == all { format!("All {all}") } else { format!("{} of {all}", self.filled) };
        format!("{many} seats can be filled{by}.")
    }
}

pub(super) struct MissingLine {
    pub words: String,
    /// So many people are needed, can stand there, and are missing.
    pub needed: u32,
    pub can: usize,
    pub short: u32,
    pub closers: Vec<CloserLine>,
    /// More than are shown.
    pub more: usize,
}

pub(super) struct CloserLine {
    pub person: i64,
    /// What keeps them from it.
    pub why: &'static str,
    pub name: String,
    pub words: String,
    pub href: String,
    pub act: String,
}

/// Whose absence leaves posts short.
pub(super) struct FallLine {
    pub words: String,
    /// The numbers of the people, any one of whom is meant,
    pub people: String,
    /// of the posts, and of those missing at each then;
    pub posts: String,
    pub short: String,
    /// the days on which it is so.
    pub days: String,
}

/// A post with who would stand there on each date.
pub(super) struct PostLine {
    pub id: i64,
    pub name: String,
    pub hours: String,
    pub is_critical: bool,
    pub cells: Vec<PostCell>,
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
    /// They are assigned and not asked yet.
    pub is_to_ask: bool,
}

pub(super) struct ChangeLine {
    pub kind: &'static str,
    pub person: i64,
    pub post: i64,
    /// How somebody comes to a seat that is new to them; empty for other changes.
    pub how: &'static str,
    /// They were asked about the post that they leave.
    pub was_asked: bool,
    pub who: String,
    pub what: String,
    pub why: String,
}

/// How many to ask of one kind.
pub(super) struct StandbyLine {
    pub kind: String,
    pub wanted: u32,
    /// None if no number is enough.
    pub ask: Option<u32>,
    pub asked: String,
    pub known: Vec<String>,
}

/// What names and days are looked up in.
pub(super) struct Words<'a> {
    pub book: &'a Book,
    pub today: Date,
}

impl Words<'_> {
    fn name(&self, person: i64) -> String {
        self.book.people.get(&person).map_or_else(|| "somebody".to_owned(), |one| one.details.name.clone())
    }

    fn post(&self, id: i64) -> &str {
        self.book.post(id).map_or("a post", |post| post.details.name.as_str())
    }

    fn skill(&self, id: i64) -> &str {
        self.book.qualification(id).map_or("a qualification", |one| one.name.as_str())
    }

    fn near(&self, on: Date) -> String {
        words::near_day(on, self.today)
    }

    pub fn date(&self, dated: &Dated) -> DateView {
        let is_burn = dated.on == self.book.event.details.burn_on;
        DateView {
            label: if is_burn { "Burn day" } else { "Rain date" },
            day: self.near(dated.on),
            iso: words::iso(dated.on),
            sum: Sum::of(dated),
            missing: dated.found.missing.iter().map(|missing| self.missing(dated, missing)).collect(),
            idle: dated.found.idle.iter().map(|person| (*person, self.name(*person))).collect(),
        }
    }

    /// "“Pump 1” and “Pump 2” need 2 people with “Driver/operator”. 1 person can
    /// stand there: Ray Ortiz. One is missing."
    fn missing(&self, dated: &Dated, missing: &Missing) -> MissingLine {
        let names: Vec<String> = missing.posts.iter().map(|post| format!("“{}”", self.post(*post))).collect();
        let needs = missing.needs.iter().map(|need| format!("“{}”", self.skill(*need)));
        let needs = needs.collect::<Vec<_>>();
        let with = if needs.is_empty() { String::new() } else { format!(" with {}", joined(&needs, "and")) };
        let verb = if names.len() == 1 { "needs" } else { "need" };
        let seats = words::count(missing.seats as usize, "person", "people");
        let people: Vec<String> = missing.people.iter().map(|person| self.name(*person)).collect();
        let can = match people.len() {
            0 => "Nobody can stand there".to_owned(),
            many if many <= MOST_NAMED => {
                format!("{} can stand there: {}", words::count(many, "person", "people"), joined(&people, "and"))
            }
            many => format!("{many} people can stand there"),
        };
        let short = match missing.short {
            1 => "One is missing".to_owned(),
            many => format!("{many} are missing"),
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
        let (event, person, post) = (self.book.event.id, closer.person, self.post(closer.post));
        let of_person = format!("/events/{event}/crew/people/{person}");
        let name = self.name(person);
        let (words, href, act) = match closer.bar {
            Bar::Answer(Answer::NotAsked) => (
                format!("was not asked about this date, and could stand at “{post}”"),
                format!("/events/{event}/crew/posts/{}?person={person}#assign", closer.post),
                format!("Put {name} there, then ask"),
            ),
            Bar::Answer(Answer::No) => (format!("said no to {}", self.near(dated.on)), of_person, "Look".to_owned()),
            Bar::Answer(Answer::Maybe) => ("said maybe".to_owned(), of_person, "Look".to_owned()),
            Bar::Answer(_) => ("hasn’t answered yet".to_owned(), of_person, "Look".to_owned()),
            Bar::Hours => {
                let there = self.book.hours(person, dated.on).map(Hours::says).unwrap_or_default();
                let needed = self.book.post(closer.post).map(|post| post.details.hours.says()).unwrap_or_default();
                (format!("can be there {there}; “{post}” is {needed}"), of_person, "Hours".to_owned())
            }
            Bar::Expired(skill) => {
                let until = self.book.held(person).filter_map(|holding| holding.kept.expires_on).max();
                let until = until.map(|until| format!(" until {}", self.near(until))).unwrap_or_default();
                (
                    format!("holds “{}”{until}, not on {}", self.skill(skill), self.near(dated.on)),
                    of_person,
                    "Renew".to_owned(),
                )
            }
            Bar::Missing(skill) => {
                (format!("lacks “{}” and nothing else", self.skill(skill)), of_person, "Qualifications".to_owned())
            }
        };
        CloserLine { person, why: bar_mark(closer.bar), name, words, href, act }
    }

    /// "If Ray Ortiz doesn’t come, “Pump 2” has nobody.", with the date in front
    /// if it is so on one of two.
    pub fn falls(&self, plan: &Plan) -> Vec<FallLine> {
        let mut lines: Vec<(FallLine, Vec<Date>)> = Vec::new();
        for dated in &plan.dates {
            for fall in self.falls_on(dated) {
                match lines.iter_mut().find(|(known, _)| known.words == fall.words) {
                    Some((_, days)) => days.push(dated.on),
                    None => lines.push((fall, vec![dated.on])),
                }
            }
        }
        let line = |(fall, days): (FallLine, Vec<Date>)| {
            let text = &fall.words;
            let words = if days.len() == plan.dates.len() {
                format!("If {text}")
            } else {
                let days: Vec<String> = days.iter().map(|on| self.near(*on)).collect();
                format!("{}: if {text}", joined(&days, "and"))
            };
            let days: Vec<String> = days.into_iter().map(words::iso).collect();
            FallLine { words, days: days.join(" "), ..fall }
        };
        lines.into_iter().map(line).collect()
    }

    /// Those of one post together, without their days.
    fn falls_on(&self, dated: &Dated) -> Vec<FallLine> {
        let mut by_posts: BTreeMap<&[i64], Vec<i64>> = BTreeMap::new();
        for fall in &dated.found.falls {
            by_posts.entry(&fall.posts).or_default().push(fall.person);
        }
        let line = |(posts, people): (&[i64], Vec<i64>)| {
            let (short, what): (Vec<usize>, Vec<String>) = posts.iter().map(|post| self.left(dated, *post)).unzip();
            let who = if people.len() > MOST_NAMED {
                format!("any one of {} people", people.len())
            } else {
                joined(&people.iter().map(|person| self.name(*person)).collect::<Vec<_>>(), "or")
            };
            FallLine {
                words: format!("{who} doesn’t come, {}.", joined(&what, "and")),
                people: numbers(&people),
                posts: numbers(posts),
                short: numbers(&short),
                days: String::new(),
            }
        };
        by_posts.into_iter().map(line).collect()
    }

    /// How a post stands with one less than it would have: how many are missing then,
    /// and that in words.
    fn left(&self, dated: &Dated, post: i64) -> (usize, String) {
        let name = self.post(post);
        let needed = self.book.post(post).map_or(1, |post| usize::from(post.details.needed));
        let here = dated.found.seats.iter().filter(|seat| seat.post == post).count().saturating_sub(1);
        let short = needed.saturating_sub(here);
        let words = match (here, short) {
            (0, _) => format!("“{name}” has nobody"),
            (_, 1) => format!("“{name}” is one short"),
            (_, many) => format!("“{name}” is {many} short"),
        };
        (short, words)
    }

    pub fn posts(&self, plan: &Plan) -> Vec<PostLine> {
        let line = |post: &Post| PostLine {
            id: post.id,
            name: post.details.name.clone(),
            hours: post.details.hours.says(),
            is_critical: post.details.is_critical,
            cells: plan.dates.iter().map(|dated| self.cell(dated, post)).collect(),
        };
        self.book.posts.iter().map(line).collect()
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
        let words = if others.is_empty() { how } else { format!("{how}; also at {}", joined(&others, "and")) };
        let is_assigned = self.book.assigned.iter().any(|one| one.post_id == seat.post && one.person_id == seat.person);
        SeatLine {
            person_id: seat.person,
            name: self.name(seat.person),
            words,
            is_to_ask: seat.how == How::NotAsked && is_assigned,
        }
    }

    fn how(&self, dated: &Dated, person: i64, how: How) -> String {
        match how {
            How::ByHand => "stays by decision".to_owned(),
            How::SaidYes => "said yes to it".to_owned(),
            How::Yes => "said yes to the day".to_owned(),
            How::Maybe => "said maybe".to_owned(),
            How::Waiting => "asked and waiting".to_owned(),
            How::NotAsked => "not asked yet".to_owned(),
            How::Moved => {
                let said = dated.people.iter().find(|one| one.id == person).into_iter().flat_map(|one| &one.posts);
                let yes =
                    said.filter(|(_, said)| *said == Answer::Yes).map(|(post, _)| format!("“{}”", self.post(*post)));
                format!("said yes to {}", joined(&yes.collect::<Vec<_>>(), "and"))
            }
        }
    }

    /// "Ada Fenn at “First pump”", for the rain date alone.
    pub fn rain_alone(&self, plan: &Plan) -> Vec<String> {
        let seat = |(post, person): &(i64, i64)| format!("{} at “{}”", self.name(*person), self.post(*post));
        plan.rain_alone.iter().map(seat).collect()
    }

    pub fn changes(&self, plan: &Plan) -> Vec<ChangeLine> {
        plan.changes.iter().filter_map(|change| self.change(plan, *change)).collect()
    }

    fn change(&self, plan: &Plan, change: Change) -> Option<ChangeLine> {
        let of = |id: i64| self.book.assigned.iter().find(|one| one.id == id);
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
                    How::Moved => format!("{said}; without the move a seat would stay open"),
                    _ if is_for_rain => {
                        format!("{said}; for the rain date, {}, where somebody is missing", self.near(dated.on))
                    }
                    _ => said,
                };
                let line = line("put", (person, post), format!("comes to “{}”", self.post(post)), why);
                ChangeLine { how: how_mark(how), ..line }
            }
            Change::Seat { assignment } => {
                let one = of(assignment)?;
                let what = format!("has a seat at “{}”", self.post(one.post_id));
                line("seat", (one.person_id, one.post_id), what, "stood by until now".to_owned())
            }
            Change::StandBy { assignment } => {
                let one = of(assignment)?;
                let why = self.why_not(plan, one.post_id, one.person_id);
                let what = format!("is an alternate at “{}”", self.post(one.post_id));
                line("alternate", (one.person_id, one.post_id), what, why)
            }
            Change::Off { assignment } => {
                let one = of(assignment)?;
                let seats = plan.dates.iter().flat_map(|dated| &dated.found.seats);
                let others: BTreeSet<i64> =
                    seats.filter(|seat| seat.person == one.person_id).map(|seat| seat.post).collect();
                let others: Vec<String> = others.iter().map(|post| format!("“{}”", self.post(*post))).collect();
                let was_asked = one.request_id.is_some();
                let asked = if was_asked {
                    "; they were asked about it, so take that question back among the asks"
                } else {
                    ""
                };
                let why = format!("is at {} instead{asked}", joined(&others, "and"));
                let what = format!("leaves “{}”", self.post(one.post_id));
                ChangeLine { was_asked, ..line("off", (one.person_id, one.post_id), what, why) }
            }
        })
    }

    /// Why somebody has no seat at the post they are assigned to.
    fn why_not(&self, plan: &Plan, post: i64, person: i64) -> String {
        let Some(dated) = plan.dates.first() else { return String::new() };
        let post = dated.posts.iter().find(|one| one.id == post);
        let one = dated.people.iter().find(|one| one.id == person);
        let bars = post.zip(one).map(|(post, one)| crate::calc::staffing::bars(post, one, Answer::NotAsked));
        match bars.unwrap_or_default().first() {
            None => "its seats have others, who are surer or fewer moves".to_owned(),
            Some(Bar::Answer(_)) => format!("said no to {}", self.near(dated.on)),
            Some(Bar::Hours) => "can’t be there all the time".to_owned(),
            Some(Bar::Expired(skill)) => format!("“{}” doesn’t hold on {}", self.skill(*skill), self.near(dated.on)),
            Some(Bar::Missing(skill)) => format!("“{}” is not recorded", self.skill(*skill)),
        }
    }

    /// By what a post needs: seats, how many to ask, how many are known.
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
                kind: if names.is_empty() { "no qualification needed".to_owned() } else { names.join(" and ") },
                wanted,
                ask,
                asked: match ask {
                    Some(asked) => format!("{asked}, {} more than seats", asked - wanted),
                    None => "no number is enough".to_owned(),
                },
                known: plan.dates.iter().map(|dated| known(needs, dated)).collect(),
            }
        };
        kinds.into_iter().map(line).collect()
    }
}

/// What keeps somebody from a post, as pages mark it.
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

/// How somebody comes to a seat, as pages mark it.
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
