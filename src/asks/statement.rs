//! What someone knows about a question, and what has changed since.

pub(super) mod store;

use super::{Ask, Request, STATED_DEPUTY, Said, letters};
use crate::calc::dates_in_text::{self, Named};
use crate::events::Event;
use crate::web::words::Reader;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use time::Date;

/// A question as someone last knew it: its dates, their answer to each, and the lines
/// under it.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Statement {
    /// None once the question is withdrawn.
    pub dates: Vec<StatedDate>,
    pub facts: Vec<(String, String)>,
    /// The asks that may have an entry in their calendar.
    #[serde(default)]
    pub entries: BTreeSet<i64>,
    /// They were told in a call: they know what is wrong in their calendar, although no
    /// email has corrected it.
    #[serde(default)]
    pub by_voice: bool,
}

/// One date in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StatedDate {
    /// The ask's number, which names the calendar entry.
    pub ask: i64,
    pub on: Date,
    pub is_rain: bool,
    /// "yes", "sends Ana Ruiz". Empty without an answer.
    pub said: String,
}

/// One detail that is no longer as someone knows it, in the words of a reader.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    pub label: String,
    /// Empty if there was nothing.
    pub was: String,
    /// Empty if there no longer is anything.
    pub now: String,
}

impl StatedDate {
    fn of(event: &Event, ask: &Ask) -> Self {
        Self {
            ask: ask.id,
            on: ask.for_on,
            is_rain: Some(ask.for_on) == event.details.rain_on,
            said: ask.stands().map(super::Answer::stated).unwrap_or_default(),
        }
    }

    /// Is it in their calendar?
    #[must_use]
    pub fn is_yes(&self) -> bool {
        self.said == Said::Yes.as_str()
    }

    /// Might they come on this date?
    fn counts(&self) -> bool {
        self.said != Said::No.as_str()
    }
}

impl Change {
    /// "Burn day: Saturday, October 16, 2027 (was Saturday, October 9, 2027)".
    #[must_use]
    pub fn says(&self) -> String {
        match (self.was.as_str(), self.now.as_str()) {
            ("", now) => format!("{}: {now}", self.label),
            (was, "") => format!("{}: none (was {was})", self.label),
            (was, now) => format!("{}: {now} (was {was})", self.label),
        }
    }
}

impl Statement {
    /// What is true now.
    #[must_use]
    pub fn of(event: &Event, request: &Request) -> Self {
        let dates = request.live().filter(|_| !request.is_withdrawn);
        let dates: Vec<StatedDate> = dates.map(|ask| StatedDate::of(event, ask)).collect();
        let entries = dates.iter().filter(|date| date.is_yes()).map(|date| date.ask).collect();
        Self { dates, facts: letters::lines(&event.details, request), entries, by_voice: false }
    }

    /// The dates answered with yes.
    pub fn yes(&self) -> impl Iterator<Item = &StatedDate> {
        self.dates.iter().filter(|date| date.is_yes())
    }

    /// Does someone who knows this need an update? Not if nothing differs, and not if they
    /// wouldn't come on any date, old or new. A wrong entry in their calendar takes an
    /// email to remove.
    #[must_use]
    pub fn is_outdated(&self, truth: &Self) -> bool {
        let is_same = (&self.dates, &self.facts) == (&truth.dates, &truth.facts);
        let is_told = is_same || !self.dates.iter().chain(&truth.dates).any(StatedDate::counts);
        !is_told || (!self.by_voice && self.has_wrong_entry(truth))
    }

    /// Is there an entry in their calendar for a date not answered with yes?
    fn has_wrong_entry(&self, truth: &Self) -> bool {
        !self.entries.is_subset(&truth.entries)
    }

    /// The same with an answer to a date, which whoever gave it knows. Their calendar
    /// stays as it was.
    #[must_use]
    pub fn with(mut self, ask: i64, said: &str) -> Self {
        if let Some(date) = self.dates.iter_mut().find(|date| date.ask == ask) {
            said.clone_into(&mut date.said);
        }
        self
    }

    /// What someone knows after a page showed them this. Their calendar stays as it was
    /// until an email arrives.
    #[must_use]
    pub fn seen_by(mut self, known: &Self) -> Self {
        self.entries.extend(&known.entries);
        self
    }

    /// Puts new words in place of old ones.
    fn reword(&mut self, pairs: &Pairs) {
        reword(&mut self.facts, pairs);
    }

    fn burn_day(&self) -> Option<Date> {
        self.dates.iter().find(|date| !date.is_rain).map(|date| date.on)
    }

    fn rain_date(&self) -> Option<Date> {
        self.dates.iter().find(|date| date.is_rain).map(|date| date.on)
    }

    /// What has changed since, for a reader. The event gives a burn day that they aren't
    /// asked about.
    #[must_use]
    pub fn changes(&self, event: &Event, truth: &Self, reader: Reader) -> Vec<Change> {
        let day = |on: Option<Date>| on.map(|on| reader.day(on)).unwrap_or_default();
        let mut changes = Vec::new();
        let mut note = |label: &str, was: String, now: String| {
            if was != now {
                changes.push(Change { label: label.to_owned(), was, now });
            }
        };
        if self.burn_day().is_some() || truth.burn_day().is_some() {
            note("Burn day", day(self.burn_day()), reader.day(event.details.burn_on));
        }
        if self.rain_date().is_some() || truth.rain_date().is_some() {
            note("Rain date", day(self.rain_date()), day(event.details.rain_on));
        }
        let (was, now) = (numbered(&self.facts), numbered(&truth.facts));
        for (key, text) in &now {
            let before = was.iter().find(|(other, _)| other == key).map_or("", |(_, text)| text);
            note(key.0, letters::text_for(reader, key.0, before), letters::text_for(reader, key.0, text));
        }
        for (key, text) in was.iter().filter(|(key, _)| now.iter().all(|(other, _)| other != key)) {
            note(key.0, letters::text_for(reader, key.0, text), String::new());
        }
        for date in &truth.dates {
            let known = self.dates.iter().find(|known| known.ask == date.ask);
            if let Some(known) = known.filter(|known| known.said != date.said) {
                let whose = if reader == Reader::App { "Their answer" } else { OWN_ANSWER };
                let label = format!("{whose} for {}", reader.day(date.on));
                note(&label, answer_says(&known.said), answer_says(&date.said));
            }
        }
        changes
    }
}

/// A line with a label and a text.
type Line = (String, String);
/// Old lines with the new ones in their place.
pub(super) type Pairs = Vec<(Line, Line)>;

/// What earlier versions called some lines.
const RENAMED: [(&str, &str); 8] = [
    ("Post", "Position"),
    ("Thing", "Item"),
    ("We have it", "We need it"),
    ("We have it, if put off", "If postponed, we need it"),
    ("We collect it", "Pickup"),
    ("We bring it back", "Return"),
    ("It stands", "Place on burn day"),
    ("Also invited with you", "Invited with you"),
];

/// Old lines with the new ones in their place: line by line if there are as many, otherwise
/// by label. A line that is gone only gets its new label.
pub(super) fn pairs(old: &[Line], new: &[Line]) -> Pairs {
    if old.len() == new.len() {
        return old.iter().cloned().zip(new.iter().cloned()).collect();
    }
    let renamed: Vec<Line> = old
        .iter()
        .map(|(label, text)| {
            let now = RENAMED.iter().find(|(was, _)| was == label).map_or(label.as_str(), |(_, now)| now);
            (now.to_owned(), text.clone())
        })
        .collect();
    let now = numbered(new);
    let in_place = numbered(&renamed).into_iter().map(|(key, text)| {
        let text = now.iter().find(|(other, _)| *other == key).map_or(text, |(_, text)| text);
        (key.0.to_owned(), text.to_owned())
    });
    old.iter().cloned().zip(in_place).collect()
}

/// Puts new words in place of old ones. Where more than the words differs, the line gets
/// its new label and keeps what they know.
pub(super) fn reword(lines: &mut [Line], pairs: &Pairs) {
    for line in lines {
        if let Some((was, now)) = pairs.iter().find(|(was, _)| was == line) {
            *line = if is_same(was, now) { now.clone() } else { (now.0.clone(), was.1.clone()) };
        } else if let Some((_, now)) = pairs.iter().find(|(was, _)| was.0 == line.0) {
            line.0.clone_from(&now.0);
        }
    }
}

/// The lines whose text the program words. All others hold what someone typed.
const WORDED: [&str; 7] =
    ["What you do", "Your part", "We need it", "If postponed, we need it", "Pickup", "Return", "Press area"];

/// Do two texts of a line say the same in other words? Their days, times and figures tell.
fn is_same(was: &(String, String), now: &(String, String)) -> bool {
    was.1 == now.1 || (WORDED.contains(&now.0.as_str()) && figures(&was.1) == figures(&now.1))
}

/// The days and times of a text in one form, then its other numbers.
fn figures(text: &str) -> (Vec<String>, Vec<String>) {
    let (mut named, mut rest, mut end) = (Vec::new(), String::new(), 0);
    for found in dates_in_text::find(text) {
        named.push(match found.named {
            Named::Day { year, month, day, .. } => format!("{year:?} {month} {day}"),
            Named::Clock { at, .. } => at.to_string(),
        });
        rest.push_str(text.get(end..found.start).unwrap_or_default());
        rest.push(' ');
        end = found.end;
    }
    rest.push_str(&text[end..]);
    let numbers = rest.split(|c: char| !c.is_ascii_digit()).filter(|number| !number.is_empty());
    (named, numbers.map(str::to_owned).collect())
}

/// How a change to the reader's own answer begins.
pub(super) const OWN_ANSWER: &str = "Your answer";

/// "yes", "sending Ana Ruiz": a stored answer as people read it.
fn answer_says(stated: &str) -> String {
    stated.strip_prefix(STATED_DEPUTY).map_or_else(|| stated.to_owned(), |who| format!("sending {who}"))
}

/// Lines by label and by their place among those with that label: two positions have two
/// sets of hours.
fn numbered(facts: &[(String, String)]) -> Vec<((&str, usize), &str)> {
    let place = |at: usize| facts[..at].iter().filter(|(label, _)| *label == facts[at].0).count();
    facts.iter().enumerate().map(|(at, (label, text))| ((label.as_str(), place(at)), text.as_str())).collect()
}

/// A question, and what the person asked knows about it.
#[derive(Debug, Clone)]
pub struct Known {
    pub request: Request,
    pub statement: Statement,
    /// Nothing was ever noted, so we assume they know how it was.
    pub is_assumed: bool,
}

impl Known {
    /// What they know: what was noted, or else what is true.
    #[must_use]
    pub fn of(event: &Event, request: Request, noted: Option<Statement>) -> Self {
        let is_assumed = noted.is_none();
        let statement = noted.unwrap_or_else(|| Statement::of(event, &request));
        Self { request, statement, is_assumed }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::{date, time};

    fn stated(dates: &[(i64, Date, bool, &str)], facts: &[(&str, &str)]) -> Statement {
        let date = |(ask, on, is_rain, said): &(i64, Date, bool, &str)| StatedDate {
            ask: *ask,
            on: *on,
            is_rain: *is_rain,
            said: (*said).to_owned(),
        };
        let fact = |(label, text): &(&str, &str)| ((*label).to_owned(), (*text).to_owned());
        Statement {
            dates: dates.iter().map(date).collect(),
            facts: facts.iter().map(fact).collect(),
            ..Statement::default()
        }
    }

    const NINTH: Date = date!(2027 - 10 - 09);
    const SIXTEENTH: Date = date!(2027 - 10 - 16);

    #[test]
    fn new_words_hide_no_other_day_time_or_number() {
        let line = |label: &str, text: &str| (label.to_owned(), text.to_owned());
        let reworded = |known: (&str, &str), was: (&str, &str), now: (&str, &str)| {
            let mut statement = Statement { facts: vec![line(known.0, known.1)], ..Statement::default() };
            statement.reword(&vec![(line(was.0, was.1), line(now.0, now.1))]);
            statement.facts.remove(0)
        };
        for (was, now) in [
            (
                ("We collect it", "Thu 3 Jun 2027, 15:30 · Gym door"),
                ("Pickup", "Thursday, June 3, 2027, at 3:30 p.m. · Gym door"),
            ),
            (
                ("We have it", "Thu 3 Jun 2027 to Mon 7 Jun 2027"),
                ("We need it", "Thursday, June 3, 2027, to Monday, June 7, 2027"),
            ),
            (
                ("Your part", "introduced by the presenter, then 2 min, about 260 words"),
                ("Your part", "The presenter will introduce you. Then you have 2 min, about 260 words to speak."),
            ),
            (("Post", "North gate"), ("Position", "North gate")),
        ] {
            assert_eq!(reworded(was, was, now), line(now.0, now.1));
        }
        for (was, now) in [
            (("We bring it back", "Mon 7 Jun 2027"), ("Return", "Tuesday, June 8, 2027")),
            (("We collect it", "Thu 3 Jun 2027, 09:30"), ("Pickup", "Thursday, June 3, 2027, at 10:30 a.m.")),
            (
                ("Your part", "introduced by the presenter, then 2 min, about 260 words"),
                ("Your part", "The presenter will introduce you. You don't need to speak."),
            ),
            (("For", "Marguerite Vance, Mayor"), ("For", "Marguerite Vance, Senator")),
        ] {
            assert_eq!(reworded(was, was, now), line(now.0, was.1), "they know the old one");
        }
        let told_else = ("We bring it back", "Sun 6 Jun 2027");
        let (was, now) = (("We bring it back", "Mon 7 Jun 2027"), ("Return", "Monday, June 7, 2027"));
        assert_eq!(reworded(told_else, was, now), line("Return", "Sun 6 Jun 2027"));
    }

    #[test]
    fn lines_find_their_place_when_there_are_more_or_fewer() {
        let lines = |lines: &[(&str, &str)]| stated(&[], lines).facts;
        let mut known = lines(&[("Thing", "sports clock"), ("We bring it back", "Mon 7 Jun 2027"), ("Wear", "boots")]);
        let new = lines(&[
            ("Item", "sports clock"),
            ("We need it", "Thursday, June 3, 2027"),
            ("Return", "Monday, June 7, 2027"),
            ("Wear", "gloves"),
        ]);
        let found = pairs(&known, &new);
        reword(&mut known, &found);
        let expected = [("Item", "sports clock"), ("Return", "Monday, June 7, 2027"), ("Wear", "boots")];
        assert_eq!(known, lines(&expected));
        let fewer = pairs(&new, &lines(&[("Item", "sports clock")]));
        let mut known = new.clone();
        reword(&mut known, &fewer);
        assert_eq!(known, new, "lines that are gone stay known");
    }

    #[test]
    fn whoever_reckons_with_no_date_on_either_side_need_not_be_told() {
        let no = stated(&[(1, NINTH, false, "no")], &[]);
        let gone = stated(&[], &[]);
        assert!(!no.is_outdated(&gone));
        assert!(!no.is_outdated(&no));
        for said in ["", "yes", "maybe", "sends Ana Ruiz"] {
            assert!(stated(&[(1, NINTH, false, said)], &[]).is_outdated(&gone), "{said}");
        }
        let promoted = stated(&[(2, SIXTEENTH, false, "yes")], &[]);
        assert!(stated(&[(1, NINTH, false, "no"), (2, SIXTEENTH, true, "yes")], &[]).is_outdated(&promoted));
    }

    #[test]
    fn a_wrong_entry_in_a_calendar_is_taken_out_unless_a_voice_told_it() {
        let no = Statement { entries: [1].into(), ..stated(&[(1, NINTH, false, "no")], &[]) };
        let gone = stated(&[], &[]);
        assert!(no.is_outdated(&gone) && no.is_outdated(&stated(&[(1, NINTH, false, "no")], &[])));
        assert!(!Statement { by_voice: true, ..no.clone() }.is_outdated(&gone));
        let open = stated(&[(1, NINTH, false, "")], &[]);
        let lost = Statement { entries: [1].into(), ..open.clone() };
        assert!(lost.is_outdated(&open), "an entry of an open date is from a yes that was lost");
    }

    #[test]
    fn two_lines_of_one_label_are_told_apart() {
        let event = crate::asks::calendar::tests::event();
        let was = stated(&[], &[("Time", "07:00"), ("Time", "09:00")]);
        let now = stated(&[], &[("Time", "07:00"), ("Time", "10:00"), ("Wear", "boots")]);
        let says: Vec<String> = was.changes(&event, &now, Reader::App).iter().map(Change::says).collect();
        assert_eq!(says, ["Time: 10:00 (was 09:00)", "Wear: boots"]);
        let says: Vec<String> = now.changes(&event, &was, Reader::App).iter().map(Change::says).collect();
        assert_eq!(says, ["Time: 09:00 (was 10:00)", "Wear: none (was boots)"]);
    }

    #[test]
    fn other_words_outdate_nothing_and_hide_no_difference() {
        let lines = |lines: &[(&str, &str)]| stated(&[], lines).facts;
        let old = lines(&[("Post", "Parking"), ("Time", "08:00"), ("Post", "Gate"), ("Time", "08:00")]);
        let new = lines(&[("Position", "Parking"), ("Time", "08:00"), ("Position", "Gate"), ("Time", "08:00")]);
        let reworded = |known: &[(&str, &str)]| {
            let mut known = stated(&[], known);
            known.reword(&pairs(&old, &new));
            known.facts
        };
        let event = ("First fire", "10:00");
        let known = [event, ("Post", "Parking"), ("Time", "08:00"), ("Post", "Gate"), ("Time", "08:00")];
        assert_eq!(reworded(&known), [&lines(&[event])[..], &new[..]].concat());
        let known = [event, ("Post", "Parking"), ("Time", "07:00")];
        assert_eq!(reworded(&known), lines(&[event, ("Position", "Parking"), ("Time", "07:00")]));
    }

    #[test]
    fn a_change_is_told_as_its_reader_writes_days_times_and_answers() {
        let event = crate::asks::calendar::tests::event();
        let on = event.details.burn_on;
        let was = stated(&[(1, NINTH, false, "sends Ana Ruiz")], &[("First fire", "10:00")]);
        let now = stated(&[(1, on, false, "yes")], &[("First fire", "13:00")]);
        for reader in [Reader::App, Reader::Public] {
            let changes = was.changes(&event, &now, reader);
            let pairs: Vec<_> = changes.iter().map(|change| (change.was.clone(), change.now.clone())).collect();
            let answer = ("sending Ana Ruiz".to_owned(), "yes".to_owned());
            let (ten, one) = (time!(10:00), time!(13:00));
            let expected = [(reader.day(NINTH), reader.day(on)), (reader.time(ten), reader.time(one)), answer];
            assert_eq!(pairs, expected);
            let is_own = changes.iter().any(|change| change.label.starts_with(OWN_ANSWER));
            assert_eq!(is_own, reader == Reader::Public);
        }
    }
}
