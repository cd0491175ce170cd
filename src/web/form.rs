//! Forms: reading what was sent, and saying beside each field what is wrong
//! with it.

use crate::error::Error;
use axum::body::{Body, Bytes};
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;
use std::str::FromStr;
use time::macros::format_description;
use time::{Date, Time};
use unicode_normalization::UnicodeNormalization;

/// The fields of a form. A body that is none is answered with a page.
#[derive(Debug)]
pub struct Form<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Form<T> {
    type Rejection = Response;

    #[expect(clippy::disallowed_types, reason = "this is what stands before it")]
    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        match axum_extra::extract::Form::<T>::from_request(request, state).await {
            Ok(axum_extra::extract::Form(form)) => Ok(Self(form)),
            Err(rejection) => {
                let answer = rejection.into_response();
                if answer.status() == StatusCode::PAYLOAD_TOO_LARGE {
                    return Err(answer);
                }
                let reason = "The form came in pieces that don't fit together. Nothing was changed. Go back, reload \
                              the page and send it again.";
                Err(Error::BadRequest(reason.to_owned()).into_response())
            }
        }
    }
}

/// The fields of one form, as two sets: those of the thing itself, and those of
/// what helps to fill it in.
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

/// What is wrong with a form, by field.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Mistakes(BTreeMap<&'static str, String>);

impl Mistakes {
    /// Notes what is wrong with a field; the first mistake stays.
    pub fn add(&mut self, field: &'static str, what: impl Into<String>) {
        self.0.entry(field).or_insert_with(|| what.into());
    }

    /// Keeps the value, or notes the mistake.
    pub fn note<T>(&mut self, field: &'static str, read: Result<T, String>) -> Option<T> {
        read.map_err(|what| self.add(field, what)).ok()
    }

    /// These and the others; the first about a field stays.
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
    if text.is_empty() { Err("This can't be empty.".to_owned()) } else { Ok(text) }
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
        return Err(format!("This is {length} characters long; at most {most} fit."));
    }
    if text.contains(|c: char| c.is_control() && c != '\n') {
        return Err("This holds a character that can't be shown. Type it anew instead of pasting it.".to_owned());
    }
    Ok(text)
}

/// Marks without a look of their own that could make a text read as another:
/// directions, and what has no width but joins no letters.
fn is_unseen(c: char) -> bool {
    matches!(c, '\u{ad}' | '\u{61c}' | '\u{200b}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{2064}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
}

/// Somebody's name. Mail programs make a link of what looks like an address, so a
/// name can't look like one.
///
/// # Errors
/// What to tell the person who typed it.
pub fn name(text: &str, most: usize) -> Result<String, String> {
    let joiners = ['\u{200c}', '\u{200d}'];
    let name = line(&text.replace(joiners, ""), most)?;
    if is_like_an_address(&name) {
        return Err("A name holds no web or email address. Put a space after a dot.".to_owned());
    }
    Ok(name)
}

/// The same of a name that may be left out.
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
    let wrong = || format!("Give a whole number from {least} to {most}.");
    let number: N = text.trim().parse().map_err(|_| wrong())?;
    if number < least || number > most { Err(wrong()) } else { Ok(number) }
}

/// Days are planned in these years only; the calendar knows a few more.
pub const YEARS: std::ops::RangeInclusive<i32> = 1995..=2095;

/// A day as browsers send it.
///
/// # Errors
/// What to tell the person who typed it.
pub fn day(text: &str) -> Result<Date, String> {
    let read = Date::parse(text.trim(), format_description!("[year]-[month]-[day]"));
    let day = read.map_err(|_| "Give a day as year-month-day, as in 2027-10-09.".to_owned())?;
    if YEARS.contains(&day.year()) {
        Ok(day)
    } else {
        Err(format!("Give a day in the years {} to {}.", YEARS.start(), YEARS.end()))
    }
}

/// A time of day as browsers send it.
///
/// # Errors
/// What to tell the person who typed it.
pub fn time_of_day(text: &str) -> Result<Time, String> {
    let text = text.trim();
    let with_seconds = text.get(5..).is_some_and(|rest| rest == ":00");
    let text = if with_seconds { &text[..5] } else { text };
    Time::parse(text, format_description!("[hour]:[minute]"))
        .map_err(|_| "Give a time as hours:minutes, from 00:00 to 23:59, as in 10:00.".to_owned())
}

/// A mail address, by the look of it.
///
/// # Errors
/// What to tell the person who typed it.
pub fn mail(text: &str) -> Result<String, String> {
    let text = line(text, 254)?;
    // RFC 5321 sections 4.1.2 and 4.5.3.1, without quoted names and numbers for
    // hosts, which no relay is asked to take.
    let is_label = |label: &str| {
        (1..=63).contains(&label.len())
            && !label.starts_with('-')
            && !label.ends_with('-')
            && label.chars().all(|c| c.is_alphanumeric() || c == '-')
    };
    let is_atom =
        |atom: &str| !atom.is_empty() && atom.chars().all(|c| c.is_alphanumeric() || "!#$%&'*+-/=?^_`{|}~".contains(c));
    let fits = text.split_once('@').is_some_and(|(local, host)| {
        local.len() <= 64
            && local.split('.').all(is_atom)
            && host.contains('.')
            && host.split('.').all(is_label)
            && text.parse::<lettre::Address>().is_ok()
    });
    if fits { Ok(text) } else { Err("Give a mail address, as in name@example.org.".to_owned()) }
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
