//! Media check-in on burn day: who is expected, who is here and who escorts them.

mod countdown_items;
mod expected;
mod page;
mod routes;
mod store;

use time::OffsetDateTime;

pub(super) use countdown_items::moves;
pub(super) use routes::router;
pub(super) use store::of_event;

/// What we know about a media person on burn day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PressVisit {
    pub person_id: i64,
    pub person: String,
    pub outlet_id: Option<i64>,
    pub escort_id: Option<i64>,
    pub escort: Option<String>,
    pub arrived_at: Option<OffsetDateTime>,
    /// When the ground rules were signed.
    pub signed_at: Option<OffsetDateTime>,
    /// Was added to the list here, and not by an answer.
    pub by_hand: bool,
}

/// What someone checks off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tick {
    Arrived(bool),
    Signed(bool),
    Escort(Option<i64>),
    Off,
}
