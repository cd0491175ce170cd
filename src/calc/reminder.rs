//! Reminders: when each is due, when nobody is written to, how several to one
//! person become one mail, and what is left to say after the program was down.
//!
//! Everything here is in wall-clock time at the place of the event, in which
//! people mean such times; the zone makes instants of the results. So "the day
//! before at 09:00" stays 09:00 when the clocks change between.

use crate::calc::calendar::{Basis, Calendar, date_of, day_number};
use std::collections::HashSet;
use time::macros::time;
use time::{Date, Duration, PrimitiveDateTime, Time};

mod rhythm;

pub use rhythm::Whom;

/// Two mails of reminders to one person are at least so many days apart.
/// Common practice, no published source; so is [`LAST_WEEK`].
pub const STRETCH: i64 = 5;
/// So many days before burn day, and on it, a mail may go every day.
pub const LAST_WEEK: i64 = 7;

/// What a reminder is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// The question itself.
    Ask,
    /// The question again, since no answer came.
    Chase,
    /// What was agreed: the day, the place, what to bring.
    Remind,
    /// Shortly before.
    LastWord,
}

/// The day from which a rule counts back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CountedFrom {
    BurnDay,
    /// The last day for an answer.
    ClosingDay,
}

/// How the word gets there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum By {
    Mail,
    /// A call that somebody of the department has to make; no mail goes out.
    Phone,
}

/// When a reminder is due: so many days before a day, at a time of day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rule {
    pub kind: Kind,
    pub by: By,
    pub from: CountedFrom,
    /// Days before; 0 is the day itself, or with [`Basis::Working`] the nearest
    /// working day that isn't after it.
    pub days: u16,
    pub basis: Basis,
    pub at: Time,
}

/// The days of an event that rules count from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Days {
    pub burn_on: Date,
    /// None while no answer is waited for.
    pub closes_on: Option<Date>,
}

impl Rule {
    /// When it is due. None if it counts from a closing day and there is none.
    ///
    /// An earlier day to count from never makes it later.
    ///
    /// ```
    /// use burnday::calc::calendar::Calendar;
    /// use burnday::calc::reminder::{Days, Whom};
    /// use time::macros::{date, datetime};
    ///
    /// // A reminder on the working day before: burn day is a Saturday, New
    /// // Year's Day closed, so that is Thursday.
    /// let rule = Whom::Media.rules()[2];
    /// let days = Days { burn_on: date!(2027-01-02), closes_on: None };
    /// assert_eq!(rule.due(days, &Calendar::federal()), Some(datetime!(2026-12-31 09:00)));
    /// ```
    #[must_use]
    pub fn due(&self, days: Days, calendar: &Calendar) -> Option<PrimitiveDateTime> {
        let from = match self.from {
            CountedFrom::BurnDay => days.burn_on,
            CountedFrom::ClosingDay => days.closes_on?,
        };
        let on = match self.basis {
            Basis::Calendar => date_of(day_number(from) - i32::from(self.days)),
            Basis::Working => calendar.before(from, u32::from(self.days)),
        };
        Some(PrimitiveDateTime::new(on, self.at))
    }
}

/// The hours in which nobody is written to, from the first time (quiet) until
/// the second (not quiet any more), over midnight if the second is the smaller.
/// Equal times are no hours at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Quiet {
    pub from: Time,
    pub until: Time,
}

impl Default for Quiet {
    fn default() -> Self {
        Self { from: time!(21:00), until: time!(8:00) }
    }
}

impl Quiet {
    /// When the quiet hours end that a time lies in; None if it lies in none.
    #[must_use]
    pub fn end(self, at: PrimitiveDateTime) -> Option<PrimitiveDateTime> {
        let (on, time) = (at.date(), at.time());
        let over_midnight = self.from > self.until;
        if over_midnight && time >= self.from {
            Some(PrimitiveDateTime::new(later(on, 1), self.until))
        } else if time < self.until && (over_midnight || time >= self.from) {
            Some(PrimitiveDateTime::new(on, self.until))
        } else {
            None
        }
    }

    /// The time itself, or the end of the quiet hours it lies in. Where that end
    /// comes after the last time at which the word is any use, it stays.
    #[must_use]
    pub fn outside(self, at: PrimitiveDateTime, not_after: PrimitiveDateTime) -> PrimitiveDateTime {
        self.end(at).filter(|end| *end <= not_after).unwrap_or(at)
    }
}

/// One reminder to one person.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reminder {
    /// The question or thing it is about: of several that are due about one,
    /// only the last is said.
    pub about: i64,
    pub due: PrimitiveDateTime,
    /// Later it would be wrong or useless.
    pub not_after: PrimitiveDateTime,
    /// Nobody answered or withdrew it, and the day it is about stands.
    pub still_true: bool,
}

/// What becomes of a reminder that has not been said yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// It isn't due.
    Waits,
    /// It is due.
    Goes,
    /// A later one about the same thing is due as well, and goes instead.
    Covered,
    /// It is due and too late.
    Expired,
    /// There is nothing to remind of any more.
    Cancelled,
}

/// What becomes of one person's reminders now. It makes no difference whether
/// the program ran all the time or was down: what came due meanwhile and is
/// still true is said once, the rest is told to the officer and not said.
///
/// The answer has the order of the question.
#[must_use]
pub fn fates(reminders: &[Reminder], now: PrimitiveDateTime) -> Vec<Fate> {
    let alone = |reminder: &Reminder| {
        if !reminder.still_true {
            Fate::Cancelled
        } else if reminder.due > now {
            Fate::Waits
        } else if reminder.not_after < now {
            Fate::Expired
        } else {
            Fate::Goes
        }
    };
    let mut fates: Vec<Fate> = reminders.iter().map(alone).collect();
    let mut order: Vec<usize> = (0..reminders.len()).collect();
    order.sort_by_key(|index| reminders[*index].due);
    let mut said = HashSet::new();
    for index in order.into_iter().rev() {
        if fates[index] == Fate::Goes && !said.insert(reminders[index].about) {
            fates[index] = Fate::Covered;
        }
    }
    fates
}

/// What holds mails to one person back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    pub quiet: Quiet,
    pub burn_on: Date,
    /// The day of the last mail of reminders that went to this person.
    pub last_mail_on: Option<Date>,
}

/// One mail with all that is due by the end of its day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mail {
    pub at: PrimitiveDateTime,
    /// Places in the list of reminders.
    pub says: Vec<usize>,
}

/// The mails that one person gets from now on, in order, if nothing changes: at
/// most one in [`STRETCH`] days, in the last week at most one a day. A reminder
/// that the limit holds back goes as soon as it lets it; one that would then be
/// too late goes when it is due, in spite of the limit. Whatever else is due by
/// that day goes with it.
///
/// Only what waits or goes ([`fates`]) is in them.
#[must_use]
pub fn mails(reminders: &[Reminder], now: PrimitiveDateTime, limits: Limits) -> Vec<Mail> {
    let fates = fates(reminders, now);
    let mut left: Vec<usize> = (0..reminders.len()).collect();
    left.retain(|index| matches!(fates[*index], Fate::Waits | Fate::Goes));
    let mut mails = Vec::new();
    let mut last_mail_on = limits.last_mail_on;
    loop {
        let limits = Limits { last_mail_on, ..limits };
        let next = left.iter().map(|index| limits.earliest(&reminders[*index], now)).min();
        let Some(at) = next else { return mails };
        let (says, rest) = left.into_iter().partition(|index| limits.free(&reminders[*index], now).date() <= at.date());
        mails.push(Mail { at, says });
        left = rest;
        last_mail_on = Some(at.date());
    }
}

impl Limits {
    /// When a reminder would go but for other mails.
    fn free(&self, reminder: &Reminder, now: PrimitiveDateTime) -> PrimitiveDateTime {
        self.quiet.outside(reminder.due.max(now), reminder.not_after)
    }

    /// When it goes after the last mail: on the first day that may have one, at
    /// its own time of day.
    fn earliest(&self, reminder: &Reminder, now: PrimitiveDateTime) -> PrimitiveDateTime {
        let held = |at: PrimitiveDateTime| {
            let at = self.quiet.outside(at, reminder.not_after);
            PrimitiveDateTime::new(self.day(at.date()), at.time())
        };
        // Now comes second, so that a wait ends at the same time whenever one asks.
        let at = held(held(reminder.due).max(now));
        if at <= reminder.not_after { at } else { self.free(reminder, now) }
    }

    /// The first day, from this one on, on which a mail may follow the last.
    fn day(&self, on: Date) -> Date {
        let Some(last) = self.last_mail_on else { return on };
        let in_last_week = on.max(later(last, 1)).max(later(self.burn_on, -LAST_WEEK));
        let after_stretch = on.max(later(last, STRETCH));
        if in_last_week <= self.burn_on { in_last_week.min(after_stretch) } else { after_stretch }
    }
}

fn later(on: Date, days: i64) -> Date {
    on.saturating_add(Duration::days(days))
}

#[cfg(test)]
mod tests;
