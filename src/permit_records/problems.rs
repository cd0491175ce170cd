//! What is still open about a record, as of one day.

use super::{Kind, Permit, Problem, Rule, Sending};
use crate::calc::calendar::Calendar;
use crate::calc::notice::Heard;
use crate::events::Details as EventDetails;
use crate::web::words::Reader;
use time::{Date, Duration};

/// A rule that was checked longer ago than this is worth asking about again.
const OLD: Duration = Duration::days(365);

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
