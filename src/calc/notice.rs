//! Notice periods: how many days before a date an authority must have heard of it.
//!
//! The date itself is not counted, as everywhere (`calendar`). We assume that no one opens
//! an envelope on a closed day: a deadline that falls on one moves back to the working day
//! before, and what is sent or arrives on one counts from the next working day. That errs
//! on the early side; the authority decides.
//!
//! If the days count from arrival, delivery takes as many calendar days as someone stated
//! ([`Rule::delivery`]).

use crate::calc::calendar::{Basis, Calendar, Day, day_number};
use time::Date;

/// What the days are counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counted {
    /// The day the department sends it.
    Sent,
    /// The day the authority receives it.
    Received,
}

/// A notice rule: this many days before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rule {
    /// Days before the date, which itself isn't counted.
    pub days: u16,
    /// Working or calendar days.
    pub basis: Basis,
    /// What they are counted from.
    pub counted: Counted,
    /// Calendar days from sending to arrival; only matters for [`Counted::Received`].
    pub delivery: u16,
}

/// One time the authority was told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sending {
    /// The dates on it.
    pub names: Vec<Date>,
    /// The day it was sent.
    pub sent_on: Date,
    /// The day it arrived, if known.
    pub received_on: Option<Date>,
}

/// A rule, and what was done about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// The rule.
    pub rule: Rule,
    /// Each time the authority was told.
    pub sendings: Vec<Sending>,
    /// Dates that the authority granted, whenever it was told.
    pub granted: Vec<Date>,
}

/// Whether an authority knows about a date.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Heard {
    /// It granted this date.
    Granted,
    /// It was told in time: the day that counts, sent or received.
    InTime(Date),
    /// It was sent on this day and may still be in time; no one recorded its arrival.
    UnderWay(Date),
    /// It was told, but too late by the rule: the day that counts.
    TooLate(Date),
    /// Nothing that was sent has this date on it.
    Not,
}

impl Rule {
    /// The last day to send it, or for it to arrive, whichever counts.
    ///
    /// ```
    /// use burnday::calc::calendar::{Basis, Calendar};
    /// use burnday::calc::notice::{Counted, Rule};
    /// use time::macros::date;
    ///
    /// let rule = Rule { days: 10, basis: Basis::Working, counted: Counted::Received, delivery: 3 };
    /// let calendar = Calendar::federal();
    /// assert_eq!(rule.deadline(&calendar, date!(2027-10-09)), date!(2027-09-27));
    /// assert_eq!(rule.send_by(&calendar, date!(2027-10-09)), date!(2027-09-24));
    /// ```
    #[must_use]
    pub fn deadline(self, calendar: &Calendar, day: Date) -> Date {
        calendar.date(self.counted_by(calendar, day_number(day)))
    }

    /// The last working day to send it.
    #[must_use]
    pub fn send_by(self, calendar: &Calendar, day: Date) -> Date {
        calendar.date(self.sent_by(calendar, day_number(day)))
    }

    /// The working day when something sent on that day is likely to arrive, by the stated
    /// days of delivery.
    #[must_use]
    pub fn arrives(self, calendar: &Calendar, sent_on: Date) -> Date {
        calendar.date(self.arrival(calendar, day_number(sent_on)))
    }

    /// The first possible date if it is sent on that day.
    ///
    /// ```
    /// use burnday::calc::calendar::{Basis, Calendar};
    /// use burnday::calc::notice::{Counted, Rule};
    /// use time::macros::date;
    ///
    /// let rule = Rule { days: 10, basis: Basis::Calendar, counted: Counted::Sent, delivery: 0 };
    /// assert_eq!(rule.earliest(&Calendar::federal(), date!(2027-09-01)), date!(2027-09-11));
    /// ```
    #[must_use]
    pub fn earliest(self, calendar: &Calendar, sent_on: Date) -> Date {
        calendar.date(self.first_if_sent(calendar, day_number(sent_on)))
    }

    fn counted_by(self, calendar: &Calendar, day: Day) -> Day {
        let days = i32::from(self.days);
        match self.basis {
            Basis::Calendar => calendar.nth_before(day - days, 0),
            Basis::Working => calendar.nth_before(day, days),
        }
    }

    pub(crate) fn sent_by(self, calendar: &Calendar, day: Day) -> Day {
        let by = self.counted_by(calendar, day);
        match self.counted {
            Counted::Sent => by,
            Counted::Received => calendar.nth_before(by - i32::from(self.delivery), 0),
        }
    }

    fn arrival(self, calendar: &Calendar, sent: Day) -> Day {
        calendar.nth_after(calendar.nth_after(sent, 0) + i32::from(self.delivery), 0)
    }

    /// The first date that is far enough after the day that counts.
    fn first_if_counted(self, calendar: &Calendar, counted: Day) -> Day {
        let days = i32::from(self.days);
        match self.basis {
            Basis::Calendar => calendar.nth_after(counted, 0) + days,
            Basis::Working if days == 0 => calendar.nth_after(counted, 0),
            Basis::Working => calendar.nth_after(counted - 1, days) + 1,
        }
    }

    fn first_if_sent(self, calendar: &Calendar, sent: Day) -> Day {
        let counted = match self.counted {
            Counted::Sent => sent,
            Counted::Received => self.arrival(calendar, sent),
        };
        self.first_if_counted(calendar, counted)
    }
}

impl Notice {
    /// What the authority knows about a date.
    #[must_use]
    pub fn heard(&self, calendar: &Calendar, day: Date) -> Heard {
        if self.granted.contains(&day) {
            return Heard::Granted;
        }
        let deadline = self.rule.deadline(calendar, day);
        let named = self.sendings.iter().filter(|sending| sending.names.contains(&day));
        // If it was told twice, the first time counts.
        let all = named.map(|sending| match (self.rule.counted, sending.received_on) {
            (Counted::Sent, _) if sending.sent_on <= deadline => Heard::InTime(sending.sent_on),
            (Counted::Sent, _) => Heard::TooLate(sending.sent_on),
            (Counted::Received, Some(on)) if on <= deadline => Heard::InTime(on),
            (Counted::Received, Some(on)) => Heard::TooLate(on),
            (Counted::Received, None) => Heard::UnderWay(sending.sent_on),
        });
        let rank = |heard: &Heard| match heard {
            Heard::Granted => (0, None),
            Heard::InTime(on) => (1, Some(*on)),
            Heard::UnderWay(on) => (2, Some(*on)),
            Heard::TooLate(on) => (3, Some(*on)),
            Heard::Not => (4, None),
        };
        all.min_by_key(rank).unwrap_or(Heard::Not)
    }

    /// Does the rule still limit this date?
    #[must_use]
    pub fn holds(&self, calendar: &Calendar, day: Date) -> bool {
        !matches!(self.heard(calendar, day), Heard::Granted | Heard::InTime(_))
    }

    /// The dates on what was sent.
    pub fn named(&self) -> impl Iterator<Item = Date> {
        self.sendings.iter().flat_map(|sending| sending.names.iter().copied())
    }

    /// The first date the rule allows, if it limits that date: what wasn't sent goes out on
    /// `sent`, and what is on its way arrives today at the earliest.
    pub(crate) fn first_day(&self, calendar: &Calendar, day: Day, sent: Day, today: Day) -> Option<Day> {
        match self.heard(calendar, calendar.date(day)) {
            Heard::Granted | Heard::InTime(_) => None,
            Heard::UnderWay(on) => {
                let arrival = self.rule.arrival(calendar, day_number(on)).max(today);
                Some(self.rule.first_if_counted(calendar, arrival))
            }
            Heard::TooLate(_) | Heard::Not => Some(self.rule.first_if_sent(calendar, sent)),
        }
    }

    /// The last day to send it, if it must be sent for that date.
    pub(crate) fn due(&self, calendar: &Calendar, day: Day) -> Option<Day> {
        let heard = self.heard(calendar, calendar.date(day));
        matches!(heard, Heard::Not | Heard::TooLate(_)).then(|| self.rule.sent_by(calendar, day))
    }
}

#[cfg(test)]
mod tests;
