//! When to tell outlets what, and where that conflicts with their own schedules.

use super::outlets::Outlet;
use crate::calc::calendar::Calendar;
use crate::web::words::{self, Reader};
use time::{Date, Duration, Weekday};

/// Tasks of the usual plan that are about the press but belong to other strands.
pub(super) const AFTERWARDS: [&str; 2] = ["results-release", "coverage-log"];
/// The tasks that tell outlets something, by their keys in the plan.
const TELLING: [&str; 5] = ["news-release", "media-advisory", "press-follow-up", "daybook", "press-reminder"];
/// Some outlets need the text before this task is due.
const WITH_TEXT: [&str; 1] = ["news-release"];

/// A task of the plan, as far as outlets are concerned.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Step {
    pub key: String,
    pub title: String,
    pub due: Date,
}

/// Does this task tell outlets something?
pub(super) fn tells(key: &str) -> bool {
    TELLING.contains(&key)
}

/// Why a date is a bad one to reach someone at an outlet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Against {
    Closed,
    Weekend,
}

impl Against {
    /// None if the date is fine.
    pub fn of(outlet: &Outlet, on: Date) -> Option<Self> {
        if outlet.details.is_closed(on) {
            Some(Self::Closed)
        } else if matches!(on.weekday(), Weekday::Saturday | Weekday::Sunday) {
            Some(Self::Weekend)
        } else {
            None
        }
    }

    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Closed => "closed",
            Self::Weekend => "weekend",
        }
    }

    pub fn says(self, outlet: &Outlet, on: Date, today: Date) -> String {
        let day = Reader::App.near_day(on, today);
        match self {
            Self::Closed => format!("{} is closed on {day}", outlet.details.name),
            Self::Weekend => format!("{day} is on a weekend, when newsrooms have few people"),
        }
    }
}

/// The same as a sentence; empty if the date is fine.
pub(super) fn against(outlet: &Outlet, on: Date, today: Date) -> String {
    Against::of(outlet, on).map(|against| against.says(outlet, on, today)).unwrap_or_default()
}

/// The last working day before `on` on which the outlet is open.
pub(super) fn instead(outlet: &Outlet, calendar: &Calendar, on: Date) -> Option<Date> {
    (1..=30).map(|n| calendar.before(on, n)).find(|day| !outlet.details.is_closed(*day))
}

/// The days that tasks and deadlines are compared with.
pub(super) struct Schedule<'a> {
    pub calendar: &'a Calendar,
    pub burn_on: Date,
    pub today: Date,
}

impl Schedule<'_> {
    /// Where the plan conflicts with an outlet's schedule: tasks due on a day when it is
    /// closed, and text that it needs before the release is due, unless it has the release
    /// already.
    pub fn conflicts<'o>(
        &self,
        steps: &[Step],
        outlets: &[&'o Outlet],
        has_release: impl Fn(i64) -> bool,
    ) -> Vec<(&'o Outlet, String)> {
        let mut found = Vec::new();
        for step in steps.iter().filter(|step| step.due >= self.today && tells(&step.key)) {
            let has_text = WITH_TEXT.contains(&step.key.as_str());
            for outlet in outlets.iter().filter(|outlet| !has_text || !has_release(outlet.id)) {
                found.extend(self.closed(outlet, step).map(|says| (*outlet, says)));
                found.extend(self.too_late(outlet, step).filter(|_| has_text).map(|says| (*outlet, says)));
            }
        }
        found
    }

    fn day(&self, on: Date) -> String {
        Reader::App.near_day(on, self.today)
    }

    /// A task due on a day when the outlet is closed.
    fn closed(&self, outlet: &Outlet, step: &Step) -> Option<String> {
        if !outlet.details.is_closed(step.due) {
            return None;
        }
        let sooner = instead(outlet, self.calendar, step.due);
        let sooner = sooner.map(|on| format!(" Reach them by {}.", self.day(on))).unwrap_or_default();
        let (title, name, due) = (&step.title, &outlet.details.name, self.day(step.due));
        Some(format!("“{title}” is due {due}, when {name} is closed.{sooner}"))
    }

    /// A text that the outlet needs before the task is due.
    fn too_late(&self, outlet: &Outlet, step: &Step) -> Option<String> {
        let wanted = self.wanted_by(outlet);
        if wanted >= step.due {
            return None;
        }
        let lead = words::count(usize::from(outlet.details.lead_days), "day", "days");
        let (name, by, title, due) = (&outlet.details.name, self.day(wanted), &step.title, self.day(step.due));
        Some(format!("{name} needs the text {lead} before burn day, by {by}. “{title}” is due {due}."))
    }

    /// The last working day on which an outlet takes text about burn day.
    fn wanted_by(&self, outlet: &Outlet) -> Date {
        let lead = Duration::days(i64::from(outlet.details.lead_days));
        let mut on = self.calendar.before(self.burn_on - lead, 0);
        for _ in 0..30 {
            if !outlet.details.is_closed(on) {
                break;
            }
            on = self.calendar.before(on, 1);
        }
        on
    }
}

/// Is it one of the best weekdays to reach a newsroom? Tuesday to Thursday is common
/// practice: advice, not a rule.
pub(super) fn is_best(on: Date) -> bool {
    matches!(on.weekday(), Weekday::Tuesday | Weekday::Wednesday | Weekday::Thursday)
}

#[cfg(test)]
mod tests;
