//! The dateline of a release in AP style: "ALDER BEND, Iowa (Nov. 19, 2026) –".

use crate::calc::dates_in_text::{self, Found, Named};
use crate::calc::homes::Home;
use crate::web::words::Reader;
use time::Date;

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

/// So long is the place in a dateline at most.
const MOST_LETTERS: usize = 60;

/// The dateline of a release that goes out on this day. What isn't known is in
/// brackets.
pub(super) fn dateline(home: &Home, on: Date) -> String {
    let (city, state) = (home.city.trim(), home.state.trim());
    let city = if city.is_empty() { "[CITY]".to_owned() } else { city.to_uppercase() };
    let state = if state.is_empty() { "[State]" } else { abbreviation(state) };
    format!("{city}, {state} ({}) –", short_day(on))
}

/// A state as AP style writes it after a city. One we don't know stays as it was typed.
fn abbreviation(state: &str) -> &str {
    let letters = |text: &str| text.chars().filter(|c| c.is_alphabetic()).collect::<String>().to_lowercase();
    let typed = letters(state);
    let known = STATES.iter().find(|(postal, name, ap)| [*postal, *name, *ap].iter().any(|one| letters(one) == typed));
    known.map_or(state, |(_, _, ap)| *ap)
}

/// "Nov. 19, 2026": a day without its weekday.
pub(super) fn short_day(on: Date) -> String {
    let day = Reader::Press.day(on);
    day.split_once(", ").map_or_else(|| day.clone(), |(_, rest)| rest.to_owned())
}

/// The day in the dateline that a paragraph starts with; none without one.
pub(super) fn find(paragraph: &str) -> Option<Found> {
    let (place, _) = paragraph.split_once('(')?;
    let many = |is: fn(char) -> bool| place.split(',').next().unwrap_or_default().chars().filter(|c| is(*c)).count();
    // "McCALL, Idaho" has a small letter too.
    let is_loud = many(char::is_uppercase) > many(char::is_lowercase);
    if !is_loud || place.chars().count() > MOST_LETTERS {
        return None;
    }
    let mut all = dates_in_text::find(paragraph).into_iter();
    let found = all.find(|found| found.start == place.len() + 1 && matches!(found.named, Named::Day { .. }))?;
    let rest = paragraph[found.end..].strip_prefix(')')?.trim_start();
    rest.starts_with(['–', '—', '-']).then_some(found)
}

/// The day in the dateline of a text, if it has one with a year.
pub(super) fn day_of(text: &str) -> Option<Date> {
    match text.lines().find_map(find)?.named {
        Named::Day { year, month, day, .. } => Date::from_calendar_date(year?, month, day).ok(),
        Named::Clock { .. } => None,
    }
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
            "ALDER BEND, Iowa – Nov. 19, 2026",
            "ALDER BEND, Iowa (Two rooms) – on Nov. 19, 2026",
            "ALDER BEND, Iowa (10 a.m.) – Two rooms",
        ] {
            assert_eq!(day_of(text), None, "{text}");
        }
        assert!(find("McCALL, Idaho (Nov. 19, 2026) — Two rooms will burn.").is_some());
    }
}
