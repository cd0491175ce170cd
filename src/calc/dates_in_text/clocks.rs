//! Reads times of day: "10 a.m. to noon", "13:00", "1300 hours".

use super::Named;
use super::named::clock;
use super::reader::{Read, Reader};
use super::tokens::Token;
use time::Time;

impl Reader<'_> {
    pub(super) fn clock(&self, at: usize) -> Read {
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
    pub(super) fn hour(&self, at: usize) -> Option<(u8, u8, usize, bool)> {
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
