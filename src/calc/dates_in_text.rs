//! Finds the dates and times in a text, however people write them: "Saturday, Oct. 9",
//! "October 9th, 2027", "10/9/2027", "2027-10-09", "10 a.m. to noon", "13:00". Texts from
//! before dates were written the American way have "Sat 9 Oct 2027" and "13:00".
//!
//! A date in numbers has the month first, as in the United States. The spellings are
//! common practice, no source.

use time::{Date, Month, Time, Weekday};

/// A date or time, and where it is in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// Where it begins, in bytes.
    pub start: usize,
    /// Where it ends, in bytes: the first that isn't part of it.
    pub end: usize,
    /// What it names.
    pub named: Named,
}

/// A day or a time of day, as the text names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Named {
    /// A day.
    Day {
        /// The year, if the text names it.
        year: Option<i32>,
        /// The month.
        month: Month,
        /// The day of the month, from 1.
        day: u8,
        /// The day of the week, if the text names it.
        weekday: Option<Weekday>,
    },
    /// "10:00" may mean the evening too; "10 a.m." can't.
    Clock {
        /// The time, and of two the earlier one.
        at: Time,
        /// The later one, if it may mean two.
        or: Option<Time>,
    },
}

impl Named {
    /// Is it this day? A weekday beside it doesn't matter.
    #[must_use]
    pub fn is_day(self, on: Date) -> bool {
        match self {
            Self::Day { year, month, day, .. } => {
                (month, day) == (on.month(), on.day()) && year.is_none_or(|year| year == on.year())
            }
            Self::Clock { .. } => false,
        }
    }

    /// Is it this time of day?
    #[must_use]
    pub fn is_time(self, time: Time) -> bool {
        match self {
            Self::Clock { at, or } => at == time || or == Some(time),
            Self::Day { .. } => false,
        }
    }

    /// The weekday beside a date, if it is the wrong one.
    #[must_use]
    pub fn wrong_weekday(self, on: Date) -> Option<Weekday> {
        match self {
            Self::Day { weekday, .. } => weekday.filter(|weekday| *weekday != on.weekday()),
            Self::Clock { .. } => None,
        }
    }
}

#[derive(Debug, Clone, Copy)]
enum Token<'a> {
    Number(&'a str),
    Word(&'a str),
    Sign(char),
}

#[derive(Debug, Clone, Copy)]
struct Placed<'a> {
    token: Token<'a>,
    start: usize,
    end: usize,
    /// There is a space before it.
    is_apart: bool,
}

fn tokens(text: &str) -> Vec<Placed<'_>> {
    let mut all = Vec::new();
    let mut letters = text.char_indices().peekable();
    let mut is_apart = true;
    while let Some((start, letter)) = letters.next() {
        if letter.is_whitespace() {
            is_apart = true;
            continue;
        }
        let same: fn(char) -> bool = if letter.is_ascii_digit() {
            |c| c.is_ascii_digit()
        } else if letter.is_alphabetic() {
            char::is_alphabetic
        } else {
            |_| false
        };
        while letters.next_if(|(_, next)| same(*next)).is_some() {}
        let end = letters.peek().map_or(text.len(), |(place, _)| *place);
        let part = &text[start..end];
        let token = if letter.is_ascii_digit() {
            Token::Number(part)
        } else if letter.is_alphabetic() {
            Token::Word(part)
        } else {
            Token::Sign(letter)
        };
        all.push(Placed { token, start, end, is_apart });
        is_apart = false;
    }
    all
}

/// All dates and times in a text, in order.
#[must_use]
pub fn find(text: &str) -> Vec<Found> {
    let reader = Reader { all: tokens(text) };
    let mut found = Vec::new();
    let mut at = 0;
    while at < reader.all.len() {
        match reader.day(at).or_else(|| reader.clock(at)) {
            Some((named, next)) => {
                let end = reader.all[next - 1].end;
                found.extend(named.into_iter().map(|named| Found { start: reader.all[at].start, end, named }));
                at = next;
            }
            None => at += 1,
        }
    }
    found
}

struct Reader<'a> {
    all: Vec<Placed<'a>>,
}

/// What was found, and the token after it.
type Read = Option<(Vec<Named>, usize)>;

const JOINS: [char; 4] = ['-', '–', '/', '&'];

impl Reader<'_> {
    fn token(&self, at: usize) -> Option<Token<'_>> {
        self.all.get(at).map(|placed| placed.token)
    }

    fn number(&self, at: usize, most_digits: usize) -> Option<u32> {
        match self.token(at)? {
            Token::Number(digits) if digits.len() <= most_digits => digits.parse().ok(),
            _ => None,
        }
    }

    /// A number of this many digits with no space before it.
    fn close(&self, at: usize, digits: std::ops::RangeInclusive<usize>) -> Option<u32> {
        match self.all.get(at)? {
            Placed { token: Token::Number(number), is_apart: false, .. } if digits.contains(&number.len()) => {
                number.parse().ok()
            }
            _ => None,
        }
    }

    fn is_sign(&self, at: usize, sign: char) -> bool {
        matches!(self.token(at), Some(Token::Sign(found)) if found == sign)
    }

    fn is_close_sign(&self, at: usize, sign: char) -> bool {
        self.is_sign(at, sign) && self.all.get(at).is_some_and(|placed| !placed.is_apart)
    }

    fn is_word(&self, at: usize, words: &[&str]) -> bool {
        matches!(self.token(at), Some(Token::Word(found)) if words.iter().any(|word| found.eq_ignore_ascii_case(word)))
    }

    fn month(&self, at: usize) -> Option<Month> {
        match self.token(at)? {
            Token::Word(word) => month(word),
            _ => None,
        }
    }

    fn weekday(&self, at: usize) -> Option<Weekday> {
        match self.token(at)? {
            Token::Word(word) => weekday(word),
            _ => None,
        }
    }

    /// The token after "th" and the like.
    fn past_ordinal(&self, at: usize) -> usize {
        let is_close = self.all.get(at).is_some_and(|placed| !placed.is_apart);
        if is_close && self.is_word(at, &["st", "nd", "rd", "th"]) { at + 1 } else { at }
    }

    fn past_sign(&self, at: usize, sign: char) -> usize {
        if self.is_sign(at, sign) { at + 1 } else { at }
    }

    /// The token after what joins two dates or times: a dash, "to", "and", "or".
    fn past_join(&self, at: usize) -> Option<usize> {
        let joins = JOINS.into_iter().any(|sign| self.is_sign(at, sign)) || self.is_word(at, &["to", "and", "or"]);
        joins.then_some(at + 1)
    }

    /// A day of the month and the token after it. The hour of a time is none.
    fn day_number(&self, at: usize) -> Option<(u8, usize)> {
        let number = self.number(at, 2).filter(|number| (1..=31).contains(number))?;
        let next = self.past_ordinal(at + 1);
        let is_hour = self.is_close_sign(at + 1, ':') || self.half(at + 1).is_some();
        (!is_hour).then_some((u8::try_from(number).ok()?, next))
    }

    fn year(&self, at: usize) -> (Option<i32>, usize) {
        let here = self.past_sign(at, ',');
        match self.token(here) {
            Some(Token::Number(digits)) if digits.len() == 4 && !self.is_hours(here + 1) => {
                let year = digits.parse().ok().filter(|year| (1900..2200).contains(year));
                if year.is_some() { (year, here + 1) } else { (None, at) }
            }
            _ => (None, at),
        }
    }

    fn day(&self, at: usize) -> Read {
        let Some(weekday) = self.weekday(at) else { return self.bare_day(at, None) };
        let mut next = at + 1;
        for sign in ['.', ',', '('] {
            next = self.past_sign(next, sign);
        }
        if self.is_word(next, &["the"]) {
            next += 1;
        }
        self.bare_day(next, Some(weekday))
    }

    fn bare_day(&self, at: usize, weekday: Option<Weekday>) -> Read {
        self.with_dashes(at, weekday)
            .or_else(|| self.day_then_month(at, weekday))
            .or_else(|| self.month_then_day(at, weekday))
            .or_else(|| self.short_numbers(at, weekday))
    }

    /// "2027-10-09", "10/9/2027", "10-9-27", "9.10.2027".
    fn with_dashes(&self, at: usize, weekday: Option<Weekday>) -> Read {
        let Some(Token::Number(first)) = self.token(at) else { return None };
        let sign = match self.token(at + 1)? {
            Token::Sign(sign @ ('-' | '/' | '.')) if self.is_close_sign(at + 1, sign) => sign,
            _ => return None,
        };
        let second = self.close(at + 2, 1..=2)?;
        if !self.is_close_sign(at + 3, sign) {
            return None;
        }
        let one = first.parse::<u32>().ok()?;
        let (year, month, day) = if first.len() == 4 {
            (one, second, self.close(at + 4, 1..=2)?)
        } else {
            let year = self.close(at + 4, 2..=2).map(|year| 2000 + year).or_else(|| self.close(at + 4, 4..=4))?;
            if sign == '.' || one > 12 { (year, second, one) } else { (year, one, second) }
        };
        let named = named(Some(i32::try_from(year).ok()?), month, day, weekday)?;
        Some((vec![named], at + 5))
    }

    /// "9 Oct", "9th of October 2027", "9–16 October", "9 or 16 October".
    fn day_then_month(&self, at: usize, weekday: Option<Weekday>) -> Read {
        if self.follows_letters(at) {
            return None;
        }
        let (first, mut next) = self.day_number(at)?;
        let mut days = vec![first];
        if self.month_at(next).is_none() {
            let (second, after) = self.day_number(self.past_join(next)?)?;
            days.push(second);
            next = after;
        }
        let (month, next) = self.month_at(next)?;
        let (year, next) = self.year(self.past_sign(next, '.'));
        let all = days.into_iter().map(|day| named(year, u32::from(u8::from(month)), u32::from(day), weekday));
        Some((all.collect::<Option<Vec<_>>>()?, next))
    }

    fn month_at(&self, at: usize) -> Option<(Month, usize)> {
        let at = if self.is_word(at, &["of"]) { at + 1 } else { at };
        Some((self.month(at)?, at + 1))
    }

    /// "October 9", "Oct. 9th, 2027", "Oct 9–16", "October 9 or 16".
    fn month_then_day(&self, at: usize, weekday: Option<Weekday>) -> Read {
        let month = self.month(at)?;
        let mut next = self.past_sign(at + 1, '.');
        if self.is_word(next, &["the"]) {
            next += 1;
        }
        let (first, mut next) = self.day_number(next)?;
        let mut days = vec![first];
        if let Some((second, after)) = self.past_join(next).and_then(|join| self.day_number(join))
            && self.month_at(after).is_none()
        {
            days.push(second);
            next = after;
        }
        let (year, next) = self.year(next);
        let all = days.into_iter().map(|day| named(year, u32::from(u8::from(month)), u32::from(day), weekday));
        Some((all.collect::<Option<Vec<_>>>()?, next))
    }

    /// "10/9", unless it is a fraction, as in "24 1/2 in".
    fn short_numbers(&self, at: usize, weekday: Option<Weekday>) -> Read {
        if self.follows_letters(at) || !self.is_close_sign(at + 1, '/') {
            return None;
        }
        let (month, day) = (self.number(at, 2)?, self.close(at + 2, 1..=2)?);
        let before = at.checked_sub(1).and_then(|before| self.token(before));
        let is_fraction = matches!(before, Some(Token::Number(_)))
            || (weekday.is_none() && [2, 3, 4, 8, 16].contains(&day) && month < day && !self.is_announced(at));
        let goes_on = self.is_close_sign(at + 3, '/') || self.is_word(at + 3, &["in", "inch", "inches", "ft", "of"]);
        if is_fraction || goes_on {
            return None;
        }
        Some((vec![named(None, month, day, weekday)?], at + 3))
    }

    fn is_announced(&self, at: usize) -> bool {
        let Some(before) = at.checked_sub(1) else { return false };
        self.is_sign(before, ':') || self.is_word(before, &["on", "date", "until", "by"])
    }

    /// Is the number part of a word, as in "A4"?
    fn follows_letters(&self, at: usize) -> bool {
        let is_close = self.all.get(at).is_some_and(|placed| !placed.is_apart);
        is_close && at.checked_sub(1).is_some_and(|before| matches!(self.token(before), Some(Token::Word(_))))
    }

    /// "a.m." or "p.m.": true for p.m., and the token after it.
    fn half(&self, at: usize) -> Option<(bool, usize)> {
        for (whole, letter, is_late) in [("am", "a", false), ("pm", "p", true)] {
            if self.is_word(at, &[whole]) {
                return Some((is_late, at + 1));
            }
            if self.is_word(at, &[letter]) && self.is_sign(at + 1, '.') && self.is_word(at + 2, &["m"]) {
                return Some((is_late, self.past_sign(at + 3, '.')));
            }
        }
        None
    }

    fn is_hours(&self, at: usize) -> bool {
        self.is_word(at, &["hours", "hrs", "h"])
    }

    fn clock(&self, at: usize) -> Read {
        if self.is_word(at, &["noon"]) {
            return Some((vec![clock(12, 0, Some(true))?], at + 1));
        }
        if self.is_word(at, &["midnight"]) {
            return Some((vec![clock(12, 0, Some(false))?], at + 1));
        }
        if self.follows_letters(at) {
            return None;
        }
        if let Some(Token::Number(digits)) = self.token(at)
            && digits.len() == 4
            && self.is_hours(at + 1)
        {
            let (hour, minute) = (digits[..2].parse().ok()?, digits[2..].parse().ok()?);
            let at_time = Time::from_hms(hour, minute, 0).ok()?;
            return Some((vec![Named::Clock { at: at_time, or: None }], at + 2));
        }
        let (hour, minute, next, is_plain) = self.hour(at)?;
        if let Some((is_late, next)) = self.half(next) {
            return Some((vec![clock(hour, minute, Some(is_late))?], next));
        }
        // "10 to noon": noon itself is found next.
        if let Some(join) = self.past_join(next)
            && self.is_word(join, &["noon", "midnight"])
        {
            return Some((vec![clock(hour, minute, Some(self.is_word(join, &["midnight"])))?], next));
        }
        // "10–11 a.m.": the first may be in the morning or the evening.
        if let Some((second_hour, second_minute, after, _)) = self.past_join(next).and_then(|join| self.hour(join))
            && let Some((is_late, after)) = self.half(after)
        {
            let both = [clock(hour, minute, None)?, clock(second_hour, second_minute, Some(is_late))?];
            return Some((both.to_vec(), after));
        }
        if self.is_word(next, &["o"]) && self.is_word(next + 2, &["clock"]) {
            return Some((vec![clock(hour, minute, None)?], next + 3));
        }
        (!is_plain).then_some((vec![clock(hour, minute, None)?], next))
    }

    /// "10", "10:00", "10.30" before "a.m."; the last value is true if the number may not
    /// be a time at all.
    fn hour(&self, at: usize) -> Option<(u8, u8, usize, bool)> {
        let hour = u8::try_from(self.number(at, 2)?).ok()?;
        for (sign, is_plain) in [(':', false), ('.', true)] {
            if self.is_close_sign(at + 1, sign)
                && let Some(minute) = self.close(at + 2, 2..=2)
            {
                return Some((hour, u8::try_from(minute).ok()?, at + 3, is_plain));
            }
        }
        Some((hour, 0, at + 1, true))
    }
}

fn named(year: Option<i32>, month: u32, day: u32, weekday: Option<Weekday>) -> Option<Named> {
    let (month, day) = (Month::try_from(u8::try_from(month).ok()?).ok()?, u8::try_from(day).ok()?);
    // Without a year, Feb. 29 may be meant.
    Date::from_calendar_date(year.unwrap_or(2028), month, day).ok()?;
    Some(Named::Day { year, month, day, weekday })
}

/// A time. Up to twelve it may be either half of the day without "a.m." or "p.m.".
fn clock(hour: u8, minute: u8, is_late: Option<bool>) -> Option<Named> {
    let at = |hour: u8| Time::from_hms(hour, minute, 0).ok();
    Some(match is_late {
        Some(is_late) if (1..=12).contains(&hour) => {
            Named::Clock { at: at(hour % 12 + if is_late { 12 } else { 0 })?, or: None }
        }
        _ => Named::Clock { at: at(hour)?, or: if hour <= 12 { at((hour + 12) % 24) } else { None } },
    })
}

fn month(word: &str) -> Option<Month> {
    let folded = word.to_lowercase();
    // "may" and "march" are verbs too.
    if ["may", "march", "mar"].contains(&folded.as_str()) && !word.starts_with(char::is_uppercase) {
        return None;
    }
    if folded == "sept" {
        return Some(Month::September);
    }
    (1..=12).filter_map(|number| Month::try_from(number).ok()).find(|month| {
        let name = month.to_string().to_lowercase();
        folded == name || folded == name[..3]
    })
}

fn weekday(word: &str) -> Option<Weekday> {
    const SHORT: [&[&str]; 7] =
        [&["mon"], &["tue", "tues"], &["wed", "weds"], &["thu", "thur", "thurs"], &["fri"], &["sat"], &["sun"]];
    let folded = word.to_lowercase();
    let mut day = Weekday::Monday;
    for short in SHORT {
        if folded == day.to_string().to_lowercase() || short.contains(&folded.as_str()) {
            return Some(day);
        }
        day = day.next();
    }
    None
}

#[cfg(test)]
mod tests;
