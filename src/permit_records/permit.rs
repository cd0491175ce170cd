//! A permit, notice or written answer of an event: what is known about it, and when it was sent.

use super::{Kind, Rule};
use crate::calc::calendar::Calendar;
use crate::calc::notice::{self, Heard, Notice};
use crate::events::Details as EventDetails;
use time::{Date, Time};

/// What is known about a permit or notice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Details {
    pub kind: Kind,
    pub title: String,
    pub task_id: Option<i64>,
    pub authority: String,
    /// The name of someone there.
    pub person: Option<String>,
    pub phone: String,
    pub mail: String,
    pub number: String,
    pub rule: Rule,
    pub granted_on: Option<Date>,
    pub expires_on: Option<Date>,
    pub conditions: String,
    pub notes: String,
}

impl Details {
    /// What its rule requires for a burn day that no one has been told about yet.
    #[must_use]
    pub fn fresh_notice(&self) -> Option<Notice> {
        match &self.rule {
            Rule::Days { rule, dates, .. } if dates.wants_burn_day() => {
                Some(Notice { rule: *rule, sendings: Vec::new(), granted: Vec::new() })
            }
            Rule::NotAsked | Rule::None(_) | Rule::Days { .. } => None,
        }
    }

    /// A record about which we only know what it is.
    #[must_use]
    pub fn of(kind: Kind, title: &str) -> Self {
        Self {
            kind,
            title: title.to_owned(),
            task_id: None,
            authority: String::new(),
            person: None,
            phone: String::new(),
            mail: String::new(),
            number: String::new(),
            rule: Rule::NotAsked,
            granted_on: None,
            expires_on: None,
            conditions: String::new(),
            notes: String::new(),
        }
    }
}

/// A time it was sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sending {
    pub id: i64,
    /// The dates on it, in order.
    pub names: Vec<Date>,
    pub sent_on: Date,
    pub received_on: Option<Date>,
    /// The place and time on it.
    pub site: String,
    pub burn_time: Time,
}

/// A permit, notice or written answer of an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Permit {
    pub id: i64,
    pub event_id: i64,
    /// Only for a usual record.
    pub key: Option<String>,
    pub details: Details,
    pub person_id: Option<i64>,
    /// Each time it was sent, the first one first.
    pub sendings: Vec<Sending>,
    /// When the conditions were read back to the safety officer, and who recorded it.
    pub read_back: Option<(Date, String)>,
    pub version: i64,
}

/// Which record it is: its event's number and its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PermitId {
    pub event_id: i64,
    pub id: i64,
}

impl Permit {
    /// The address of its page.
    #[must_use]
    pub fn href(&self) -> String {
        format!("/events/{}/permits/{}", self.event_id, self.id)
    }

    /// Its number, with that of its event.
    #[must_use]
    pub fn full_id(&self) -> PermitId {
        PermitId { event_id: self.event_id, id: self.id }
    }

    /// Its rule with what was done about it, if it requires notice.
    #[must_use]
    pub fn notice(&self) -> Option<Notice> {
        let Rule::Days { rule, .. } = &self.details.rule else { return None };
        let sending = |one: &Sending| notice::Sending {
            names: one.names.clone(),
            sent_on: one.sent_on,
            received_on: one.received_on,
        };
        Some(Notice { rule: *rule, sendings: self.sendings.iter().map(sending).collect(), granted: self.granted() })
    }

    /// The same, if the burn day must be on it: this limits the burn day.
    #[must_use]
    pub fn holding(&self) -> Option<Notice> {
        let Rule::Days { dates, .. } = &self.details.rule else { return None };
        self.notice().filter(|_| dates.wants_burn_day())
    }

    /// The dates the authority granted: those sent to it by then that it covers.
    fn granted(&self) -> Vec<Date> {
        let Some(granted_on) = self.details.granted_on else { return Vec::new() };
        let sent = self.sendings.iter().filter(|sending| sending.sent_on <= granted_on);
        let reached = |day: &Date| self.details.expires_on.is_none_or(|expires| *day <= expires);
        sent.flat_map(|sending| sending.names.iter().copied()).filter(reached).collect()
    }

    /// Did the authority grant this date?
    #[must_use]
    pub fn is_granted_for(&self, day: Date) -> bool {
        self.granted().contains(&day)
    }

    /// Is it granted for the burn day, or for no particular day?
    #[must_use]
    pub fn is_granted(&self, event: &EventDetails) -> bool {
        let names_some = self.sendings.iter().any(|sending| !sending.names.is_empty());
        self.details.granted_on.is_some() && (!names_some || self.is_granted_for(event.burn_on))
    }

    /// Is the date on anything that was sent?
    #[must_use]
    pub fn names(&self, day: Date) -> bool {
        self.sendings.iter().any(|sending| sending.names.contains(&day))
    }

    /// The dates of an event that must be on it by its rule, burn day first.
    #[must_use]
    pub fn dates_wanted(&self, event: &EventDetails) -> Vec<Date> {
        let Rule::Days { dates, .. } = &self.details.rule else { return Vec::new() };
        let is_wanted = |on: &Date| {
            if event.dates().is_rain_date(*on) { dates.wants_rain_date() } else { dates.wants_burn_day() }
        };
        event.dates().into_iter().filter(is_wanted).collect()
    }

    /// What the authority knows about a date, if notice is required.
    #[must_use]
    pub fn heard(&self, calendar: &Calendar, day: Date) -> Option<Heard> {
        self.notice().map(|notice| notice.heard(calendar, day))
    }

    /// The last sending with one of these dates on it.
    #[must_use]
    pub fn newest_for(&self, days: &[Date]) -> Option<&Sending> {
        let named = self.sendings.iter().filter(|sending| sending.names.iter().any(|day| days.contains(day)));
        named.max_by_key(|sending| (sending.sent_on, sending.id))
    }
}
