//! The dateline of a release in AP style: "ALDER BEND, Iowa (Nov. 19, 2026) –".

use crate::calc::dates_in_text::{self, Found, Named};
use crate::calc::homes::Home;
use crate::web::words::Reader;
use time::{Date, Month};

/// Postal letters, name and AP abbreviation. AP style never shortens eight states:
/// Alaska, Hawaii, Idaho, Iowa, Maine, Ohio, Texas and Utah (entry "state names").
const STATES: [(&str, &str, &str); 51] = [
    ("AL", "Alabama", "Ala."),
    ("AK", "Alaska", "Alaska"),
    ("AZ", "Arizona", "Ariz."),
    ("AR", "Arkansas", "Ark."),
    ("CA", "California", "Calif."),
    ("CO", "Colorado", "Colo."),
    ("CT", "Connecticut", "Conn."),
    ("DE", "Delaware", "Del."),
    ("DC", "District of Columbia", "D.C."),
    ("FL", "Florida", "Fla."),
    ("GA", "Georgia", "Ga."),
    ("HI", "Hawaii", "Hawaii"),
    ("ID", "Idaho", "Idaho"),
    ("IL", "Illinois", "Ill."),
    ("IN", "Indiana", "Ind."),
    ("IA", "Iowa", "Iowa"),
    ("KS", "Kansas", "Kan."),
    ("KY", "Kentucky", "Ky."),
    ("LA", "Louisiana", "La."),
    ("ME", "Maine", "Maine"),
    ("MD", "Maryland", "Md."),
    ("MA", "Massachusetts", "Mass."),
    ("MI", "Michigan", "Mich."),
    ("MN", "Minnesota", "Minn."),
    ("MS", "Mississippi", "Miss."),
    ("MO", "Missouri", "Mo."),
    ("MT", "Montana", "Mont."),
    ("NE", "Nebraska", "Neb."),
    ("NV", "Nevada", "Nev."),
    ("NH", "New Hampshire", "N.H."),
    ("NJ", "New Jersey", "N.J."),
    ("NM", "New Mexico", "N.M."),
    ("NY", "New York", "N.Y."),
    ("NC", "North Carolina", "N.C."),
    ("ND", "North Dakota", "N.D."),
    ("OH", "Ohio", "Ohio"),
    ("OK", "Oklahoma", "Okla."),
    ("OR", "Oregon", "Ore."),
    ("PA", "Pennsylvania", "Pa."),
    ("RI", "Rhode Island", "R.I."),
    ("SC", "South Carolina", "S.C."),
    ("SD", "South Dakota", "S.D."),
    ("TN", "Tennessee", "Tenn."),
    ("TX", "Texas", "Texas"),
    ("UT", "Utah", "Utah"),
    ("VT", "Vermont", "Vt."),
    ("VA", "Virginia", "Va."),
    ("WA", "Washington", "Wash."),
    ("WV", "West Virginia", "W.Va."),
    ("WI", "Wisconsin", "Wis."),
    ("WY", "Wyoming", "Wyo."),
];

/// Departments in these places burn, too.
const TERRITORIES: [&str; 5] =
    ["American Samoa", "Guam", "Northern Mariana Islands", "Puerto Rico", "U.S. Virgin Islands"];
/// A city has at most so many words, like "TRUTH OR CONSEQUENCES".
const MOST_WORDS: usize = 4;
/// The start of a city that isn't in capitals, as in `McCALL` and `COEUR d'ALENE`.
const SMALL_STARTS: [&str; 6] = ["Mc", "Mac", "De", "La", "d'", "d’"];
/// Labels of advisories in capitals, which are no cities.
const LABELS: [&str; 12] =
    ["WHAT", "WHO", "WHEN", "WHERE", "WHY", "DATE", "DAY", "TIME", "RAIN DATE", "BURN DAY", "VISUALS", "INTERVIEWS"];
/// In place of what isn't known.
const UNKNOWN: [&str; 2] = ["[CITY]", "[State]"];

/// The dateline of a release that goes out on this day. What isn't known is in
/// brackets.
pub(super) fn dateline(home: &Home, on: Date) -> String {
    let (city, state) = (home.city.trim(), home.state.trim());
    let city = if city.is_empty() { UNKNOWN[0].to_owned() } else { city.to_uppercase() };
    let state = if state.is_empty() { UNKNOWN[1] } else { known_state(state).unwrap_or(state) };
    format!("{city}, {state} ({}) –", short_day(on))
}

/// A state as AP style writes it after a city; none if we don't know it.
fn known_state(state: &str) -> Option<&'static str> {
    let letters = |text: &str| text.chars().filter(|c| c.is_alphabetic()).collect::<String>().to_lowercase();
    let typed = letters(state);
    let states = STATES.iter().find(|(postal, name, ap)| [*postal, *name, *ap].iter().any(|one| letters(one) == typed));
    let territory = || TERRITORIES.into_iter().find(|name| letters(name) == typed);
    states.map(|(_, _, ap)| *ap).or_else(territory)
}

/// "Nov. 19, 2026": a day without its weekday.
pub(super) fn short_day(on: Date) -> String {
    let day = Reader::Press.day(on);
    day.split_once(", ").map_or_else(|| day.clone(), |(_, rest)| rest.to_owned())
}

/// The line of a text in which a dateline is: the first one after the contact.
pub(super) fn first_line(text: &str) -> &str {
    let mut parts = text.split("\n\n").map(str::trim).filter(|part| !part.is_empty());
    let first = parts.next().unwrap_or_default();
    let body = if super::is_contact(first) { parts.next().unwrap_or_default() } else { first };
    body.lines().next().unwrap_or_default().trim()
}

/// Is it a city in capitals, as in "ALDER BEND", and perhaps its state after a comma?
fn is_place(place: &str) -> bool {
    let (city, state) = place.split_once(',').map_or((place, None), |(city, state)| (city, Some(state.trim())));
    let is_known = |state: &str| state == UNKNOWN[1] || known_state(state).is_some();
    is_city(city.trim()) && state.is_none_or(is_known)
}

fn is_city(city: &str) -> bool {
    let is_loud = |word: &str| {
        let rest = SMALL_STARTS.iter().find_map(|start| word.strip_prefix(start)).unwrap_or(word);
        rest.starts_with(char::is_uppercase)
            && rest.chars().all(|c| c.is_uppercase() || ['.', '\'', '’', '-'].contains(&c))
    };
    let words = city.split_whitespace();
    let is_named = (1..=MOST_WORDS).contains(&words.clone().count()) && words.clone().all(is_loud);
    city == UNKNOWN[0] || (is_named && !LABELS.contains(&city))
}

/// The day in the dateline that a line starts with; none without one. Without a day there is
/// nothing that could be mistaken for a date of the event.
pub(super) fn find(line: &str) -> Option<Found> {
    let (place, _) = line.split_once('(')?;
    if !is_place(place.trim()) {
        return None;
    }
    let mut all = dates_in_text::find(line).into_iter();
    let found = all.find(|found| found.start == place.len() + 1 && matches!(found.named, Named::Day { .. }))?;
    let rest = line[found.end..].strip_prefix(')')?.trim_start();
    rest.starts_with(['–', '—', '-']).then_some(found)
}

fn named(text: &str) -> Option<(Option<i32>, Month, u8)> {
    match find(first_line(text))?.named {
        Named::Day { year, month, day, .. } => Some((year, month, day)),
        Named::Clock { .. } => None,
    }
}

/// The day in the dateline of a text, if it has one with a year.
pub(super) fn day_of(text: &str) -> Option<Date> {
    let (year, month, day) = named(text)?;
    Date::from_calendar_date(year?, month, day).ok()
}

/// The same. Without a year, the day closest to today is meant.
pub(super) fn day_near(text: &str, today: Date) -> Option<Date> {
    let (year, month, day) = named(text)?;
    let years: Vec<i32> = year.map_or_else(|| (today.year() - 1..=today.year() + 1).collect(), |year| vec![year]);
    let days = years.into_iter().filter_map(|year| Date::from_calendar_date(year, month, day).ok());
    days.min_by_key(|on| (*on - today).whole_days().abs())
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    fn home(city: &str, state: &str) -> Home {
        Home { city: city.to_owned(), state: state.to_owned(), ..Home::default() }
    }

    #[test]
    fn a_dateline_has_the_city_in_capitals_and_the_state_as_ap_style_has_it() {
        let on = date!(2026 - 11 - 19);
        for (city, state, line) in [
            ("Alder Bend", "Iowa", "ALDER BEND, Iowa (Nov. 19, 2026) –"),
            ("Alder Bend", "IA", "ALDER BEND, Iowa (Nov. 19, 2026) –"),
            ("Alder Bend", "n.y.", "ALDER BEND, N.Y. (Nov. 19, 2026) –"),
            ("Alder Bend", "west virginia", "ALDER BEND, W.Va. (Nov. 19, 2026) –"),
            ("Alder Bend", "Calif.", "ALDER BEND, Calif. (Nov. 19, 2026) –"),
            ("Alder Bend", "Guam", "ALDER BEND, Guam (Nov. 19, 2026) –"),
            ("", "Minnesota", "[CITY], Minn. (Nov. 19, 2026) –"),
            ("Alder Bend", "", "ALDER BEND, [State] (Nov. 19, 2026) –"),
        ] {
            assert_eq!(dateline(&home(city, state), on), line);
            assert_eq!(day_of(&format!("CONTACT: Jun\n\n{line} Two rooms will burn.")), Some(on), "{line}");
        }
        assert_eq!(short_day(date!(2027 - 05 - 01)), "May 1, 2027");
    }

    #[test]
    fn a_day_in_brackets_elsewhere_is_no_dateline() {
        for text in [
            "The burn (Nov. 19, 2026) – it rained.",
            "WHEN: Saturday (Nov. 19, 2026)",
            "WHEN (Nov. 19, 2026) – come and see",
            "FREE, Saturday (Nov. 19, 2026) – come and see",
            "COME AND SEE TWO ROOMS BURN (Nov. 19, 2026) – it is free",
            "ALDER BEND, the fairground (Nov. 19, 2026) – Two rooms",
            "NFPA 1403 (Nov. 19, 2026) – Two rooms",
            "ALDER BEND, Iowa – Nov. 19, 2026",
            "ALDER BEND, Iowa (Two rooms) – on Nov. 19, 2026",
            "ALDER BEND, Iowa (10 a.m.) – Two rooms",
            // Only the start of the text is one.
            "Two rooms will burn.\n\nALDER BEND, Iowa (Nov. 19, 2026) – Come.",
            "Two rooms will burn.\nALDER BEND, Iowa (Nov. 19, 2026) – Come.",
        ] {
            assert_eq!(day_of(text), None, "{text}");
        }
    }

    #[test]
    fn cities_are_known_in_capitals_with_and_without_their_state() {
        let places =
            ["McCALL, Idaho", "CHICAGO", "COEUR d'ALENE, Idaho", "ST. PAUL, Minn.", "O'FALLON, MO", "DeKALB, Ill."];
        for place in places {
            assert!(find(&format!("{place} (Nov. 19, 2026) — Two rooms will burn.")).is_some(), "{place}");
        }
    }

    #[test]
    fn a_day_without_its_year_is_the_closest() {
        let text = |day: &str| format!("ALDER BEND, Iowa ({day}) – Two rooms will burn.");
        let today = date!(2027 - 01 - 04);
        for (day, on) in [
            ("Dec. 30", Some(date!(2026 - 12 - 30))),
            ("Jan. 4", Some(today)),
            ("Jan. 9", Some(date!(2027 - 01 - 09))),
            ("Jan. 9, 2026", Some(date!(2026 - 01 - 09))),
            ("soon", None),
        ] {
            assert_eq!(day_near(&text(day), today), on, "{day}");
        }
        assert_eq!(day_of(&text("Jan. 9")), None, "without a year it may be any");
    }
}
