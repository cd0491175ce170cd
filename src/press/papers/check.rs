//! What is still missing in a text, and which of its dates and times are not the
//! event's, before anyone may approve or send it.

use super::marks::{self, BURN_DAY, PHONE, PaperFacts, Piece, RAIN_DATE, TIME};
use super::{Draft, PaperKind, dateline};
use crate::calc::dates_in_text::{self, Found, Named};
use crate::web::words::{self, Reader};
use std::collections::BTreeMap;
use time::{Date, Time};

/// What is wrong with a text; nothing if it can go out.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(in crate::press) struct Check {
    /// What isn't in it yet: "burn day (Saturday, Oct. 9)".
    pub missing: Vec<String>,
    /// What it gets wrong: "WHEN: “Oct. 2” is not a date of this event".
    pub wrong: Vec<String>,
}

impl Check {
    pub fn is_clean(&self) -> bool {
        self.missing.is_empty() && self.wrong.is_empty()
    }

    /// All of it in one line.
    pub fn says(&self) -> String {
        let part = |name: &str, all: &[String]| (!all.is_empty()).then(|| format!("{name}: {}", all.join("; ")));
        let parts = [part("Missing", &self.missing), part("Wrong", &self.wrong)];
        parts.into_iter().flatten().collect::<Vec<_>>().join(". ")
    }
}

/// Takes the place of a mark, so nothing is read across it.
const GAP: char = '\u{fffc}';
/// So close to a rain date the text must say that it is one.
const NEAR: usize = 60;

/// Is the text complete, and are its dates and times right?
pub(in crate::press) fn check(kind: PaperKind, draft: &Draft, facts: &PaperFacts) -> Check {
    let own = Own::of(draft, facts);
    let mut check = Check { missing: open_places(&facts.fill(&draft.text)), wrong: Vec::new() };
    for (where_, text) in [("Headline", &draft.headline), ("Text", &draft.text)] {
        check.wrong.extend(marks::mistake(text, facts).map(|what| format!("{where_}: {what}")));
    }
    let mut lines: Vec<Line<'_>> = draft.text.lines().filter(|line| !line.trim().is_empty()).map(Line::of).collect();
    let first = dateline::first_line(&draft.text);
    if let Some(line) = lines.iter_mut().find(|line| line.text.trim() == first) {
        line.is_first = true;
    }
    lines.insert(0, Line::headline(&draft.headline));
    for line in &lines {
        check.wrong.extend(own.wrong_in(kind, line));
    }
    let phone = facts.get(PHONE).map(|fact| phone_digits(&fact.raw)).unwrap_or_default();
    if phone.is_empty() {
        if !check.missing.iter().any(|place| place == PHONE) {
            check.missing.push("contact phone: add it under Facts".to_owned());
        }
    } else if !digits(&facts.fill(&draft.text)).contains(&phone) {
        let shown = facts.get(PHONE).map(|fact| fact.shown.as_str()).unwrap_or_default();
        check.missing.push(format!("contact phone ({shown})"));
    }
    if kind != PaperKind::AfterTheDay {
        check.missing.extend(own.absent(&lines));
    }
    check
}

/// The facts a text was made from, with their raw values: those whose marks are in it
/// and those it says in words.
pub(in crate::press) fn used(draft: &Draft, facts: &PaperFacts) -> BTreeMap<String, String> {
    let whole = format!("{}\n{}", draft.headline, draft.text);
    let all = marks::pieces(&whole);
    let has_mark = |mark: &str| all.contains(&Piece::Mark(mark));
    let words = said(&whole);
    let found = dates_in_text::find(&words);
    let has = |fits: &dyn Fn(Named) -> bool| found.iter().any(|found| fits(found.named));
    let in_words = |mark: &str, raw: &str| match mark {
        BURN_DAY => has(&|named| named.is_day(facts.burn_on)),
        TIME => has(&|named| named.is_time(facts.burn_time)),
        RAIN_DATE => facts.rain_on.is_some_and(|on| has(&|named| named.is_day(on))),
        PHONE => !phone_digits(raw).is_empty() && digits(&words).contains(&phone_digits(raw)),
        _ => raw.chars().count() > 3 && words.contains(raw),
    };
    let is_used = |fact: &&marks::Fact| has_mark(fact.mark) || in_words(fact.mark, &fact.raw);
    facts.all.iter().filter(is_used).map(|fact| (fact.mark.to_owned(), fact.raw.clone())).collect()
}

/// Words from the places of earlier versions that are still in the text and not in
/// today's place, like "fairground". Short words are left out.
pub(in crate::press) fn of_old_places(draft: &Draft, facts: &PaperFacts, places: &[&str]) -> Vec<String> {
    let cut = |text: &str| -> Vec<String> {
        let words = text.split(|c: char| !c.is_alphanumeric()).filter(|word| word.chars().count() > 4);
        words.map(str::to_lowercase).collect()
    };
    let now = cut(facts.get(marks::PLACE).map(|fact| fact.raw.as_str()).unwrap_or_default());
    let text = cut(&said(&format!("{}\n{}", draft.headline, draft.text)));
    let mut old: Vec<String> = places.iter().flat_map(|place| cut(place)).collect();
    old.retain(|word| text.contains(word) && !now.contains(word));
    old.sort();
    old.dedup();
    old
}

/// The words of a text, with a gap for each mark.
fn said(text: &str) -> String {
    let part = |piece: &Piece<'_>| match piece {
        Piece::Words(words) => (*words).to_owned(),
        Piece::Mark(_) | Piece::Other(_) => format!(" {GAP} "),
    };
    marks::pieces(text).iter().map(part).collect()
}

/// What is in square brackets, each once.
fn open_places(text: &str) -> Vec<String> {
    let mut places: Vec<String> = Vec::new();
    let mut rest = text;
    while let Some((_, after)) = rest.split_once('[') {
        let Some((place, next)) = after.split_once(']') else { break };
        let place = place.split_whitespace().collect::<Vec<_>>().join(" ");
        if !place.is_empty() && !places.contains(&place) {
            places.push(place);
        }
        rest = next;
    }
    places
}

fn digits(text: &str) -> String {
    text.chars().filter(char::is_ascii_digit).collect()
}

/// The digits of a phone number as pages show it, without a 1 in front.
fn phone_digits(raw: &str) -> String {
    digits(&words::phone(raw))
}

/// A line of a text.
struct Line<'a> {
    text: &'a str,
    words: String,
    found: Vec<Found>,
    /// Its label or first words, so people can find it.
    place: String,
    promises: Promises,
    /// A dateline can be here.
    is_first: bool,
}

/// What the label of a line says is in it.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Promises {
    Nothing,
    BurnDay,
    RainDate,
}

impl<'a> Line<'a> {
    fn of(text: &'a str) -> Self {
        let label = text.split_once(':').map(|(label, _)| label.trim()).filter(|label| is_label(label));
        let start = || text.split_whitespace().take(6).collect::<Vec<_>>().join(" ");
        let place = label.map_or_else(|| format!("“{} …”", start()), str::to_owned);
        let promises = label.map_or(Promises::Nothing, promised);
        let words = said(text);
        Self { text, found: dates_in_text::find(&words), words, place, promises, is_first: false }
    }

    fn headline(text: &'a str) -> Self {
        Self { place: "Headline".to_owned(), promises: Promises::Nothing, ..Self::of(text) }
    }

    fn has(&self, mark: &str) -> bool {
        marks::pieces(self.text).contains(&Piece::Mark(mark))
    }

    fn names(&self, on: Date) -> bool {
        self.found.iter().any(|found| found.named.is_day(on))
    }

    /// Is it the date in a dateline, the day the release goes out?
    fn is_dateline(&self, found: &Found) -> bool {
        self.is_first && dateline::find(&self.words).is_some_and(|dated| dated.start == found.start)
    }

    /// Does it say near a date that this is the rain date?
    fn speaks_of_rain(&self, found: &Found) -> bool {
        if self.promises == Promises::RainDate {
            return true;
        }
        let from = self.words.floor_char_boundary(found.start.saturating_sub(NEAR));
        let to = self.words.ceil_char_boundary((found.end + NEAR).min(self.words.len()));
        let near = self.words[from..to].to_lowercase();
        ["rain", "alternate", "backup", "postpone", "put off", "called off", "canceled", "weather"]
            .iter()
            .any(|word| near.contains(word))
    }
}

fn is_label(label: &str) -> bool {
    let is_short = !label.is_empty() && label.chars().count() <= 30;
    let is_loud = label.chars().any(char::is_uppercase) && !label.chars().any(char::is_lowercase);
    is_short && (is_loud || promised(label) != Promises::Nothing)
}

fn promised(label: &str) -> Promises {
    let label = label.to_lowercase();
    let is_rain = ["rain", "alternate", "backup"].iter().any(|word| label.contains(word));
    let days = [
        "when",
        "date",
        "day",
        "burn day",
        "event date",
        "date and time",
        "date & time",
        "date/time",
        "when and where",
    ];
    let is_of_a_day = !label.contains(' ') || label.contains("date") || label.contains("day");
    if is_rain && is_of_a_day {
        Promises::RainDate
    } else if days.contains(&label.as_str()) {
        Promises::BurnDay
    } else {
        Promises::Nothing
    }
}

/// The event's own dates and times.
struct Own<'a> {
    facts: &'a PaperFacts,
    /// Dates and times in the other facts.
    others: Vec<Named>,
    /// The end of the embargo.
    embargo: Option<(Date, Time)>,
}

impl<'a> Own<'a> {
    fn of(draft: &Draft, facts: &'a PaperFacts) -> Self {
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

    fn wrong_in(&self, kind: PaperKind, line: &Line<'_>) -> Vec<String> {
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
    fn absent(&self, lines: &[Line<'_>]) -> Vec<String> {
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

#[cfg(test)]
mod tests {
    use super::super::draft::{Start, draft};
    use super::*;
    use crate::calc::homes::Home;
    use crate::events::{Details, Format, Weekdays};
    use crate::press::facts::Facts;
    use crate::zone::Zone;
    use time::macros::{date, datetime, time};
    use time::{OffsetDateTime, Weekday};

    const TODAY: Date = date!(2027 - 09 - 20);
    const NOW: OffsetDateTime = datetime!(2027-09-20 15:00 UTC);

    /// Sat, Oct 9, 2027 at 10:00, with the rain date a week later.
    fn details() -> Details {
        Details {
            name: "Two Rooms".to_owned(),
            site: "Fairground".to_owned(),
            zone: Zone::named("America/Chicago").unwrap(),
            burn_on: date!(2027 - 10 - 09),
            burn_time: time!(10:00),
            rain_on: Some(date!(2027 - 10 - 16)),
            format: Format::OneAtATime,
            audience: None,
            weekdays: Weekdays::new([Weekday::Saturday]).unwrap(),
            visitors: crate::events::VisitorFacts::default(),
        }
    }

    fn press_facts() -> Facts {
        let text = |text: &str| text.to_owned();
        Facts {
            contact: text("Jun Castellane"),
            phone: text("555-0118"),
            mail: text("jun@example.org"),
            why: text("Most people think they have longer."),
            area: text("North fence."),
            arrival: text("9:15 a.m. by gate B."),
            interviews: text("Chief at 11 a.m."),
            visuals: text("Smoke alarm at about minute 1."),
            decision: text("Posted Friday by 4 p.m."),
            clothing: text("Closed shoes."),
            power: text("None."),
            ..Facts::default()
        }
    }

    fn facts() -> PaperFacts {
        PaperFacts::of(&details(), "Alder Bend Fire District", &press_facts(), NOW)
    }

    fn of(text: &str) -> Draft {
        Draft { headline: "Two rooms burn".to_owned(), text: text.to_owned(), embargo: None }
    }

    fn first(kind: PaperKind, facts: &Facts) -> Draft {
        let home = Home { city: "Alder Bend".to_owned(), state: "Iowa".to_owned(), ..Home::default() };
        let (headline, text) = draft(kind, facts, &Start { home: &home, today: TODAY });
        Draft { headline, text, embargo: None }
    }

    #[test]
    fn a_draft_with_every_fact_is_complete() {
        for kind in [PaperKind::Advisory, PaperKind::Release] {
            let draft = first(kind, &press_facts());
            let draft = Draft { text: draft.text.replace('[', "(").replace(']', ")"), ..draft };
            assert_eq!(check(kind, &draft, &facts()), Check::default(), "{kind}");
        }
        let advisory = first(PaperKind::Advisory, &press_facts());
        assert_eq!(check(PaperKind::Advisory, &advisory, &facts()), Check::default(), "nothing to look up");
    }

    #[test]
    fn what_is_not_known_is_in_brackets_and_missing() {
        let unknown = Facts { area: String::new(), phone: String::new(), mail: String::new(), ..press_facts() };
        let facts = PaperFacts::of(&details(), "Alder Bend Fire District", &unknown, NOW);
        let missing = |kind| check(kind, &first(kind, &unknown), &facts).missing;
        assert_eq!(missing(PaperKind::Advisory), ["media staging area", "contact phone", "contact email"]);
        assert!(missing(PaperKind::AfterTheDay).contains(&"minutes and seconds".to_owned()));
    }

    /// Each line is in an advisory whose other lines are right: a wrong date must not
    /// pass because another line has the right one.
    #[test]
    fn a_line_with_a_wrong_date_or_time_is_found_though_another_line_is_right() {
        let rest = "Come at {time} {burn day}.\n\nRAIN DATE: {rain date}. {decision}\n\nCONTACT: {contact phone}";
        let right = [
            "WHEN: {time} {burn day}",
            "WHEN: 10 a.m. Saturday, Oct. 9",
            "WHEN: 10 a.m. Saturday, Oct. 9, 2027",
            "WHEN: Saturday, October 9, 2027, at 10 a.m.",
            "WHEN: Saturday, October 9th, 2027 at 10 a.m.",
            "WHEN: 10/9/2027, 10:00",
            "WHEN: 10 a.m. to noon Saturday, Oct. 9",
            "WHEN: {time} to noon {burn day}",
            "WHEN: 10–11:30 a.m. {burn day}",
            "WHEN: 10 to noon, {burn day}",
            "WHEN: Oct. 9, rain date Oct. 16",
            "WHEN: 10 a.m. Saturday, Oct. 9. If it rains: Saturday, Oct. 16",
            // As texts had it before.
            "WHEN: Sat 9 Oct 2027, 10:00",
            "WHEN: Saturday 9 October 2027, 10:00",
            "If it rains, the burn is on Oct. 16.",
            "MEDIA ARRIVAL AND PARKING: 9:15 a.m.",
            "In {other: March 3, 2019} a house burned.",
            "The decision is posted at 4 p.m.",
            "The decision is posted at 16:00.",
            "ALDER BEND, Iowa (Sept. 20, 2027) – Two rooms will burn.",
        ];
        for line in right {
            let found = check(PaperKind::Advisory, &of(&format!("{line}\n\n{rest}")), &facts());
            assert_eq!(found, Check::default(), "{line}");
        }
        let burn_day = "burn day is Saturday, Oct. 9";
        let wrong = [
            ("WHEN: Oct. 16, 10 a.m.", "WHEN: “Oct. 16” ", burn_day),
            ("WHEN: 10/16/2027", "WHEN: “10/16/2027” ", burn_day),
            ("WHEN: Oct. 2", "WHEN: “Oct. 2” ", "not a date"),
            ("WHEN: Saturday, Oct. 2", "WHEN: “Saturday, Oct. 2” ", "not a date"),
            ("WHEN: 2 Oct", "WHEN: “2 Oct” ", "not a date"),
            ("WHEN: 2027-10-02", "WHEN: “2027-10-02” ", "not a date"),
            ("WHEN: 10/2", "WHEN: “10/2” ", "not a date"),
            ("WHEN: Oct. 9, 2026", "WHEN: “Oct. 9, 2026” ", "not a date"),
            ("WHEN: Friday, Oct. 9", "WHEN: “Friday, Oct. 9” ", "Saturday"),
            ("WHEN: Saturday", "WHEN: ", "Saturday, Oct. 9"),
            ("WHEN: {rain date}", "WHEN: ", "Saturday, Oct. 9"),
            ("WHEN: {burn day}, 13:00", "WHEN: “13:00” ", "10 a.m."),
            ("WHEN: 9:15 a.m. {burn day}", "WHEN: “9:15 a.m.” ", "10 a.m."),
            ("WHEN: 1 p.m. {burn day}", "WHEN: “1 p.m.” ", "10 a.m."),
            ("WHEN: 9–10 a.m. {burn day}", "WHEN: ", "10 a.m."),
            ("WHEN: 9 a.m. to noon {burn day}", "WHEN: “noon” ", "10 a.m."),
            ("WHEN: {time} {burn day} or noon", "WHEN: “noon” ", "10 a.m."),
            ("Date: October 2", "Date: “October 2” ", "not a date"),
            ("RAIN DATE: Oct. 23", "RAIN DATE: “Oct. 23” ", "not a date"),
            ("RAIN DATE: Oct. 9", "RAIN DATE: ", "Saturday, Oct. 16"),
            ("See two rooms burn on Oct. 16.", "“See two rooms burn on Oct. …”: “Oct. 16” ", burn_day),
            ("See it at noon.", "“See it at noon. …”: “noon” ", "10 a.m."),
            ("The burn (Sept. 20, 2027) – see it.", "“The burn (Sept. 20, 2027) – …”: “Sept. 20, 2027” ", "not a date"),
            ("WHEN (Oct. 2, 2027) – see it.", "“WHEN (Oct. 2, 2027) – see …”: “Oct. 2, 2027” ", "not a date"),
            (
                "Two rooms burn.\n\nALDER BEND, Iowa (Oct. 2, 2027) – See it.",
                "“ALDER BEND, Iowa (Oct. 2, 2027) …”: “Oct. 2, 2027” ",
                "not a date",
            ),
        ];
        for (line, starts, says) in wrong {
            let found = check(PaperKind::Advisory, &of(&format!("{line}\n\n{rest}")), &facts());
            let is_named = found.wrong.iter().any(|wrong| wrong.starts_with(starts) && wrong.contains(says));
            assert!(is_named, "{line}: {found:?}");
        }
        for (headline, day) in
            [("Rooms burn on Oct. 2", "Oct. 2"), ("ALDER BEND, Iowa (Oct. 2, 2027) – Rooms burn", "Oct. 2, 2027")]
        {
            let draft = Draft { headline: headline.to_owned(), ..of(rest) };
            let found = check(PaperKind::Advisory, &draft, &facts()).wrong;
            let starts = format!("Headline: “{day}” ");
            assert!(matches!(found.as_slice(), [one] if one.starts_with(&starts)), "{found:?}");
        }
    }

    #[test]
    fn a_text_without_the_dates_or_with_another_number_lacks_them() {
        let found = check(PaperKind::Release, &of("Two rooms burn. Call 555-0199."), &facts());
        assert_eq!(
            found.missing,
            [
                "contact phone (555-0118)",
                "burn day (Saturday, Oct. 9)",
                "time (10 a.m.)",
                "rain date (Saturday, Oct. 16)",
            ]
        );
        let after = check(PaperKind::AfterTheDay, &of("It took 3:40. {contact phone}"), &facts());
        assert_eq!(after, Check::default());
    }

    #[test]
    fn a_contact_phone_counts_with_and_without_its_country_code() {
        let phone = Facts { phone: "+1 555-555-0118".to_owned(), ..press_facts() };
        let facts = PaperFacts::of(&details(), "Alder Bend Fire District", &phone, NOW);
        for text in ["Call {contact phone}.", "Call 1-555-555-0118.", "Call 555.555.0118."] {
            assert_eq!(check(PaperKind::AfterTheDay, &of(text), &facts), Check::default(), "{text}");
            assert!(super::used(&of(text), &facts).contains_key("contact phone"), "{text}");
        }
    }

    #[test]
    fn words_of_an_old_place_are_found_in_what_is_typed() {
        let facts = facts();
        let place = facts.get(marks::PLACE).unwrap().raw.clone();
        let draft =
            Draft { headline: "At the Orchard".into(), text: "See you at {place}, by the pond.".into(), embargo: None };
        assert_eq!(of_old_places(&draft, &facts, &["County orchard, pond gate"]), ["orchard"]);
        assert!(of_old_places(&draft, &facts, &[&place]).is_empty(), "today's place");
    }

    #[test]
    fn a_text_is_made_from_the_facts_it_marks_or_says() {
        let used = |text: &str| used(&of(text), &facts()).into_keys().collect::<Vec<_>>();
        assert_eq!(used("On {burn day}, if it rains on Oct. 16, at 10 a.m."), ["burn day", "rain date", "time"]);
        assert_eq!(used("At the Fairground. Call 555 0118."), ["contact phone", "place"]);
        assert_eq!(used("Nothing."), [""; 0]);
        let changed = PaperFacts::of(
            &Details { burn_time: time!(13:00), rain_on: None, ..details() },
            "Alder Bend Fire District",
            &press_facts(),
            NOW,
        );
        let was = super::used(&of("At {time} {burn day}. Rain: {rain date}"), &facts());
        assert_eq!(
            marks::changes_say(&changed.changes(&was)),
            "time is now 1 p.m. (was 10 a.m.); rain date is now none (was Saturday, Oct. 16)"
        );
    }
}
