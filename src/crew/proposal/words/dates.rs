//! What a date needs, and who could close its gaps.

use super::speaker::{MOST_NAMED, Words, joined};
use crate::calc::staffing::{Answer, Bar, Closer, How, Missing};
use crate::crew::Hours;
use crate::crew::proposal::plan::Dated;
use crate::web::words;

/// At most this many people are named who could close a gap.
const MOST_CLOSERS: usize = 5;
/// One date.
pub(in crate::crew) struct DateView {
    pub label: &'static str,
    pub day: String,
    pub iso: String,
    pub sum: Sum,
    pub missing: Vec<MissingLine>,
    /// People who said yes and aren't needed.
    pub idle: Vec<(i64, String)>,
}

/// How many people a date needs, how many places can be filled, and by whom.
pub(in crate::crew) struct Sum {
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

pub(in crate::crew) struct MissingLine {
    pub words: String,
    /// How many people are needed, are available, and are missing.
    pub needed: u32,
    pub can: usize,
    pub short: u32,
    pub closers: Vec<CloserLine>,
    /// How many more there are than are shown.
    pub more: usize,
}

pub(in crate::crew) struct CloserLine {
    pub person: i64,
    /// What keeps them from the position.
    pub why: &'static str,
    pub name: String,
    pub words: String,
    pub href: String,
    pub act: String,
}

impl Words<'_> {
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
