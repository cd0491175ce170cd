//! The dateline of a release in AP style: "ALDER BEND, Iowa (Nov. 19, 2026) –".

mod states;

use self::states::known_state;
use super::text::{is_contact, paragraphs};
use crate::calc::dates_in_text::{self, Found, Named};
use crate::calc::homes::Home;
use crate::web::words::Reader;
use time::{Date, Month};

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

/// "Nov. 19, 2026": a day without its weekday.
pub(super) fn short_day(on: Date) -> String {
    let day = Reader::Press.day(on);
    day.split_once(", ").map_or_else(|| day.clone(), |(_, rest)| rest.to_owned())
}

/// The line of a text in which a dateline is: the first one after the contact.
pub(super) fn first_line(text: &str) -> &str {
    let mut parts = paragraphs(text);
    let first = parts.next().unwrap_or_default();
    let body = if is_contact(first) { parts.next().unwrap_or_default() } else { first };
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
mod tests;
