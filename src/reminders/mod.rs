//! Who hears what when, without anyone having to remember it. Reminders aren't stored:
//! they are worked out each time from the rules, the plan and the answers, so they stop
//! when answered and move with the date. Only what happened to each one is stored.

mod due;
mod follow;
mod history;
mod letters;
mod routes;
mod store;
mod tick;

use crate::asks;
use crate::calc::reminder::{By, Kind, Rule, Whom};
use crate::state::App;
use axum::Router;

pub use follow::follow;
pub use history::HISTORY;
pub use store::chase_before;
pub use tick::tick;

/// What goes out next, and the rules for it.
pub fn router() -> Router<App> {
    routes::router()
}

/// Who is asked this, for the usual rules.
pub(super) fn whom(kind: asks::Kind) -> Whom {
    match kind {
        asks::Kind::Post => Whom::Crew,
        asks::Kind::Guest => Whom::Guests,
        asks::Kind::Loan => Whom::Lenders,
        asks::Kind::Coverage => Whom::Media,
        asks::Kind::Help => Whom::Volunteers,
        asks::Kind::Item => Whom::Givers,
    }
}

/// A rule as it is for an event.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct EventRule {
    pub kind: asks::Kind,
    pub rule: Rule,
    pub is_on: bool,
    pub version: i64,
}

/// What a rule does, in a word or two.
pub(super) fn step(kind: Kind) -> &'static str {
    match kind {
        Kind::Chase => "ask again",
        Kind::Remind => "remind",
        Kind::LastWord => "final check",
    }
}

/// How a rule reaches people.
pub(super) fn by(by: By) -> &'static str {
    match by {
        By::Mail => "email",
        By::Phone => "phone",
    }
}
