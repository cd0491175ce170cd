//! Permits, notices and written answers that the burn needs, each with the notice it
//! requires, if someone has asked. The notice rule is kept only here; the plan reads it
//! from here, and `permits` has the pages.

mod problems;
mod says;
mod store;
mod usual;

use crate::calc::calendar::{Basis, Calendar};
use crate::calc::notice::{self, Counted, Heard, Notice};
use crate::events::Details as EventDetails;
use crate::named::named;
use time::{Date, Time};

pub use problems::{ASK, Problem};
pub use says::{deadline_says, heard_says, notice_says, rule_says};
pub use store::{
    Refused, add, add_sending, add_usual, find, forget, hand_back, hand_over, known_rules, of_event, read_back,
    receive, remove, remove_sending, save,
};
pub use usual::{KnownRules, Usual, usual};

named! {
    /// What type of paper it is.
    Kind, "Choose a type.", KINDS: [
        Permit = "permit",
        Notice = "notice",
        Answer = "written answer",
        Other = "other",
    ]
}

named! {
    /// What we know about the notice required.
    RuleKind, "Choose what the authority said.", RULES: [
        NotAsked = "not yet asked",
        None = "none",
        Days = "days before",
    ]
}

named! {
    /// How days are counted.
    DayKind, "Choose working or calendar days.", DAY_KINDS: [
        Working = "working",
        Calendar = "calendar",
    ]
}

named! {
    /// What the days are counted from.
    CountedWhen, "Choose the day you send it or the day they receive it.", COUNTED_WHEN: [
        Sent = "sent",
        Received = "received",
    ]
}

named! {
    /// Which dates must be on it.
    DatesOnIt, "Choose which dates must be on it.", DATES_ON_IT: [
        BurnDay = "burn day",
        RainDate = "rain date",
        Both = "both",
    ]
}

/// How much notice is required.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rule {
    /// No one has asked the authority. It limits nothing, and nothing is assumed.
    NotAsked,
    /// The authority requires no notice.
    None(Learned),
    /// This many days before.
    Days { rule: notice::Rule, dates: DatesOnIt, learned: Learned },
}

/// Who in the department asked, and when.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Learned {
    pub by: String,
    pub on: Option<Date>,
}

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

impl RuleKind {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::NotAsked => "Not asked yet",
            Self::None => "No notice required",
            Self::Days => "Notice required",
        }
    }
}

impl DatesOnIt {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::BurnDay => "burn day",
            Self::RainDate => "rain date",
            Self::Both => "burn day and rain date",
        }
    }

    #[must_use]
    pub fn wants_burn_day(self) -> bool {
        self != Self::RainDate
    }

    #[must_use]
    pub fn wants_rain_date(self) -> bool {
        self != Self::BurnDay
    }
}

impl DayKind {
    #[must_use]
    pub fn basis(self) -> Basis {
        if self == Self::Working { Basis::Working } else { Basis::Calendar }
    }

    #[must_use]
    pub fn of(basis: Basis) -> Self {
        if basis == Basis::Working { Self::Working } else { Self::Calendar }
    }
}

impl CountedWhen {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Sent => "the day you send it",
            Self::Received => "the day they receive it",
        }
    }

    #[must_use]
    pub fn counted(self) -> Counted {
        if self == Self::Sent { Counted::Sent } else { Counted::Received }
    }

    #[must_use]
    pub fn of(counted: Counted) -> Self {
        if counted == Counted::Sent { Self::Sent } else { Self::Received }
    }
}

impl Rule {
    #[must_use]
    pub fn kind(&self) -> RuleKind {
        match self {
            Self::NotAsked => RuleKind::NotAsked,
            Self::None(_) => RuleKind::None,
            Self::Days { .. } => RuleKind::Days,
        }
    }

    #[must_use]
    pub fn learned(&self) -> Option<&Learned> {
        match self {
            Self::NotAsked => None,
            Self::None(learned) | Self::Days { learned, .. } => Some(learned),
        }
    }
}

impl Permit {
    /// The address of its page.
    #[must_use]
    pub fn href(&self) -> String {
        format!("/events/{}/permits/{}", self.event_id, self.id)
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
        let burn_on = Some(event.burn_on).filter(|_| dates.wants_burn_day());
        let rain_on = event.rain_on.filter(|_| dates.wants_rain_date());
        burn_on.into_iter().chain(rain_on).collect()
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
