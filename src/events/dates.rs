//! The dates of an event: burn day, and the rain date if there is one. Whoever needs them all
//! asks here.

use time::Date;

/// An event's dates, burn day first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Dates {
    pub burn_on: Date,
    pub rain_on: Option<Date>,
}

impl Dates {
    /// Is it one of them?
    #[must_use]
    pub fn contains(self, on: Date) -> bool {
        self.into_iter().any(|date| date == on)
    }

    /// Is it the rain date?
    #[must_use]
    pub fn is_rain_date(self, on: Date) -> bool {
        self.rain_on == Some(on)
    }

    /// The later one: nothing of the event happens on a day after it.
    #[must_use]
    pub fn last(self) -> Date {
        self.rain_on.map_or(self.burn_on, |rain_on| rain_on.max(self.burn_on))
    }
}

impl IntoIterator for Dates {
    type Item = Date;
    type IntoIter = std::iter::Chain<std::iter::Once<Date>, std::option::IntoIter<Date>>;

    fn into_iter(self) -> Self::IntoIter {
        std::iter::once(self.burn_on).chain(self.rain_on)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use time::macros::date;

    const BURN_ON: Date = date!(2027 - 01 - 09);
    const RAIN_ON: Date = date!(2027 - 01 - 16);

    #[test]
    fn burn_day_comes_first_and_the_rain_date_is_the_last() {
        let both = Dates { burn_on: BURN_ON, rain_on: Some(RAIN_ON) };
        assert_eq!(both.into_iter().collect::<Vec<_>>(), [BURN_ON, RAIN_ON]);
        assert!(both.contains(RAIN_ON) && both.is_rain_date(RAIN_ON) && !both.is_rain_date(BURN_ON));
        assert_eq!(both.last(), RAIN_ON);
        let one = Dates { rain_on: None, ..both };
        assert_eq!(one.into_iter().collect::<Vec<_>>(), [BURN_ON]);
        assert!(!one.contains(RAIN_ON) && one.last() == BURN_ON);
    }
}
