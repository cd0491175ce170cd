//! The crew of burn day: its positions, what they require, who is assigned, and who is
//! on site. A position is a `Post` in the code, an alternate a standby.
//!
//! An assignment gives a person a position for the event. Whether it counts on a date
//! is worked out each time from their answers, their hours and the qualifications that
//! are valid on that date. None of that is stored.

mod asking;
mod assigning;
mod countdown_items;
mod day;
mod editor;
mod follow;
mod home;
mod lines;
mod link;
mod old_rules;
mod person;
mod posts;
mod problems;
mod proposal;
mod rules;
mod sheet;
mod skills;
mod snapshot;
mod store;

use crate::state::App;
use axum::Router;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use time::OffsetDateTime;

pub use crate::asks::Hours;
pub use asking::ask_without_mail;
pub use assigning::{Placed, Placing, place};
pub use countdown_items::{countdown_items, moved};
pub use day::store::{come_in, correct, go_out, signed_in};
pub use day::{Attendance, says as hours_say};
pub use editor::CrewEditor;
pub use follow::{follow, reword};
pub use old_rules::read_old_overrides;
pub use posts::form::LINES as POST_LINES;
pub use posts::store::{add as add_post, from_template};
pub use posts::{Details, Post, template};
pub use rules::{Violation, Why};
pub use sheet::{CallSheet, CallSheets, Sheet, call_sheets, note_sheet, read_old_call_sheets};
pub use skills::store::{add as add_qualification, check, hold, qualifications_of};
pub use skills::{Holding, Kept, Qualification};
pub use snapshot::{Assigned, CrewSnapshot, ReplyStatus, Seat, Seats};
pub use store::{assign, assignments, forget, hand_back, hand_over, note_hours, posts_of, unassign};

/// Everything about the crew.
pub fn router() -> Router<App> {
    home::router()
        .merge(posts::routes::router())
        .merge(assigning::router())
        .merge(skills::routes::router())
        .merge(person::router())
        .merge(asking::router())
        .merge(proposal::router())
        .merge(sheet::router())
        .merge(day::routes::router())
        .merge(day::hours::router())
}

/// The private page of a crew member.
pub fn public_router() -> Router<App> {
    link::router()
}

/// A person in a position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assignment {
    pub id: i64,
    pub event_id: i64,
    pub post_id: i64,
    pub person_id: i64,
    /// An alternate, who doesn't count toward the number needed.
    pub is_standby: bool,
    /// The question they were asked about it.
    pub request_id: Option<i64>,
    /// Why a rule was overridden for it.
    pub rule_override: Option<RuleOverride>,
}

/// A rule that was overridden for an assignment, and who decided that.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RuleOverride {
    /// The rules in the words that were shown.
    pub rules: Vec<String>,
    /// Their keys, which count.
    pub keys: Vec<String>,
    pub reason: String,
    pub by: String,
    pub at: OffsetDateTime,
}

/// What moved from one record of a person to another when the two were merged.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Handed {
    assignments: Vec<i64>,
    links: Vec<i64>,
    /// Each an event's number and a day.
    hours: Vec<(i64, String)>,
    holdings: Vec<i64>,
    attendances: Vec<i64>,
}

impl RuleOverride {
    fn snapshot(&self) -> Value {
        json!({"rules": self.rules.join("; "), "reason": self.reason})
    }
}
