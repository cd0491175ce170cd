//! Who stands where on burn day: posts, what they ask for, who is assigned, and
//! who is on the site.
//!
//! An assignment is a person at a post for the event. Whether it holds on a date
//! is worked out from the ledger of asks, from hours and from qualifications of
//! that date; nothing of that is kept.

mod asking;
mod assigning;
mod book;
mod day;
mod follow;
mod home;
mod keeper;
mod link;
mod person;
mod posts;
mod proposal;
mod rules;
mod sheet;
mod skills;
mod store;
mod told;

use crate::state::App;
use axum::Router;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use time::OffsetDateTime;

pub use crate::asks::Hours;
pub use asking::{ask_all, ask_without_mail};
pub use assigning::{Placed, Placing, place};
pub use book::{Assigned, Book, Seat, Seats, Standing};
pub use day::store::{come_in, correct, go_out, signed_in};
pub use day::{Attendance, says as hours_say};
pub use follow::follow;
pub use keeper::CrewKeeper;
pub use posts::form::LINES as POST_LINES;
pub use posts::store::{add as add_post, from_template};
pub use posts::{Details, Post, template};
pub use rules::{Violation, Why};
pub use sheet::{CallSheets, Sheet, call_sheets};
pub use skills::store::{add as add_qualification, check, hold, qualifications_of};
pub use skills::{Holding, Kept, Qualification};
pub use store::{assign, assignments, forget, hand_back, hand_over, note_hours, posts_of, unassign};
pub use told::{moved, told};

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

/// The private page of one of the crew.
pub fn public_router() -> Router<App> {
    link::router()
}

/// Somebody at a post.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assignment {
    pub id: i64,
    pub event_id: i64,
    pub post_id: i64,
    pub person_id: i64,
    /// Stands by and fills no seat.
    pub is_standby: bool,
    /// What they were asked about it.
    pub request_id: Option<i64>,
    /// Why it stands against a rule.
    pub all_the_same: Option<AllTheSame>,
}

/// That somebody stands at a post against a rule, and who decided so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AllTheSame {
    /// The rules in words, as they were shown.
    pub rules: Vec<String>,
    pub reason: String,
    pub by: String,
    pub at: OffsetDateTime,
}

/// What was handed from one row of a person to another.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Handed {
    assignments: Vec<i64>,
    links: Vec<i64>,
    /// Of events, for days.
    hours: Vec<(i64, String)>,
    holdings: Vec<i64>,
    attendances: Vec<i64>,
}

impl AllTheSame {
    fn snapshot(&self) -> Value {
        json!({"rules": self.rules.join("; "), "reason": self.reason})
    }
}
