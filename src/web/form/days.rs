//! Dates as people type them.

use time::{Date, Month};

/// Plans are for these years only; the calendar knows a few more.
pub const YEARS: std::ops::RangeInclusive<i32> = 1995..=2095;

/// A date, as a date picker sends it ("2027-01-09") or as people type it ("1/9/2027",
/// "Jan 9, 2027", "Sat, January 9, 2027"): with the month before the day.
///
/// # Errors
/// What to tell the person who typed it.
pub fn day(text: &str) -> Result<Date, String> {
    let unread = || "Enter a date like 1/9/2027 or Jan 9, 2027.".to_owned();
    let text = text.to_lowercase();
    let words = text.split(|c: char| c == ',' || c.is_whitespace()).map(|word| word.trim_end_matches('.'));
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    let weekday = words.first().and_then(|word| place_of(word, &WEEKDAYS));
    let (year, month, on) = match &words[usize::from(weekday.is_some())..] {
        [numbers] => match numbers.split(['/', '-']).collect::<Vec<&str>>().as_slice() {
            [year, month, on] if year.len() == 4 => (Some(*year), digits(month), digits(on)),
            [month, on, year] => (Some(*year), digits(month), digits(on)),
            [month, on] => (None, digits(month), digits(on)),
            _ => return Err(unread()),
        },
        [month, on] => (None, month_named(month), digits(on)),
        [month, on, year] => (Some(*year), month_named(month), digits(on)),
        _ => return Err(unread()),
    };
    let (Some(month), Some(on)) = (month, on) else { return Err(unread()) };
    let year = year.ok_or("Add the year, like Jan 9, 2027.")?;
    let year = year_of(year).ok_or_else(unread)?;
    if month > 12 && on <= 12 {
        return Err(format!("Put the month first, like {on}/{month}/{year}."));
    }
    let month = Month::try_from(month).ok();
    let day = month.and_then(|month| Date::from_calendar_date(year, month, on).ok());
    let day = day.ok_or("That date doesn't exist. Check the month and the day.")?;
    if !YEARS.contains(&day.year()) {
        return Err(format!("Enter a year from {} to {}.", YEARS.start(), YEARS.end()));
    }
    if weekday.is_some_and(|weekday| weekday != usize::from(day.weekday().number_days_from_monday())) {
        return Err(format!("That date is a {}. Check the weekday and the date.", day.weekday()));
    }
    Ok(day)
}

const WEEKDAYS: [&str; 7] = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// Which of these names the word is, in full or shortened to three letters or more.
fn place_of(word: &str, names: &[&str]) -> Option<usize> {
    if word.len() < 3 { None } else { names.iter().position(|name| name.starts_with(word)) }
}

fn month_named(word: &str) -> Option<u8> {
    u8::try_from(place_of(word, &MONTHS)? + 1).ok()
}

/// A number of one or two digits; "9th" is 9.
pub(super) fn digits(word: &str) -> Option<u8> {
    let word = ["st", "nd", "rd", "th"].into_iter().find_map(|end| word.strip_suffix(end)).unwrap_or(word);
    let fits = word.len() <= 2 && word.bytes().all(|byte| byte.is_ascii_digit());
    if fits { word.parse().ok() } else { None }
}

/// "2027", or "27" for short.
fn year_of(word: &str) -> Option<i32> {
    let is_number = word.bytes().all(|byte| byte.is_ascii_digit());
    let number: i32 = word.parse().ok().filter(|_| is_number)?;
    let century = YEARS.start() / 100 * 100;
    match word.len() {
        4 => Some(number),
        2 if century + number < *YEARS.start() => Some(century + 100 + number),
        2 => Some(century + number),
        _ => None,
    }
}
