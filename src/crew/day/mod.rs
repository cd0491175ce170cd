//! Who is on site: signing in and out.

pub(super) mod hours;
pub(super) mod routes;
pub(super) mod store;
pub(super) mod times;

use time::{Duration, OffsetDateTime};

/// A time someone was, or is, on site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Attendance {
    pub id: i64,
    pub event_id: i64,
    pub person_id: i64,
    pub in_at: OffsetDateTime,
    /// None while they are here.
    pub out_at: Option<OffsetDateTime>,
    /// Why the times were corrected.
    pub reason: String,
    pub version: i64,
}

impl Attendance {
    /// How long they were here. None while they still are.
    #[must_use]
    pub fn lasted(&self) -> Option<Duration> {
        Some(self.out_at? - self.in_at)
    }
}

/// "3 h 25 min".
#[must_use]
pub fn says(lasted: Duration) -> String {
    format!("{} h {:02} min", lasted.whole_hours(), lasted.whole_minutes() % 60)
}
