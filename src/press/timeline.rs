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

/// Where the plan conflicts with an outlet's schedule: tasks due on a day when it is
/// closed, and text that it needs before the release is due, unless it has the release
/// already. Each with the outlet's number.
pub(super) fn conflicts(
    steps: &[Step],
    outlets: &[&Outlet],
    (calendar, burn_on, today): (&Calendar, Date, Date),
    has_release: impl Fn(i64) -> bool,
) -> Vec<(i64, String)> {
    let mut found = Vec::new();
    let day = |on: Date| Reader::App.near_day(on, today);
    for step in steps.iter().filter(|step| step.due >= today && tells(&step.key)) {
        let needs = |outlet: &&&Outlet| !WITH_TEXT.contains(&step.key.as_str()) || !has_release(outlet.id);
        for outlet in outlets.iter().filter(needs) {
            let title = &step.title;
            if outlet.details.is_closed(step.due) {
                let sooner = instead(outlet, calendar, step.due);
                let sooner = sooner.map(|on| format!(" Reach them by {}.", day(on))).unwrap_or_default();
                let name = &outlet.details.name;
                let due = day(step.due);
                found.push((outlet.id, format!("“{title}” is due {due}, when {name} is closed.{sooner}")));
            }
            let wanted = wanted_by(outlet, calendar, burn_on);
            if WITH_TEXT.contains(&step.key.as_str()) && wanted < step.due {
                let lead = words::count(usize::from(outlet.details.lead_days), "day", "days");
                let (name, by, due) = (&outlet.details.name, day(wanted), day(step.due));
                let says = format!("{name} needs the text {lead} before burn day, by {by}. “{title}” is due {due}.");
                found.push((outlet.id, says));
            }
        }
    }
    found
}

/// The last working day on which an outlet takes text about burn day.
pub(super) fn wanted_by(outlet: &Outlet, calendar: &Calendar, burn_on: Date) -> Date {
    let mut on = calendar.before(burn_on - Duration::days(i64::from(outlet.details.lead_days)), 0);
    for _ in 0..30 {
        if !outlet.details.is_closed(on) {
            break;
        }
        on = calendar.before(on, 1);
    }
    on
}

/// Is it one of the best weekdays to reach a newsroom? Tuesday to Thursday is common
/// practice: advice, not a rule.
pub(super) fn is_best(on: Date) -> bool {
    matches!(on.weekday(), Weekday::Tuesday | Weekday::Wednesday | Weekday::Thursday)
}

#[cfg(test)]
mod tests {
    use super::super::outlets::{OutletDetails, OutletKind};
    use super::*;
    use time::macros::date;

    fn outlet(lead_days: u8, closed_weekdays: &[Weekday], closed_on: &[Date]) -> Outlet {
        let details = OutletDetails {
            name: "Bend Weekly".to_owned(),
            kind: OutletKind::Weekly,
            rhythm: String::new(),
            lead_days,
            closed_weekdays: closed_weekdays.to_vec(),
            closed_on: closed_on.to_vec(),
        };
        Outlet { id: 1, details, version: 1 }
    }

    fn step(key: &str, due: Date) -> Step {
        Step { key: key.to_owned(), title: key.to_owned(), due }
    }

    fn conflicts(
        steps: &[Step],
        outlets: &[&Outlet],
        days: (&Calendar, Date, Date),
        has_release: impl Fn(i64) -> bool,
    ) -> Vec<String> {
        super::conflicts(steps, outlets, days, has_release).into_iter().map(|(_, says)| says).collect()
    }

    /// By hand: burn day is Sat, Jan 2, 2027, and follow-ups are due Wed, Dec 30, 2026.
    #[test]
    fn a_follow_up_on_an_outlets_closed_day_is_a_conflict() {
        let calendar = Calendar::federal();
        let burn_on = date!(2027 - 01 - 02);
        let (open, closed) = (outlet(0, &[], &[]), outlet(0, &[Weekday::Tuesday], &[date!(2026 - 12 - 30)]));
        let steps = [step("press-follow-up", date!(2026 - 12 - 30)), step("press-area", date!(2026 - 12 - 30))];
        let today = date!(2026 - 12 - 01);
        assert_eq!(conflicts(&steps, &[&open], (&calendar, burn_on, today), |_| false), [""; 0]);
        let found = conflicts(&steps, &[&open, &closed], (&calendar, burn_on, today), |_| false);
        // It is closed on Tuesday too, so Monday is the day.
        assert_eq!(found.len(), 1);
        for part in ["“press-follow-up”", "Wed, Dec 30", "Bend Weekly", "Mon, Dec 28"] {
            assert!(found[0].contains(part), "{found:?}");
        }
        assert_eq!(conflicts(&steps, &[&closed], (&calendar, burn_on, date!(2026 - 12 - 31)), |_| false), [""; 0]);
    }

    /// By hand: ten days before Sat, Jan 2, 2027 is Wed, Dec 23, 2026.
    #[test]
    fn a_weekly_that_needs_its_text_before_the_release_is_a_conflict() {
        let calendar = Calendar::federal();
        let weekly = outlet(10, &[], &[]);
        let burn_on = date!(2027 - 01 - 02);
        assert_eq!(wanted_by(&weekly, &calendar, burn_on), date!(2026 - 12 - 23));
        let found = |due| {
            conflicts(&[step("news-release", due)], &[&weekly], (&calendar, burn_on, date!(2026 - 12 - 01)), |_| false)
        };
        assert_eq!(found(date!(2026 - 12 - 23)), [""; 0]);
        let late = found(date!(2026 - 12 - 24));
        assert_eq!(late.len(), 1);
        for part in ["Bend Weekly", "10 days", "Wed, Dec 23", "“news-release”", "Thu, Dec 24"] {
            assert!(late[0].contains(part), "{late:?}");
        }
    }

    #[test]
    fn an_outlet_that_has_the_release_waits_for_none() {
        let calendar = Calendar::federal();
        let weekly = outlet(10, &[], &[]);
        let days = (&calendar, date!(2027 - 01 - 02), date!(2026 - 12 - 01));
        let steps = [step("news-release", date!(2026 - 12 - 24))];
        assert_eq!(conflicts(&steps, &[&weekly], days, |_| false).len(), 1);
        assert_eq!(conflicts(&steps, &[&weekly], days, |outlet| outlet == 1), [""; 0]);
    }

    #[test]
    fn weekends_are_told_apart_from_closed_days() {
        let plain = outlet(0, &[], &[]);
        let today = date!(2026 - 12 - 01);
        assert_eq!(against(&plain, date!(2027 - 01 - 04), today), "");
        assert!(against(&plain, date!(2027 - 01 - 02), today).contains("weekend"));
        let closed = outlet(0, &[Weekday::Monday], &[]);
        assert_eq!(against(&closed, date!(2027 - 01 - 04), today), "Bend Weekly is closed on Mon, Jan 4");
        assert!(is_best(date!(2027 - 01 - 05)) && !is_best(date!(2027 - 01 - 08)));
    }
}
