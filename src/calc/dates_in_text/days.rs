//! Reads dates: "October 9th, 2027", "9 or 16 October", "10/9".

use super::named::named;
use super::reader::{Read, Reader};
use super::tokens::Token;
use time::{Month, Weekday};

impl Reader<'_> {
    /// A day of the month and the token after it. The hour of a time is none.
    pub(super) fn day_number(&self, at: usize) -> Option<(u8, usize)> {
        let number = self.number(at, 2).filter(|number| (1..=31).contains(number))?;
        let next = self.past_ordinal(at + 1);
        let is_hour = self.is_close_sign(at + 1, ':') || self.half(at + 1).is_some();
        (!is_hour).then_some((u8::try_from(number).ok()?, next))
    }

    pub(super) fn year(&self, at: usize) -> (Option<i32>, usize) {
        let here = self.past_sign(at, ',');
        match self.token(here) {
            Some(Token::Number(digits)) if digits.len() == 4 && !self.is_hours(here + 1) => {
                let year = digits.parse().ok().filter(|year| (1900..2200).contains(year));
                if year.is_some() { (year, here + 1) } else { (None, at) }
            }
            _ => (None, at),
        }
    }

    pub(super) fn day(&self, at: usize) -> Read {
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

    pub(super) fn bare_day(&self, at: usize, weekday: Option<Weekday>) -> Read {
        self.with_dashes(at, weekday)
            .or_else(|| self.day_then_month(at, weekday))
            .or_else(|| self.month_then_day(at, weekday))
            .or_else(|| self.short_numbers(at, weekday))
    }

    /// "2027-10-09", "10/9/2027", "10-9-27", "9.10.2027".
    pub(super) fn with_dashes(&self, at: usize, weekday: Option<Weekday>) -> Read {
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
    pub(super) fn day_then_month(&self, at: usize, weekday: Option<Weekday>) -> Read {
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

    pub(super) fn month_at(&self, at: usize) -> Option<(Month, usize)> {
        let at = if self.is_word(at, &["of"]) { at + 1 } else { at };
        Some((self.month(at)?, at + 1))
    }

    /// "October 9", "Oct. 9th, 2027", "Oct 9–16", "October 9 or 16".
    pub(super) fn month_then_day(&self, at: usize, weekday: Option<Weekday>) -> Read {
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
    pub(super) fn short_numbers(&self, at: usize, weekday: Option<Weekday>) -> Read {
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

    pub(super) fn is_announced(&self, at: usize) -> bool {
        let Some(before) = at.checked_sub(1) else { return false };
        self.is_sign(before, ':') || self.is_word(before, &["on", "date", "until", "by"])
    }
}
