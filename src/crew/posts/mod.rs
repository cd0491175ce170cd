//! The positions of an event.

pub(super) mod form;
pub(super) mod routes;
pub(super) mod store;
pub mod template;

use super::Hours;
use crate::calc::duties::Duty;
use crate::crew::Qualification;
use serde_json::{Value, json};

/// The most people the positions of one event can need together. A proposal for more would
/// take longer than anyone would wait.
pub const MOST_PLACES: u16 = 1_000;

/// What is set for a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Details {
    pub duty: Duty,
    pub name: String,
    pub needed: u16,
    pub hours: Hours,
    /// Where it is.
    pub spot: String,
    pub reports_to: String,
    pub wear: String,
    pub bring: String,
    /// What the people in it must look out for.
    pub cautions: String,
    /// There is no ignition without it.
    pub is_critical: bool,
    /// Numbers of the qualifications it requires.
    pub needs: Vec<i64>,
}

/// A position of the crew on burn day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Post {
    pub id: i64,
    pub event_id: i64,
    pub details: Details,
    pub version: i64,
}

impl Details {
    fn snapshot(&self, known: &[Qualification]) -> Value {
        let name = |id: &i64| known.iter().find(|one| one.id == *id).map(|one| one.name.clone());
        let needs: Vec<String> = self.needs.iter().filter_map(name).collect();
        json!({
            "duty": self.duty.label(),
            "name": self.name,
            "needed": self.needed,
            "hours": self.hours.says(),
            "where": self.spot,
            "reports to": self.reports_to,
            "wear": self.wear,
            "bring": self.bring,
            "cautions": self.cautions,
            "critical": if self.is_critical { "yes" } else { "no" },
            "qualifications": needs.join(", "),
        })
    }
}
