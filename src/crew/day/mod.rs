//! Who is on the site: signing in and out.

pub(super) mod store;

use time::OffsetDateTime;

/// That somebody was, or is, on the site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attendance {
    pub id: i64,
    pub event_id: i64,
    pub person_id: i64,
    pub in_at: OffsetDateTime,
    /// None while they are in.
    pub out_at: Option<OffsetDateTime>,
    /// Why a time was put right by hand.
    pub reason: String,
    pub version: i64,
}
