//! The program as of now: who speaks for how long, and when each part begins.

use super::parts::{Gives, Part, Program};
use super::slot::Slot;
use crate::calc::program::{self, Fate, Item, fit};
use crate::guests::called::{headed, introduced, subtitle};
use crate::guests::guest::Side;
use crate::guests::record::GuestRecord;
use crate::guests::snapshot::GuestSnapshot;
use crate::web::words::Reader;
use std::time::Duration;

/// One entry of the program.
#[derive(Debug, Clone)]
pub(in crate::guests) struct Entry {
    /// The guest who speaks, if any.
    pub guest: Option<i64>,
    pub title: String,
    pub who: String,
    /// Names to read out under it.
    pub names: Vec<String>,
    pub seconds: u32,
    pub gives: Gives,
    pub least: u32,
    pub priority: u8,
}

/// An entry with its minutes.
#[derive(Debug, Clone)]
pub(in crate::guests) struct Timed {
    pub entry: Entry,
    /// When it begins; empty if dropped.
    pub clock: String,
    pub seconds: u32,
    pub lasts: String,
    pub words: u32,
    /// How it was cut: "dropped, was 2 min", "cut from 2 min"; empty if it wasn't.
    pub gave: String,
    pub is_dropped: bool,
}

/// The program as of now: who is here, when each entry begins, what was cut.
#[derive(Debug, Clone)]
pub(in crate::guests) struct ProgramTimes {
    pub lines: Vec<Timed>,
    /// Speakers who aren't here.
    pub missing: Vec<String>,
    pub planned: u32,
    pub total: u32,
    pub limit: u32,
    pub over: u32,
    pub ends: String,
}

impl ProgramTimes {
    pub fn over_says(&self) -> String {
        program::says(self.over)
    }

    pub fn limit_says(&self) -> String {
        program::says(self.limit)
    }

    pub fn total_says(&self) -> String {
        program::says(self.total)
    }

    /// Seconds that were cut.
    pub fn cut(&self) -> u32 {
        self.planned.saturating_sub(self.total)
    }

    pub fn cut_says(&self) -> String {
        program::says(self.cut())
    }

    /// Seconds that are left.
    pub fn left(&self) -> u32 {
        self.limit.saturating_sub(self.total)
    }

    pub fn left_says(&self) -> String {
        program::says(self.left())
    }
}

impl Program {
    /// How long a guest speaks if they come, by the program as of now. Everything that
    /// states someone's minutes gets them here.
    pub(in crate::guests) fn slot(&self, snapshot: &GuestSnapshot, known: &GuestRecord) -> Slot {
        if known.guest.details.seconds == 0 {
            return Slot::None;
        }
        let lines = self.times_with(snapshot, 0, Some(known.guest.id)).lines;
        match lines.iter().find(|line| line.entry.guest == Some(known.guest.id)) {
            Some(line) if !line.is_dropped => Slot::Speaks(line.seconds),
            // A program without guests' remarks has no time for theirs.
            _ => Slot::LeftOut,
        }
    }

    /// The entries, with the guests who are coming and perhaps one more.
    fn entries(&self, snapshot: &GuestSnapshot, also: Option<i64>) -> Vec<Entry> {
        let on = snapshot.event.details.burn_on;
        let come = |side: fn(Side) -> bool| -> Vec<&GuestRecord> {
            let counts = |known: &GuestRecord| known.is_counted_on(on) || also == Some(known.guest.id);
            let order = snapshot.order(on, |known| counts(known) && side(known.guest.details.side));
            order.iter().map(|placed| &snapshot.guests[placed.of]).collect()
        };
        let mut entries = Vec::new();
        for item in &self.items {
            let one = |seconds, least, names: Vec<String>| Entry {
                guest: None,
                title: item.title.clone(),
                who: item.who.clone(),
                names,
                seconds,
                gives: item.gives,
                least,
                priority: item.priority,
            };
            let each = |guests: Vec<&GuestRecord>| {
                let many = u32::try_from(guests.len()).unwrap_or(u32::MAX);
                let names = guests.iter().map(|known| introduced(known, on)).collect();
                one(item.seconds.saturating_mul(many), item.least.min(item.seconds).saturating_mul(many), names)
            };
            match item.kind {
                Part::Words => entries.push(one(item.seconds, item.least.min(item.seconds), Vec::new())),
                Part::Introductions => entries.push(each(come(|side| side == Side::Official))),
                Part::Thanks => entries.push(each(come(|side| side != Side::Official))),
                Part::Talks => entries.extend(come(|_| true).into_iter().filter_map(|known| talk(known, snapshot))),
            }
        }
        entries.retain(|entry| entry.seconds > 0);
        entries
    }

    /// The program, started this many minutes late.
    pub(in crate::guests) fn times(&self, snapshot: &GuestSnapshot, late: u32) -> ProgramTimes {
        self.times_with(snapshot, late, None)
    }

    fn times_with(&self, snapshot: &GuestSnapshot, late: u32, also: Option<i64>) -> ProgramTimes {
        let entries = self.entries(snapshot, also);
        let items: Vec<Item> = entries
            .iter()
            .map(|entry| Item { seconds: entry.seconds, give: entry.gives.give(entry.least), priority: entry.priority })
            .collect();
        let limit = self.minutes.saturating_sub(late) * 60;
        let fitted = fit(&items, limit);
        let burns = snapshot.event.details.burn_on.with_time(snapshot.event.details.burn_time);
        let begins = burns - Duration::from_secs(u64::from(self.begins) * 60);
        let mut at = begins + Duration::from_secs(u64::from(late) * 60);
        let clock = |at: time::PrimitiveDateTime| Reader::App.time(at.time());
        let mut lines = Vec::new();
        for ((entry, item), fate) in entries.into_iter().zip(&items).zip(&fitted.fates) {
            let seconds = fate.seconds(item);
            let is_dropped = *fate == Fate::Dropped;
            lines.push(Timed {
                clock: if is_dropped { String::new() } else { clock(at) },
                seconds,
                lasts: if is_dropped { String::new() } else { program::says(seconds) },
                words: program::words(seconds, snapshot.settings.rate),
                gave: match fate {
                    Fate::Kept => String::new(),
                    Fate::Shortened(_) => format!("cut from {}", program::says(item.seconds)),
                    Fate::Dropped => format!("dropped, was {}", program::says(item.seconds)),
                },
                is_dropped,
                entry,
            });
            at += Duration::from_secs(u64::from(seconds));
        }
        let on = snapshot.event.details.burn_on;
        let speaks = |known: &&GuestRecord| {
            known.guest.details.seconds > 0 && !known.is_counted_on(on) && known.status(on).is_expected()
        };
        ProgramTimes {
            lines,
            missing: snapshot.guests.iter().filter(speaks).map(|known| introduced(known, on)).collect(),
            planned: items.iter().map(|item| item.seconds).sum(),
            total: fitted.total,
            limit,
            over: fitted.over,
            ends: clock(at),
        }
    }
}

/// A guest's remarks, if they speak.
fn talk(known: &GuestRecord, snapshot: &GuestSnapshot) -> Option<Entry> {
    let details = &known.guest.details;
    let of = || [headed(known), subtitle(snapshot, known)].into_iter().filter(|text| !text.is_empty());
    let (title, who) = match known.deputy(snapshot.event.details.burn_on) {
        Some((name, title)) => {
            let behalf = format!("on behalf of {}", of().collect::<Vec<_>>().join(", "));
            let who = [title, behalf].into_iter().filter(|text| !text.is_empty());
            (name, who.collect::<Vec<_>>().join(", "))
        }
        None => (headed(known), subtitle(snapshot, known)),
    };
    (details.seconds > 0).then_some(Entry {
        guest: Some(known.guest.id),
        title,
        who,
        names: Vec::new(),
        seconds: details.seconds,
        gives: details.gives,
        least: details.least,
        priority: details.priority,
    })
}
