//! What can be wrong with a record, and how that reads.

use super::says::deadline_says;
use super::{Permit, Rule};
use crate::calc::calendar::Calendar;
use crate::web::words::Reader;
use time::{Date, Duration};

/// What to ask an authority about the notice it requires.
pub const ASK: &str = "Ask the authority: How many days of notice? Working or calendar days? Counted from the day you \
                       send it or the day they receive it? Must the rain date be on it?";

/// One problem with a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Problem {
    /// It wasn't sent for these dates, or was sent too late; it must go out by this day.
    Send { days: Vec<Date>, by: Date, late_on: Option<Date> },
    /// It expires before these dates.
    Expires { on: Date, days: Vec<Date> },
    /// What was sent has a different place or time.
    OldFacts { site: bool, hour: bool },
    /// What was sent has other dates, but not this one.
    OtherDates { day: Date },
    /// It was sent, but no one recorded that it arrived by the day it should have.
    Arrival { expected: Date, deadline: Date },
    /// No one has asked how much notice it requires.
    AskRule,
    /// The authority granted it, but no one recorded for which dates.
    NoDates,
    /// Its conditions were not read back to the safety officer.
    ReadBack,
    /// Its task was removed, so it limits nothing.
    NoTask,
    /// Its rule was checked long ago, or no one knows when.
    OldRule { on: Option<Date> },
}

impl Problem {
    /// Does it need attention before records that just aren't known yet?
    #[must_use]
    pub fn is_pressing(&self, today: Date) -> bool {
        match self {
            Self::Send { by, .. } => *by <= today + Duration::days(14),
            Self::Arrival { expected, .. } => *expected <= today,
            Self::Expires { .. } | Self::OldFacts { .. } | Self::OtherDates { .. } | Self::NoDates | Self::NoTask => {
                true
            }
            Self::AskRule | Self::ReadBack | Self::OldRule { .. } => false,
        }
    }

    /// Has its last day passed?
    #[must_use]
    pub fn is_late(&self, today: Date) -> bool {
        self.last_day().is_some_and(|last| last < today)
    }

    /// The last day before it is late, if it can be late.
    #[must_use]
    pub fn last_day(&self) -> Option<Date> {
        match self {
            Self::Send { by, .. } => Some(*by),
            Self::Expires { on, .. } => Some(*on),
            Self::Arrival { deadline, .. } => Some(*deadline),
            _ => None,
        }
    }

    /// The dates of the event it is about.
    #[must_use]
    pub fn days(&self) -> &[Date] {
        match self {
            Self::Send { days, .. } | Self::Expires { days, .. } => days,
            Self::OtherDates { day } => std::slice::from_ref(day),
            _ => &[],
        }
    }

    /// What it is, for scripts and tests.
    #[must_use]
    pub fn mark(&self) -> &'static str {
        match self {
            Self::Send { .. } => "send",
            Self::Expires { .. } => "expires",
            Self::OldFacts { site: true, hour: true } => "old-place-and-time",
            Self::OldFacts { site: true, hour: false } => "old-place",
            Self::OldFacts { site: false, .. } => "old-time",
            Self::OtherDates { .. } => "other-dates",
            Self::Arrival { .. } => "arrival",
            Self::AskRule => "ask-rule",
            Self::NoDates => "no-dates",
            Self::ReadBack => "read-back",
            Self::NoTask => "no-task",
            Self::OldRule { .. } => "old-rule",
        }
    }

    /// In a sentence.
    #[must_use]
    pub fn says(&self, permit: &Permit, calendar: &Calendar, today: Date) -> String {
        let near = |day: &Date| Reader::App.near_day(*day, today);
        let all = |days: &[Date]| days.iter().map(near).collect::<Vec<_>>().join(" and ");
        match self {
            Self::Send { days, late_on, .. } => {
                let by = match (&permit.details.rule, days.first()) {
                    (Rule::Days { rule, .. }, Some(day)) => {
                        format!(": {}", deadline_says(*rule, calendar, *day, today))
                    }
                    _ => String::new(),
                };
                let sent = match late_on {
                    Some(on) => format!("Sent {}, too late for {}", near(on), all(days)),
                    None => format!("Not sent yet for {}", all(days)),
                };
                let passed = if self.is_late(today) {
                    " That day has passed. Ask the authority whether it will still accept it, or change the date."
                } else {
                    ""
                };
                format!("{sent}{by}.{passed}")
            }
            Self::Expires { on, days } => format!("It expires {}, before {}.", near(on), all(days)),
            Self::OldFacts { site, hour } => {
                let what = match (site, hour) {
                    (true, true) => "place and time",
                    (true, false) => "place",
                    _ => "time",
                };
                format!("What was sent has a different {what}. Tell {}.", permit.whom())
            }
            Self::OtherDates { day } => {
                format!("{} isn't on what was sent. Ask {} what to do.", near(day), permit.whom())
            }
            Self::Arrival { expected, deadline } => format!(
                "Not confirmed as received: expected by {}, and must be there by {}. Ask {}.",
                near(expected),
                near(deadline),
                permit.whom()
            ),
            Self::AskRule => ASK.to_owned(),
            Self::NoDates => "Granted, but no one recorded for which dates. Add what was sent.".to_owned(),
            Self::ReadBack => "The conditions have not been read back to the safety officer.".to_owned(),
            Self::NoTask => "It isn't tied to a task, so its notice rule isn't counted. Choose a task.".to_owned(),
            Self::OldRule { on: Some(on) } => {
                format!("The notice rule was last checked on {}. Ask again.", near(on))
            }
            Self::OldRule { on: None } => {
                "No one recorded who asked for the notice rule, or when. Ask the authority.".to_owned()
            }
        }
    }
}
