//! The weekdays on which a burn can be.

use crate::error::{Error, Result};
use std::fmt;
use time::Weekday;

/// The weekdays that may be suggested for burn day; there is always at least one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Weekdays(u8);

/// All weekdays, Monday first.
pub const WEEK: [Weekday; 7] = [
    Weekday::Monday,
    Weekday::Tuesday,
    Weekday::Wednesday,
    Weekday::Thursday,
    Weekday::Friday,
    Weekday::Saturday,
    Weekday::Sunday,
];

impl Weekdays {
    /// These weekdays, unless there are none.
    #[must_use]
    pub fn new(days: impl IntoIterator<Item = Weekday>) -> Option<Self> {
        let bits = days.into_iter().fold(0, |bits, day| bits | 1 << day.number_days_from_monday());
        (bits != 0).then_some(Self(bits))
    }

    pub(super) fn from_bits(bits: i64) -> Result<Self> {
        let bits = u8::try_from(bits).ok().filter(|bits| (1..128).contains(bits));
        bits.map(Self).ok_or_else(|| Error::Internal(anyhow::anyhow!("unknown weekdays in the store")))
    }

    pub(super) fn bits(self) -> i64 {
        i64::from(self.0)
    }

    #[must_use]
    pub fn days(self) -> Vec<Weekday> {
        WEEK.into_iter().filter(|day| self.contains(*day)).collect()
    }

    #[must_use]
    pub fn contains(self, day: Weekday) -> bool {
        self.0 & 1 << day.number_days_from_monday() != 0
    }
}

impl fmt::Display for Weekdays {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names: Vec<String> = self.days().iter().map(ToString::to_string).collect();
        f.write_str(&names.join(", "))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn weekdays_read_back() {
        let days = Weekdays::new([Weekday::Sunday, Weekday::Saturday]).unwrap();
        assert_eq!(days.days(), [Weekday::Saturday, Weekday::Sunday]);
        assert_eq!(Weekdays::from_bits(days.bits()).unwrap(), days);
        assert_eq!(days.to_string(), "Saturday, Sunday");
        assert_eq!(Weekdays::new([]), None);
        assert!(Weekdays::from_bits(0).is_err());
        assert!(Weekdays::from_bits(128).is_err());
    }
}
