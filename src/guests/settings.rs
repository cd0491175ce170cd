//! What a department decides about guests once: the order of offices, the sponsor levels, and
//! how early each level is invited.

use crate::calc::calendar::{Basis, Calendar};
use crate::calc::homes::Home;
use crate::calc::offices::{self, Found, Meaning};
use crate::named::named;
use crate::web::words;
use serde_json::{Value, json};
use time::{Date, Duration};

named! {
    /// The level of an office, which decides how early it is invited.
    Level, "Choose a level.", LEVELS: [
        Local = "local",
        Regional = "regional",
        State = "state",
        Federal = "federal",
        Sponsor = "sponsor",
    ]
}

/// The levels of offices.
pub const OFFICE_LEVELS: [&str; 4] = ["local", "regional", "state", "federal"];

/// An office on the department's list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Office {
    pub id: i64,
    pub name: String,
    pub level: Level,
    /// What goes before its holder's name: "The Honorable".
    pub address: String,
    pub is_host: bool,
    pub before_host: bool,
}

/// A sponsor level on the department's list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SponsorLevel {
    pub id: i64,
    pub name: String,
}

/// How long before burn day a level is invited.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct InvitationLead {
    pub level: Level,
    pub days: u16,
    pub basis: Basis,
}

/// The department's settings for guests.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GuestSettings {
    /// High to low.
    pub offices: Vec<Office>,
    /// Highest first.
    pub levels: Vec<SponsorLevel>,
    pub leads: Vec<InvitationLead>,
    /// Where the department is: stored with the department.
    pub home: Home,
    /// Who usually signs invitations, if not the sender.
    pub signer: Option<(i64, String)>,
    /// Words per minute.
    pub rate: u32,
    pub version: i64,
}

impl GuestSettings {
    /// Is someone with this office and jurisdiction in their own jurisdiction here?
    #[must_use]
    pub fn is_ours(&self, office: &str, jurisdiction: &str) -> bool {
        let usual = match offices::read(office, jurisdiction).0 {
            Meaning::One(usual) => Some(usual),
            Meaning::Either(..) | Meaning::Unknown => None,
        };
        self.home.has(usual, jurisdiction)
    }

    /// The office on the list that this is, or the closest ones.
    #[must_use]
    pub fn find_office(&self, office: &str, jurisdiction: &str) -> Found {
        let names: Vec<&str> = self.offices.iter().map(|office| office.name.as_str()).collect();
        offices::find(&names, office, jurisdiction)
    }

    /// The date by which a level is invited.
    #[must_use]
    pub fn due(&self, level: Level, burn_on: Date, calendar: &Calendar) -> Date {
        let lead = self.leads.iter().find(|lead| lead.level == level);
        let Some(lead) = lead else { return burn_on };
        match lead.basis {
            Basis::Working => calendar.before(burn_on, u32::from(lead.days)),
            Basis::Calendar => calendar.before(burn_on - Duration::days(i64::from(lead.days)), 0),
        }
    }

    pub(super) fn snapshot(&self) -> Value {
        let office = |office: &Office| {
            let marks = [(office.is_host, " (host in its own town)"), (office.before_host, " (goes before the host)")];
            let marks: String = marks.iter().filter(|(is, _)| *is).map(|(_, says)| *says).collect();
            format!("{}{marks}", office.name)
        };
        let lead = |lead: &InvitationLead| format!("{} {}", lead.level, words::days(u32::from(lead.days), lead.basis));
        json!({
            "offices": self.offices.iter().map(office).collect::<Vec<_>>().join("; "),
            "sponsor levels": self.levels.iter().map(|level| level.name.as_str()).collect::<Vec<_>>().join("; "),
            "invited before burn day": self.leads.iter().map(lead).collect::<Vec<_>>().join("; "),
            "invitations signed by": self.signer.as_ref().map(|(_, name)| name.as_str()).unwrap_or_default(),
            "words a minute": self.rate,
        })
    }
}

pub(super) fn basis(basis: Basis) -> &'static str {
    if basis == Basis::Working { "working" } else { "calendar" }
}
