//! Notice periods: how many days before a day an authority must have heard
//! of it.
//!
//! The day itself is not counted, as everywhere (`calendar`). Nobody is taken
//! to open an envelope on a closed day: a deadline that falls on one rolls back
//! to the working day before, and what is sent or arrives on one counts from
//! the working day after. That errs to the early side; the authority decides.
//!
//! Where the days count from arrival, the way there takes as many calendar days
//! as somebody stated ([`Rule::delivery`]).

use crate::calc::calendar::{Basis, Calendar, Day, day_number};
use time::Date;

/// What the days are counted from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counted {
    /// The day the department sends it.
    Sent,
    /// The day the authority has it.
    Received,
}

/// A rule of notice: so many days before.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rule {
    /// Days before the day, which itself isn't counted.
    pub days: u16,
    /// What those days are.
    pub basis: Basis,
    /// What they are counted from.
    pub counted: Counted,
    /// Calendar days from sending to arrival; counts for
    /// [`Counted::Received`] alone.
    pub delivery: u16,
}

/// One time the authority was told.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sending {
    /// The days that stood on it.
    pub names: Vec<Date>,
    /// The day it left.
    pub sent_on: Date,
    /// The day it arrived, if that is known.
    pub received_on: Option<Date>,
}

/// A rule, and what was done about it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// The rule.
    pub rule: Rule,
    /// All times the authority was told.
    pub sendings: Vec<Sending>,
    /// Days for which the authority said yes, whenever it was told.
    pub granted: Vec<Date>,
}

/// Whether an authority has heard of a day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Heard {
    /// It said yes to this day.
    Granted,
    /// It was told in time: the day it was sent or arrived, whichever counts.
    InTime(Date),
    /// It left on that day and can still be in time; nobody noted its arrival.
    UnderWay(Date),
    /// It was told, but too late by the rule: the day that counts.
    TooLate(Date),
    /// Nothing that was sent names this day.
    Not,
}

impl Rule {
    /// The last day on which it must be sent, or have arrived, whichever
    /// counts.
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

    /// When something sent on that day is likely to arrive, by the stated days
    /// of delivery: a working day.
    #[must_use]
    pub fn arrives(self, calendar: &Calendar, sent_on: Date) -> Date {
        calendar.date(self.arrival(calendar, day_number(sent_on)))
    }

    /// The first day that something sent on that day leaves possible.
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

    /// The first day that is far enough after one that counts.
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
    /// What the authority has heard of a day.
    #[must_use]
    pub fn heard(&self, calendar: &Calendar, day: Date) -> Heard {
        if self.granted.contains(&day) {
            return Heard::Granted;
        }
        let deadline = self.rule.deadline(calendar, day);
        let named = self.sendings.iter().filter(|sending| sending.names.contains(&day));
        // Told twice, the first time counts.
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

    /// Does the rule still stand between today and this day?
    #[must_use]
    pub fn holds(&self, calendar: &Calendar, day: Date) -> bool {
        !matches!(self.heard(calendar, day), Heard::Granted | Heard::InTime(_))
    }

    /// The days that stand on what was sent.
    pub fn named(&self) -> impl Iterator<Item = Date> {
        self.sendings.iter().flat_map(|sending| sending.names.iter().copied())
    }

    /// The first day the rule leaves possible, if it holds that day: what
    /// wasn't sent goes out on `sent`, what is under way arrives today at the
    /// soonest.
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

    /// The last day to send it, if it must be sent for that day.
    pub(crate) fn due(&self, calendar: &Calendar, day: Day) -> Option<Day> {
        let heard = self.heard(calendar, calendar.date(day));
        matches!(heard, Heard::Not | Heard::TooLate(_)).then(|| self.rule.sent_by(calendar, day))
    }
}

#[cfg(test)]
mod tests;
