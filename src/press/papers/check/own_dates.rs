//! The event's own dates and times: which of a text's are not among them, and which of
//! them it lacks.

use super::line::{Line, Promises};
use super::spoken::GAP;
use crate::calc::dates_in_text::{self, Found, Named};
use crate::press::papers::kind::PaperKind;
use crate::press::papers::marks::{BURN_DAY, RAIN_DATE, TIME};
use crate::press::papers::paper_facts::PaperFacts;
use crate::press::papers::text::Draft;
use crate::web::words::Reader;
use time::{Date, Time};

/// The event's own dates and times.
pub(super) struct OwnDates<'a> {
    facts: &'a PaperFacts,
    /// Dates and times in the other facts.
    others: Vec<Named>,
    /// The end of the embargo.
    embargo: Option<(Date, Time)>,
}

impl<'a> OwnDates<'a> {
    pub fn of(draft: &Draft, facts: &'a PaperFacts) -> Self {
        let found = facts.all.iter().filter(|fact| ![BURN_DAY, TIME, RAIN_DATE].contains(&fact.mark));
        let others = found.flat_map(|fact| dates_in_text::find(&fact.raw)).map(|found| found.named).collect();
        Self { facts, others, embargo: draft.embargo }
    }

    fn is_other_day(&self, named: Named) -> bool {
        let Named::Day { month, day, .. } = named else { return false };
        let same = |other: &Named| matches!(other, Named::Day { month: m, day: d, .. } if (*m, *d) == (month, day));
        self.others.iter().any(same) || self.embargo.is_some_and(|(on, _)| named.is_day(on))
    }

    fn is_other_time(&self, named: Named) -> bool {
        let times = |other: &Named| match *other {
            Named::Clock { at, or } => named.is_time(at) || or.is_some_and(|or| named.is_time(or)),
            Named::Day { .. } => false,
        };
        self.others.iter().any(times) || self.embargo.is_some_and(|(_, at)| named.is_time(at))
    }

    pub fn wrong_in(&self, kind: PaperKind, line: &Line<'_>) -> Vec<String> {
        let mut wrong = Vec::new();
        for found in line.found.iter().filter(|found| !line.is_dateline(found)) {
            let why = match found.named {
                Named::Day { .. } => self.wrong_day(line, found),
                // After burn day, times are about the fire and not about the plan.
                Named::Clock { .. } if kind == PaperKind::AfterTheDay || self.ends_range(line, found) => None,
                Named::Clock { .. } => self.wrong_time(line, found.named),
            };
            if let Some(why) = why {
                wrong.push(format!("{}: “{}” is {why}", line.place, &line.words[found.start..found.end]));
            }
        }
        wrong.extend(self.broken_promise(kind, line));
        wrong
    }

    fn wrong_day(&self, line: &Line<'_>, found: &Found) -> Option<String> {
        let (named, facts) = (found.named, self.facts);
        let weekday = |on: Date| named.wrong_weekday(on).map(|_| format!("a {}", on.weekday()));
        if named.is_day(facts.burn_on) {
            return weekday(facts.burn_on);
        }
        match facts.rain_on.filter(|on| named.is_day(*on)) {
            Some(on) if line.speaks_of_rain(found) => weekday(on),
            Some(_) => Some(format!("the rain date (burn day is {})", facts.day(facts.burn_on))),
            None if self.is_other_day(named) => None,
            None => Some("not a date of this event".to_owned()),
        }
    }

    fn wrong_time(&self, line: &Line<'_>, named: Named) -> Option<String> {
        let time = self.facts.burn_time;
        // In the line with burn day, another time needs the burn's own time beside it.
        let has_hour = || line.has(TIME) || line.found.iter().any(|found| found.named.is_time(time));
        let is_other = self.is_other_time(named) && (line.promises != Promises::BurnDay || has_hour());
        let is_right = named.is_time(time) || is_other;
        (!is_right).then(|| format!("not a time of this event (the burn is at {})", Reader::Press.time(time)))
    }

    /// Is it the end of a range that starts at the burn's own time, as in "10 a.m. to
    /// noon"?
    fn ends_range(&self, line: &Line<'_>, found: &Found) -> bool {
        let is_own = |other: &Found| other.named.is_time(self.facts.burn_time);
        // "10–11 a.m." has one place in the text.
        let before = line.found.iter().take_while(|other| *other != found);
        let mut beside = before.filter(|other| other.start == found.start);
        if beside.any(is_own) {
            return true;
        }
        let before = line.words[..found.start].trim_end();
        let joins = ["to", "until", "-", "–", "—"];
        let Some(before) = joins.iter().find_map(|join| before.strip_suffix(*join)) else { return false };
        let before = before.trim_end();
        line.found.iter().any(|other| other.end == before.len() && is_own(other))
            || (line.has(TIME) && before.ends_with(GAP))
    }

    /// A line with a label for burn day must have burn day in it.
    fn broken_promise(&self, kind: PaperKind, line: &Line<'_>) -> Option<String> {
        let Self { facts, .. } = self;
        let (place, text) = (&line.place, &line.words);
        match line.promises {
            Promises::BurnDay if kind != PaperKind::AfterTheDay => {
                let has = line.has(BURN_DAY) || line.names(facts.burn_on) || text.contains('[');
                (!has).then(|| format!("{place}: burn day is missing here ({})", facts.day(facts.burn_on)))
            }
            Promises::RainDate => {
                let on = facts.rain_on?;
                let has = line.has(RAIN_DATE) || line.names(on) || text.contains('[');
                (!has).then(|| format!("{place}: the rain date is missing here ({})", facts.day(on)))
            }
            _ => None,
        }
    }

    /// Dates and the time that must be somewhere in the text.
    pub fn absent(&self, lines: &[Line<'_>]) -> Vec<String> {
        let facts = self.facts;
        let has_mark = |mark: &str| lines.iter().any(|line| line.has(mark));
        let names = |on: Date| lines.iter().any(|line| line.names(on));
        let mut absent = Vec::new();
        if !has_mark(BURN_DAY) && !names(facts.burn_on) {
            absent.push(format!("burn day ({})", facts.day(facts.burn_on)));
        }
        let says_time = lines.iter().any(|line| line.found.iter().any(|found| found.named.is_time(facts.burn_time)));
        if !has_mark(TIME) && !says_time {
            absent.push(format!("time ({})", Reader::Press.time(facts.burn_time)));
        }
        if let Some(on) = facts.rain_on.filter(|on| !has_mark(RAIN_DATE) && !names(*on)) {
            absent.push(format!("rain date ({})", facts.day(on)));
        }
        absent
    }
}
