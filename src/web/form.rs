//! Forms: reading what was sent, and saying beside each field what is wrong with it.

use crate::error::Error;
use axum::body::{Body, Bytes};
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::str::FromStr;
use time::{Date, Month, Time};
use unicode_normalization::UnicodeNormalization;

/// The fields of a form. A body that isn't a form gets a page in response.
#[derive(Debug)]
pub struct Form<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Form<T> {
    type Rejection = Response;

    #[expect(clippy::disallowed_types, reason = "this wraps it")]
    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        match axum_extra::extract::Form::<T>::from_request(request, state).await {
            Ok(axum_extra::extract::Form(form)) => Ok(Self(form)),
            Err(rejection) => {
                let answer = rejection.into_response();
                if answer.status() == StatusCode::PAYLOAD_TOO_LARGE {
                    return Err(answer);
                }
                Err(in_pieces().into_response())
            }
        }
    }
}

/// The answer to a form that lacks a part of itself.
#[must_use]
pub fn in_pieces() -> Error {
    let reason =
        "The form didn't arrive in one piece. Nothing was changed. Go back, reload the page, and send it again.";
    Error::BadRequest(reason.to_owned())
}

/// The fields of one form as two sets: those of the thing itself, and those that help fill
/// it in.
#[derive(Debug)]
pub struct Both<A, B>(pub A, pub B);

impl<S: Send + Sync, A: DeserializeOwned + Send, B: DeserializeOwned + Send> FromRequest<S> for Both<A, B> {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        let (parts, body) = request.into_parts();
        let body = Bytes::from_request(Request::from_parts(parts.clone(), body), state).await;
        let body = body.map_err(IntoResponse::into_response)?;
        let again = || Request::from_parts(parts.clone(), Body::from(body.clone()));
        let (Form(one), Form(other)) =
            (Form::<A>::from_request(again(), state).await?, Form::<B>::from_request(again(), state).await?);
        Ok(Self(one, other))
    }
}

/// The same with three sets.
#[derive(Debug)]
pub struct Three<A, B, C>(pub A, pub B, pub C);

impl<S, A, B, C> FromRequest<S> for Three<A, B, C>
where
    S: Send + Sync,
    A: DeserializeOwned + Send,
    B: DeserializeOwned + Send,
    C: DeserializeOwned + Send,
{
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        let (parts, body) = request.into_parts();
        let body = Bytes::from_request(Request::from_parts(parts.clone(), body), state).await;
        let body = body.map_err(IntoResponse::into_response)?;
        let again = || Request::from_parts(parts.clone(), Body::from(body.clone()));
        let Form(one) = Form::<A>::from_request(again(), state).await?;
        let Both(two, three) = Both::<B, C>::from_request(again(), state).await?;
        Ok(Self(one, two, three))
    }
}

/// What is wrong with a form, by field.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Mistakes(BTreeMap<&'static str, String>);

impl Mistakes {
    /// Notes what is wrong with a field; only the first mistake counts.
    pub fn add(&mut self, field: &'static str, what: impl Into<String>) {
        self.0.entry(field).or_insert_with(|| what.into());
    }

    /// Returns the value, or notes the mistake.
    pub fn note<T>(&mut self, field: &'static str, read: Result<T, String>) -> Option<T> {
        read.map_err(|what| self.add(field, what)).ok()
    }

    /// These and the others; the first about each field stays.
    #[must_use]
    pub fn and(mut self, others: Self) -> Self {
        for (field, what) in others.0 {
            self.add(field, what);
        }
        self
    }

    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    #[must_use]
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// What is wrong with this field; empty if nothing is.
    #[must_use]
    pub fn of(&self, field: &str) -> &str {
        self.0.get(field).map_or("", String::as_str)
    }
}

/// A line of text, trimmed, that must not be empty.
///
/// # Errors
/// What to tell the person who typed it.
pub fn line(text: &str, most: usize) -> Result<String, String> {
    let text = optional_line(text, most)?;
    if text.is_empty() { Err("Fill this in.".to_owned()) } else { Ok(text) }
}

/// A line of text, trimmed, that may be empty.
///
/// # Errors
/// What to tell the person who typed it.
pub fn optional_line(text: &str, most: usize) -> Result<String, String> {
    if text.contains(['\n', '\r', '\u{2028}', '\u{2029}']) {
        return Err("Keep this on one line.".to_owned());
    }
    paragraph(text, most)
}

/// Text of several lines, trimmed, that may be empty.
///
/// # Errors
/// What to tell the person who typed it.
pub fn paragraph(text: &str, most: usize) -> Result<String, String> {
    let text: String = text.replace("\r\n", "\n").trim().nfc().filter(|c| !is_unseen(*c)).collect();
    let text = text.trim().to_owned();
    let length = text.chars().count();
    if length > most {
        return Err(format!("This has {length} characters. Shorten it to {most} or fewer."));
    }
    if text.contains(|c: char| c.is_control() && c != '\n') {
        return Err("This has a character that can't be shown. Type it instead of pasting it.".to_owned());
    }
    Ok(text)
}

/// Invisible characters that could make a text look like another: text directions, and
/// characters without width that don't join letters.
fn is_unseen(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{2064}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// Someone's name. Mail programs turn anything that looks like an address into a link, so a
/// name can't look like one.
///
/// # Errors
/// What to tell the person who typed it.
pub fn name(text: &str, most: usize) -> Result<String, String> {
    let joiners = ['\u{200c}', '\u{200d}'];
    let name = line(&text.replace(joiners, ""), most)?;
    if is_like_an_address(&name) {
        return Err("A name can't be a web or email address. Put a space after each period.".to_owned());
    }
    Ok(name)
}

/// The same for a name that may be left out.
///
/// # Errors
/// What to tell the person who typed it.
pub fn optional_name(text: &str, most: usize) -> Result<String, String> {
    if text.trim().is_empty() { Ok(String::new()) } else { name(text, most) }
}

/// "evil.example/login", "www.x.org", "a@x": a dot between two letters with no space
/// after it, unless the letters are initials, as in "J.R. Holt"; or an at sign
/// between two.
fn is_like_an_address(name: &str) -> bool {
    let letters = |part: &str| part.chars().filter(|c| c.is_alphanumeric()).count();
    let has = |word: &str, sign: char, least: usize| {
        let parts: Vec<&str> = word.split(sign).collect();
        parts.windows(2).any(|pair| letters(pair[0]) > 0 && letters(pair[1]) >= least)
    };
    name.contains("://") || name.split_whitespace().any(|word| has(word, '.', 2) || has(word, '@', 1))
}

/// A whole number in a range.
///
/// # Errors
/// What to tell the person who typed it.
pub fn number<N: FromStr + PartialOrd + Copy + std::fmt::Display>(text: &str, least: N, most: N) -> Result<N, String> {
    let wrong = || format!("Enter a whole number from {least} to {most}.");
    let number: N = text.trim().parse().map_err(|_| wrong())?;
    if number < least || number > most { Err(wrong()) } else { Ok(number) }
}

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
fn digits(word: &str) -> Option<u8> {
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

/// A time of day, as a time picker sends it ("09:30") or as people type it ("9:30 a.m.",
/// "9 am", "noon"). Without a.m. or p.m. it is on the 24-hour clock.
///
/// # Errors
/// What to tell the person who typed it.
pub fn time_of_day(text: &str) -> Result<Time, String> {
    let unread = || "Enter a time like 9:30 a.m. or 14:00.".to_owned();
    let text: String = text.to_lowercase().chars().filter(|c| *c != '.' && !c.is_whitespace()).collect();
    let text = match text.as_str() {
        "noon" | "12noon" => "12:00",
        "midnight" | "12midnight" => "00:00",
        other => other,
    };
    let (clock, later) = match (text.strip_suffix("am"), text.strip_suffix("pm")) {
        (Some(clock), _) => (clock, Some(0)),
        (_, Some(clock)) => (clock, Some(12)),
        (None, None) => (text, None),
    };
    let (hour, minute) = match clock.split(':').collect::<Vec<&str>>().as_slice() {
        [hour, minute] | [hour, minute, "00"] if minute.len() == 2 => (digits(hour), digits(minute)),
        // "0930", as the fire service writes it.
        [both] if both.len() == 4 && both.is_ascii() => (digits(&both[..2]), digits(&both[2..])),
        [hour] if later.is_some() => (digits(hour), Some(0)),
        [hour] if digits(hour).is_some_and(|hour| (1..=12).contains(&hour)) => {
            return Err(format!("Add a.m. or p.m., like {hour} a.m."));
        }
        _ => return Err(unread()),
    };
    let (Some(hour), Some(minute)) = (hour, minute) else { return Err(unread()) };
    let hour = match later {
        None => hour,
        Some(later) if (1..=12).contains(&hour) => hour % 12 + later,
        Some(_) => return Err(unread()),
    };
    Time::from_hms(hour, minute, 0).map_err(|_| unread())
}

/// An email address, as far as its form shows.
///
/// # Errors
/// What to tell the person who typed it.
pub fn mail(text: &str) -> Result<String, String> {
    let text = line(text, 254)?;
    // We ask no email server to accept quoted names (RFC 5321, section 4.1.2), numeric hosts,
    // or hosts without a domain.
    let fits = text
        .parse::<lettre::Address>()
        .is_ok_and(|address| !address.user().starts_with('"') && address.domain().contains('.') && !text.contains('['));
    if fits { Ok(text) } else { Err("Enter an email address like name@example.org.".to_owned()) }
}

/// A phone number, written any way, with or without an extension.
///
/// # Errors
/// What to tell the person who typed it.
pub fn phone(text: &str) -> Result<String, String> {
    let phone = optional_line(text, 40)?;
    let digits = phone.chars().filter(char::is_ascii_digit).count();
    if phone.is_empty() || digits >= 3 { Ok(phone) } else { Err("Enter a phone number, like 555-0117.".to_owned()) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::{date, time};

    #[test]
    fn text_is_trimmed_bounded_and_clean() {
        assert_eq!(line("  Two Rooms ", 20).unwrap(), "Two Rooms");
        assert!(line("   ", 20).is_err());
        assert!(line("a\nb", 20).is_err());
        assert!(line("abc", 2).is_err());
        assert!(line("a\u{0}b", 20).is_err());
        assert_eq!(line("\u{200b}a\u{202e}b\u{feff} ", 20).unwrap(), "ab", "what isn't seen is taken out");
        assert!(line("\u{200e} \u{2066}", 20).is_err(), "nothing is left");
        assert_eq!(line("Toma\u{301}s", 20).unwrap(), "Tom\u{e1}s");
        assert_eq!(paragraph("a\r\nb", 20).unwrap(), "a\nb");
    }

    #[test]
    fn days_times_and_numbers() {
        assert_eq!(day("2027-10-09").unwrap(), date!(2027 - 10 - 09));
        for wrong in ["", "2027-02-30", "9 Oct 2027", "0001-01-01", "2027-10-9x"] {
            assert!(day(wrong).is_err(), "{wrong}");
        }
        assert_eq!(time_of_day("10:00").unwrap(), time!(10:00));
        assert_eq!(time_of_day("10:00:00").unwrap(), time!(10:00));
        assert!(time_of_day("25:00").is_err());
        assert_eq!(number(" 12 ", 1, 400).unwrap(), 12);
        assert!(number("0", 1, 400).is_err());
        assert!(number("1e3", 1, 400).is_err());
    }

    #[test]
    fn dates_as_people_type_them() {
        for typed in [
            "2027-01-09",
            "2027-1-9",
            "1/9/2027",
            "01/09/2027",
            " 1/9/27 ",
            "1-9-2027",
            "Jan 9, 2027",
            "jan 9 2027",
            "Jan. 9, 2027",
            "January 9th, 2027",
            "January 9, 2027",
            "Sat, Jan 9, 2027",
            "Saturday, January 9, 2027",
            "Sat 1/9/2027",
        ] {
            assert_eq!(day(typed), Ok(date!(2027 - 01 - 09)), "{typed}");
        }
        assert_eq!(day("Sept. 5, 2027"), Ok(date!(2027 - 09 - 05)));
        assert_eq!(day("6/7/98"), Ok(date!(1998 - 06 - 07)));
        for wrong in [
            "Ja 9, 2027",
            "January 2027",
            "9 2027",
            "1/9/2027/",
            "1/9/027",
            "1/9/+27",
            "Feb 29, 2027",
            "Jan 9, 2127",
            "Saturday",
            "9/Jan/2027",
            "٩/١/٢٠٢٧",
            "1//2027",
            "--",
        ] {
            assert!(day(wrong).is_err(), "{wrong}");
        }
        // Each of these says what to change.
        for (typed, says) in [
            ("Jan 9", "year"),
            ("1/9", "year"),
            ("13/1/2027", "1/13/2027"),
            ("Sat, Jan 10, 2027", "Sunday"),
            ("1/9/1890", "1995"),
        ] {
            let why = day(typed).unwrap_err();
            assert!(why.contains(says), "{typed}: {why}");
        }
    }

    #[test]
    fn times_as_people_type_them() {
        for typed in ["9:30", "09:30", "0930", "9:30 am", "9:30 a.m.", "9:30AM", " 9:30 A. M. ", "09:30:00"] {
            assert_eq!(time_of_day(typed), Ok(time!(9:30)), "{typed}");
        }
        for (typed, at) in [
            ("9 am", time!(9:00)),
            ("9 p.m.", time!(21:00)),
            ("12 am", time!(0:00)),
            ("12:05 a.m.", time!(0:05)),
            ("12 pm", time!(12:00)),
            ("12:30", time!(12:30)),
            ("Noon", time!(12:00)),
            ("12 noon", time!(12:00)),
            ("midnight", time!(0:00)),
            ("00:00", time!(0:00)),
            ("23:59", time!(23:59)),
        ] {
            assert_eq!(time_of_day(typed), Ok(at), "{typed}");
        }
        for wrong in ["", "am", "13 pm", "0 am", "24:00", "9:5", "9:60", "930", "9:30:15", "14", "ten", "९:३०", "é30"]
        {
            assert!(time_of_day(wrong).is_err(), "{wrong}");
        }
        let why = time_of_day("9").unwrap_err();
        assert!(why.contains("a.m.") && why.contains("p.m."), "{why}");
    }

    #[test]
    fn a_name_is_no_address() {
        for good in [
            "Ana Ruiz",
            "J.R. Holt",
            "St. John",
            "<b>Jo</b>",
            "@x",
            "O’Neil-Marsh",
            "נועה שמש",
            "Dr. A. B. Cole Jr.",
            "Jo R.",
        ] {
            assert_eq!(name(good, 40).unwrap(), good);
        }
        for wrong in
            ["evil.example/login", "www.x.org", "a@x.org", "Click http://x", "evil.example", "Ana evil.example Ruiz"]
        {
            assert!(name(wrong, 40).is_err(), "{wrong}");
        }
        assert_eq!(name("A\u{200d}na", 40).unwrap(), "Ana");
        assert_eq!(optional_name(" ", 40).unwrap(), "");
    }

    #[test]
    fn mail_addresses_by_their_look() {
        assert!(mail("priya@example.org").is_ok());
        for wrong in
            ["priya", "@example.org", "a@b", "a b@example.org", "a@x.org, b@x.org", "a@.org"].into_iter().chain([
                "a@x..org",
                ".a@x.org",
                "a.@x.org",
                "a..b@x.org",
                "a@-x.org",
                "a@x-.org",
                "a@x.org.",
                "a@[192.0.2.1]",
            ])
        {
            assert!(mail(wrong).is_err(), "{wrong}");
        }
    }
}
