//! Reminders: when each is due, when no email goes out, how several to one person become
//! one email, and what is left to say after the program was down.
//!
//! Everything here is in wall-clock time where the event is, which is what people mean. The
//! zone turns the results into instants. So "the day before at 09:00" stays 09:00 when the
//! clocks change in between.

use crate::calc::calendar::{Basis, Calendar, date_of, day_number};
use std::collections::HashSet;
use time::macros::time;
use time::{Date, Duration, PrimitiveDateTime, Time};

mod rhythm;

pub use rhythm::{CREW_ASKED, CREW_ASKED_AGAIN, CREW_FINAL_CHECK, Whom};

/// Two reminder emails to one person are at least this many days apart. Common practice,
/// no published source, like [`LAST_WEEK`].
pub const STRETCH: i64 = 5;
/// From this many days before burn day through burn day, an email may go out every day.
pub const LAST_WEEK: i64 = 7;

/// What a reminder is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// The question again, because no answer came.
    Chase,
    /// What was agreed: the day, the place, what to bring.
    Remind,
    /// Shortly before.
    LastWord,
}

/// How a reminder reaches people.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum By {
    /// An email.
    Mail,
    /// Someone in the department has to call. No email goes out.
    Phone,
}

/// When a reminder is due: a number of days before burn day, at a time of day.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rule {
    /// Its name among the rules for the same people, which never changes.
    pub key: &'static str,
    /// What it is for.
    pub kind: Kind,
    /// How it reaches people.
    pub by: By,
    /// Days before. 0 is the day itself, or with [`Basis::Working`] the nearest working day
    /// not after it.
    pub days: u16,
    /// Whether the days are working days.
    pub basis: Basis,
    /// The time of day.
    pub at: Time,
}

impl Rule {
    /// When it is due. An earlier burn day never makes it later.
    ///
    /// ```
    /// use burnday::calc::calendar::Calendar;
    /// use burnday::calc::reminder::Whom;
    /// use time::macros::{date, datetime};
    ///
    /// // A reminder on the working day before: burn day is a Saturday and New Year's
    /// // Day is closed, so it is due on Thursday.
    /// let rule = Whom::Media.rule("remind").unwrap();
    /// assert_eq!(rule.due(date!(2027-01-02), &Calendar::federal()), datetime!(2026-12-31 09:00));
    /// ```
    #[must_use]
    pub fn due(&self, burn_on: Date, calendar: &Calendar) -> PrimitiveDateTime {
        let on = match self.basis {
            Basis::Calendar => date_of(day_number(burn_on) - i32::from(self.days)),
            Basis::Working => calendar.before(burn_on, u32::from(self.days)),
        };
        PrimitiveDateTime::new(on, self.at)
    }
}

/// The hours when no email goes out, from the first time (included) until the second (not
/// included), past midnight if the second is earlier. Equal times mean no hours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Quiet {
    /// The first quiet minute.
    pub from: Time,
    /// The first minute that is not.
    pub until: Time,
}

impl Default for Quiet {
    fn default() -> Self {
        Self::USUAL
    }
}

impl Quiet {
    /// The hours when most people don't want to be disturbed. Common practice.
    pub const USUAL: Self = Self { from: time!(21:00), until: time!(8:00) };

    /// The end of the quiet hours a time falls in. None if it falls in none.
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

    /// The time itself, or the end of the quiet hours it falls in. It stays if that end
    /// would be too late for the reminder.
    #[must_use]
    pub fn outside(self, at: PrimitiveDateTime, not_after: PrimitiveDateTime) -> PrimitiveDateTime {
        self.end(at).filter(|end| *end <= not_after).unwrap_or(at)
    }
}

/// One reminder to one person.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reminder {
    /// What it is about. Of several due about the same thing, only the last is sent.
    pub about: i64,
    /// When it should go out.
    pub due: PrimitiveDateTime,
    /// After this it would be wrong or useless.
    pub not_after: PrimitiveDateTime,
    /// It hasn't been answered or withdrawn, and its day hasn't changed.
    pub still_true: bool,
}

/// What happens to a reminder that hasn't been sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// It isn't due yet.
    Waits,
    /// It is due.
    Goes,
    /// A later one about the same thing is due, too, and goes instead.
    Covered,
    /// It is due, but too late.
    Expired,
    /// There is no longer anything to remind anyone of.
    Cancelled,
}

/// What happens to one person's reminders now. It makes no difference whether the program
/// was running or down: what came due and is still true is sent once, and the rest is
/// shown to the officer instead.
///
/// The fates are in the order of the reminders.
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

/// What holds back emails to one person.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// When no email goes out.
    pub quiet: Quiet,
    /// Near burn day, email may go out every day.
    pub burn_on: Date,
    /// The day of the last reminder email to this person.
    pub last_mail_on: Option<Date>,
}

/// One email with everything due by the end of its day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mail {
    /// When it goes out.
    pub at: PrimitiveDateTime,
    /// Places in the list of reminders.
    pub says: Vec<usize>,
}

/// The emails one person will get, in order, if nothing changes: at most one in [`STRETCH`]
/// days, and in the last week at most one a day. A reminder held back by the limit goes as
/// soon as the limit allows. One that would then be too late goes when it is due, despite
/// the limit. Anything else due by that day goes along.
///
/// They hold only reminders that wait or go ([`fates`]).
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
    /// When a reminder would go if there were no other emails.
    fn free(&self, reminder: &Reminder, now: PrimitiveDateTime) -> PrimitiveDateTime {
        self.quiet.outside(reminder.due.max(now), reminder.not_after)
    }

    /// When it goes after the last email: on the first day that allows one, at its own time
    /// of day.
    fn earliest(&self, reminder: &Reminder, now: PrimitiveDateTime) -> PrimitiveDateTime {
        let held = |at: PrimitiveDateTime| {
            let at = self.quiet.outside(at, reminder.not_after);
            PrimitiveDateTime::new(self.day(at.date()), at.time())
        };
        // The wait is applied before `now`, so that it ends at the same time whenever this runs.
        let at = held(held(reminder.due).max(now));
        if at <= reminder.not_after { at } else { self.free(reminder, now) }
    }

    /// The first day, from this one on, that allows an email after the last one.
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
