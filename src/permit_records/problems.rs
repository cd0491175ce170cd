//! What is still open about a record, as of one day.

use super::says::deadline_says;
use super::{Kind, Permit, Rule, Sending};
use crate::calc::calendar::Calendar;
use crate::calc::notice::Heard;
use crate::events::Details as EventDetails;
use crate::web::words::Reader;
use time::{Date, Duration};

/// What to ask an authority about the notice it requires.
pub const ASK: &str = "Ask the authority: How many days of notice? Working or calendar days? Counted from the day you \
                       send it or the day they receive it? Must the rain date be on it?";
/// A rule that was checked longer ago than this is worth asking about again.
const OLD: Duration = Duration::days(365);

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

impl Permit {
    /// Who to ask or tell.
    #[must_use]
    pub fn whom(&self) -> &str {
        if self.details.authority.is_empty() { "the authority" } else { &self.details.authority }
    }

    /// All its problems, the most pressing first; none once the burn is over.
    #[must_use]
    pub fn problems(&self, event: &EventDetails, calendar: &Calendar, today: Date) -> Vec<Problem> {
        if today > event.burn_on {
            return Vec::new();
        }
        let dates: Vec<Date> = event.dates().into_iter().collect();
        let mut found = self.unsent(event, calendar);
        if let Some(on) = self.details.expires_on {
            let days: Vec<Date> = dates.iter().copied().filter(|day| on < *day).collect();
            found.extend((!days.is_empty()).then_some(Problem::Expires { on, days }));
        }
        if let Some(newest) = self.newest_for(&dates) {
            let (site, hour) = (newest.site != event.site, newest.burn_time != event.burn_time);
            found.extend((site || hour).then_some(Problem::OldFacts { site, hour }));
        }
        let (names_some, rule) = (self.sendings.iter().any(|sending| !sending.names.is_empty()), &self.details.rule);
        if !matches!(rule, Rule::Days { .. }) && names_some && !self.names(event.burn_on) {
            found.push(Problem::OtherDates { day: event.burn_on });
        }
        found.extend(self.arrival(event, calendar));
        found.extend((*rule == Rule::NotAsked).then_some(Problem::AskRule));
        let is_dated = self.details.kind != Kind::Answer && self.details.granted_on.is_some();
        found.extend((is_dated && !names_some).then_some(Problem::NoDates));
        let to_read = !self.details.conditions.is_empty() && self.read_back.is_none();
        found.extend(to_read.then_some(Problem::ReadBack));
        let is_idle = self.details.task_id.is_none() && matches!(rule, Rule::Days { .. });
        found.extend(is_idle.then_some(Problem::NoTask));
        let learned = rule.learned().map(|learned| learned.on);
        let is_old = learned.filter(|on| on.is_none_or(|on| on < today - OLD));
        found.extend(is_old.map(|on| Problem::OldRule { on }));
        found
    }

    /// The dates it must go out for by its rule.
    fn unsent(&self, event: &EventDetails, calendar: &Calendar) -> Vec<Problem> {
        let Rule::Days { rule, .. } = &self.details.rule else { return Vec::new() };
        let (mut days, mut late) = (Vec::new(), Vec::new());
        for day in self.dates_wanted(event) {
            match self.heard(calendar, day) {
                Some(Heard::Not) => days.push(day),
                Some(Heard::TooLate(on)) => late.push((day, on)),
                _ => {}
            }
        }
        // If several dates are on it, it must go out in time for the first.
        let by = |day: &Date| rule.send_by(calendar, *day);
        let missing = days.first().map(by).map(|by| Problem::Send { days: days.clone(), by, late_on: None });
        let late = late.into_iter().map(|(day, on)| Problem::Send { days: vec![day], by: by(&day), late_on: Some(on) });
        late.chain(missing).collect()
    }

    fn arrival(&self, event: &EventDetails, calendar: &Calendar) -> Option<Problem> {
        let Rule::Days { rule, .. } = &self.details.rule else { return None };
        self.dates_wanted(event).into_iter().find_map(|day| match self.heard(calendar, day)? {
            Heard::UnderWay(sent_on) => {
                let (expected, deadline) = (rule.arrives(calendar, sent_on), rule.deadline(calendar, day));
                Some(Problem::Arrival { expected, deadline })
            }
            _ => None,
        })
    }

    /// Its status, in a few words.
    #[must_use]
    pub fn stands(&self, event: &EventDetails, calendar: &Calendar, today: Date) -> String {
        let near = |day| Reader::App.near_day(day, today);
        if let Some(on) = self.details.granted_on.filter(|_| self.is_granted(event)) {
            return format!("granted {}", near(on));
        }
        if self.problems(event, calendar, today).iter().any(|problem| problem.is_late(today)) {
            return "late".to_owned();
        }
        match self.sendings.iter().filter(|sending| sending.names.contains(&event.burn_on)).max_by_key(|s| s.sent_on) {
            Some(Sending { received_on: Some(on), .. }) => format!("received {}", near(*on)),
            Some(Sending { sent_on, .. }) => format!("sent {}", near(*sent_on)),
            None => "not sent yet".to_owned(),
        }
    }
}
