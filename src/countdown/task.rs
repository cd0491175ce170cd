//! A task of an event, and what people decide about it.

use super::{Owner, Rain, Responsible, Strand, TaskState};
use crate::accounts::{Role, User};
use crate::calc::calendar::Basis;
use crate::calc::notice::Notice;
use crate::calc::plan::Lead;
use crate::web::words;
use serde_json::{Value, json};
use time::{Date, OffsetDateTime};

/// What a task waits for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LinkTo {
    pub earlier: i64,
    pub lag: u16,
    pub basis: Basis,
}

/// What people decide about a task.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Details {
    pub strand: Strand,
    pub title: String,
    /// What to do, in a few sentences.
    pub takes: String,
    pub owner: Owner,
    /// The name of the person responsible, if one is named.
    pub person: Option<String>,
    pub lead: Lead,
    pub duration: u16,
    pub basis: Basis,
    pub rain: Rain,
    pub links: Vec<LinkTo>,
}

/// A notice that must go out with a task, as its permit record has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TaskNotice {
    pub title: String,
    pub href: String,
    pub notice: Notice,
}

/// A task of an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Task {
    pub id: i64,
    /// The template's key, if it came from there.
    pub key: Option<String>,
    pub details: Details,
    /// The notices on its permit records that must name burn day.
    pub notices: Vec<TaskNotice>,
    pub person_id: Option<i64>,
    pub responsible: Responsible,
    pub state: TaskState,
    pub waiting_for: String,
    pub started_on: Option<Date>,
    pub done_on: Option<Date>,
    /// When its status was set, and by whom.
    pub state_at: OffsetDateTime,
    pub state_by: Option<String>,
    /// Burn day itself.
    pub is_burn: bool,
    pub version: i64,
}

impl Task {
    /// Who is responsible, by name if there is one.
    #[must_use]
    pub fn who(&self) -> &str {
        self.responsible.says()
    }

    /// Is it this user's own?
    #[must_use]
    pub fn is_of(&self, user: &User) -> bool {
        self.responsible.is_of(user)
    }

    /// May this user update its status? The officer may for any task, others for
    /// their own, a reader for none.
    #[must_use]
    pub fn is_open_to(&self, user: &User) -> bool {
        user.is_officer() || (user.role != Role::Reader && self.is_of(user))
    }

    /// Is it still to be done?
    #[must_use]
    pub fn is_open(&self) -> bool {
        matches!(self.state, TaskState::ToDo | TaskState::Waiting)
    }
}

/// "60 days before burn day", "2 working days after burn day".
#[must_use]
pub fn lead_says(lead: Lead) -> String {
    let days = words::days(lead.days.unsigned_abs(), lead.basis);
    match lead.days {
        0 => "on burn day".to_owned(),
        1.. => format!("{days} before burn day"),
        _ => format!("{days} after burn day"),
    }
}

impl Details {
    /// The task as the history records it; `title_of` names the earlier tasks.
    pub(super) fn snapshot(&self, title_of: impl Fn(i64) -> String) -> Value {
        let mut after: Vec<String> = self
            .links
            .iter()
            .map(|link| match link.lag {
                0 => title_of(link.earlier),
                lag => {
                    format!("{}, then {} of waiting", title_of(link.earlier), words::days(u32::from(lag), link.basis))
                }
            })
            .collect();
        after.sort();
        json!({
            "strand": self.strand.label(),
            "title": self.title,
            "what to do": self.takes,
            "responsible": self.owner.as_str(),
            "person": self.person,
            "due": lead_says(self.lead),
            "effort": words::days(u32::from(self.duration), self.basis),
            "rain date": self.rain.says(),
            "waits for": after.join("; "),
        })
    }
}
