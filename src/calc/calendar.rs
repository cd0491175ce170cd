//! Working days: Monday to Friday, except public holidays and the department's own closed
//! days.
//!
//! The day you count from is never counted. "10 working days before" a day is the tenth
//! working day strictly before it. A day that must be a working day and isn't one moves back to
//! the nearest one before.
//!
//! Holidays are the legal public holidays of 5 U.S.C. 6103(a). A holiday on a Saturday is
//! observed on the Friday before (5 U.S.C. 6103(b)), one on a Sunday on the Monday after
//! (Executive Order 11582).

use time::{Date, Duration, Month, Weekday};

/// First year of the table of holidays.
pub const FIRST_YEAR: i32 = 1990;
/// Last year of the table of holidays. Outside the table only weekends are closed, so that
/// long counts still end on a date.
pub const LAST_YEAR: i32 = 2100;

/// How days are counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// Every day counts.
    Calendar,
    /// Only working days count.
    Working,
}

/// A public holiday in one year.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Holiday {
    /// Its name in the statute.
    pub name: &'static str,
    /// The day in the statute.
    pub on: Date,
    /// The weekday on which offices close for it.
    pub observed_on: Date,
}

enum Rule {
    Fixed(Month, u8),
    Nth(Month, Weekday, u8),
    Last(Month, Weekday),
}

/// Name, first year of the holiday in its current form, and rule.
const RULES: [(&str, i32, Rule); 11] = [
    ("New Year's Day", 1870, Rule::Fixed(Month::January, 1)),
    ("Birthday of Martin Luther King, Jr.", 1986, Rule::Nth(Month::January, Weekday::Monday, 3)),
    ("Washington's Birthday", 1971, Rule::Nth(Month::February, Weekday::Monday, 3)),
    ("Memorial Day", 1971, Rule::Last(Month::May, Weekday::Monday)),
    ("Juneteenth National Independence Day", 2021, Rule::Fixed(Month::June, 19)),
    ("Independence Day", 1870, Rule::Fixed(Month::July, 4)),
    ("Labor Day", 1894, Rule::Nth(Month::September, Weekday::Monday, 1)),
    ("Columbus Day", 1971, Rule::Nth(Month::October, Weekday::Monday, 2)),
    ("Veterans Day", 1978, Rule::Fixed(Month::November, 11)),
    ("Thanksgiving Day", 1942, Rule::Nth(Month::November, Weekday::Thursday, 4)),
    ("Christmas Day", 1870, Rule::Fixed(Month::December, 25)),
];

/// The federal holidays of a year, in order of date.
///
/// The observed day can be in the year before: New Year's Day 2028 is a Saturday and is
/// observed on Friday, December 31, 2027.
///
/// ```
/// use burnday::calc::calendar::federal_holidays;
/// use time::macros::date;
///
/// let first = &federal_holidays(2028)[0];
/// assert_eq!(first.on, date!(2028-01-01));
/// assert_eq!(first.observed_on, date!(2027-12-31));
/// ```
///
/// # Panics
/// When `year` is outside -9999 to 9999, the range of [`Date`].
#[must_use]
pub fn federal_holidays(year: i32) -> Vec<Holiday> {
    RULES
        .iter()
        .filter(|(_, since, _)| year >= *since)
        .map(|(name, _, rule)| {
            let on = rule.in_year(year);
            let observed_on = match on.weekday() {
                Weekday::Saturday => on - Duration::DAY,
                Weekday::Sunday => on + Duration::DAY,
                _ => on,
            };
            Holiday { name, on, observed_on }
        })
        .collect()
}

impl Rule {
    fn in_year(&self, year: i32) -> Date {
        let day = |month, day| Date::from_calendar_date(year, month, day).expect("a day every year has");
        match *self {
            Rule::Fixed(month, d) => day(month, d),
            Rule::Nth(month, weekday, n) => {
                let first = day(month, 1);
                let ahead = (7 + weekday.number_days_from_monday() - first.weekday().number_days_from_monday()) % 7;
                first + Duration::days(i64::from(ahead + 7 * (n - 1)))
            }
            Rule::Last(month, weekday) => {
                let last = day(month, month.length(year));
                let behind = (7 + last.weekday().number_days_from_monday() - weekday.number_days_from_monday()) % 7;
                last - Duration::days(i64::from(behind))
            }
        }
    }
}

/// A day as a number, so that the passes over a plan work with integers. It is the Julian day
/// number. Day 0 is a Monday.
pub(crate) type Day = i32;

pub(crate) fn day_number(date: Date) -> Day {
    date.to_julian_day()
}

/// The date of a day number. One outside the range of [`Date`] becomes the first or last date.
pub(crate) fn date_of(day: Day) -> Date {
    Date::from_julian_day(day.clamp(Date::MIN.to_julian_day(), Date::MAX.to_julian_day()))
        .expect("clamped into the range of dates")
}

/// Which days are working days. Every question is answered from a table in constant time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Calendar {
    first: Day,
    /// For each day from `first` on, the number of closed weekdays before it.
    closed_before: Vec<i32>,
    /// The working days of the table, in order.
    working: Vec<Day>,
    /// The days of the table as dates. A lookup is several times cheaper than computing one, and
    /// a plan needs four for each task.
    dates: Vec<Date>,
}

impl Calendar {
    /// The federal calendar plus the department's closed days. Closed days that are on weekends
    /// or holidays, repeated, or outside the table change nothing.
    #[must_use]
    pub fn new(closed: impl IntoIterator<Item = Date>) -> Self {
        let first = day_number(Date::from_calendar_date(FIRST_YEAR, Month::January, 1).expect("a date"));
        let end = day_number(Date::from_calendar_date(LAST_YEAR + 1, Month::January, 1).expect("a date"));
        let size = usize::try_from(end - first).expect("the table is not empty");
        let mut is_closed = vec![false; size];
        let holidays = (FIRST_YEAR..=LAST_YEAR + 1).flat_map(federal_holidays).map(|h| h.observed_on);
        for date in holidays.chain(closed) {
            let place = usize::try_from(day_number(date) - first).ok();
            if let Some(mark) = place.and_then(|i| is_closed.get_mut(i)) {
                *mark = true;
            }
        }

        let mut closed_before = Vec::with_capacity(size + 1);
        let mut working = Vec::with_capacity(size);
        let mut closed = 0;
        for (day, is_closed) in (first..end).zip(is_closed) {
            closed_before.push(closed);
            if is_weekday(day) {
                if is_closed {
                    closed += 1;
                } else {
                    working.push(day);
                }
            }
        }
        closed_before.push(closed);
        let dates = (first..end).map(date_of).collect();
        Self { first, closed_before, working, dates }
    }

    /// The calendar with only the federal holidays.
    #[must_use]
    pub fn federal() -> Self {
        Self::new([])
    }

    /// Is this a working day?
    #[must_use]
    pub fn is_working(&self, date: Date) -> bool {
        self.works(day_number(date))
    }

    /// The `n`th working day strictly before a day. For `n` 0, the day itself or, if it is
    /// closed, the nearest working day before.
    ///
    /// ```
    /// use burnday::calc::calendar::Calendar;
    /// use time::macros::date;
    ///
    /// let calendar = Calendar::federal();
    /// assert_eq!(calendar.before(date!(2027-10-09), 10), date!(2027-09-27));
    /// // Columbus Day is closed, so a burn a week later moves this by only four days.
    /// assert_eq!(calendar.before(date!(2027-10-16), 10), date!(2027-10-01));
    /// ```
    #[must_use]
    pub fn before(&self, date: Date, n: u32) -> Date {
        self.date(self.nth_before(day_number(date), signed(n)))
    }

    /// The `n`th working day strictly after a day. For `n` 0, the day itself or, if it is closed,
    /// the nearest working day after.
    #[must_use]
    pub fn after(&self, date: Date, n: u32) -> Date {
        self.date(self.nth_after(day_number(date), signed(n)))
    }

    /// The number of working days from `from` (counted) to `until` (not counted). If `until` is
    /// earlier, it is minus the number from `until` to `from`.
    #[must_use]
    pub fn count(&self, from: Date, until: Date) -> i32 {
        self.rank(day_number(until)) - self.rank(day_number(from))
    }

    pub(crate) fn works(&self, day: Day) -> bool {
        self.rank(day + 1) > self.rank(day)
    }

    pub(crate) fn nth_before(&self, day: Day, n: i32) -> Day {
        if n == 0 { self.at_rank(self.rank(day + 1) - 1) } else { self.at_rank(self.rank(day) - n) }
    }

    pub(crate) fn nth_after(&self, day: Day, n: i32) -> Day {
        if n == 0 { self.at_rank(self.rank(day)) } else { self.at_rank(self.rank(day + 1) + n - 1) }
    }

    /// The date of a day number.
    pub(crate) fn date(&self, day: Day) -> Date {
        let place = usize::try_from(day - self.first).ok();
        place.and_then(|place| self.dates.get(place).copied()).unwrap_or_else(|| date_of(day))
    }

    /// The number of working days before a day, counted from day 0.
    pub(crate) fn rank(&self, day: Day) -> i32 {
        let place = usize::try_from(day - self.first).unwrap_or(0).min(self.closed_before.len() - 1);
        weekdays_before(day) - self.closed_before[place]
    }

    /// The working day with this many working days before it.
    fn at_rank(&self, rank: i32) -> Day {
        let first_rank = weekdays_before(self.first);
        match usize::try_from(rank - first_rank) {
            Err(_) => weekday_at(rank),
            Ok(place) => match self.working.get(place) {
                Some(day) => *day,
                None => weekday_at(rank + self.closed_before[self.closed_before.len() - 1]),
            },
        }
    }
}

fn signed(n: u32) -> i32 {
    i32::try_from(n).unwrap_or(i32::MAX / 8)
}

fn is_weekday(day: Day) -> bool {
    day.rem_euclid(7) < 5
}

fn weekdays_before(day: Day) -> i32 {
    5 * day.div_euclid(7) + day.rem_euclid(7).min(5)
}

/// The weekday with this many weekdays before it.
fn weekday_at(rank: i32) -> Day {
    7 * rank.div_euclid(5) + rank.rem_euclid(5)
}

#[cfg(test)]
mod tests;
