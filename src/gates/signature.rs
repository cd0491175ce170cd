//! What the people in charge sign.

use super::decision::Decision;
use crate::accounts::Role;
use crate::calc::gates::Light;
use crate::named::named;
use time::OffsetDateTime;

named! {
    /// What a signature says.
    Says, "Choose what to sign.", SAYS: [
        Go = "go",
        Hold = "hold",
        NoBurn = "no burn",
        // Anyone on the crew may say it.
        Stop = "stop",
    ]
}

/// A signature under a decision.
#[derive(Debug, Clone, PartialEq)]
pub struct Signature {
    pub id: i64,
    pub decision: Decision,
    pub account_id: i64,
    pub person_id: i64,
    pub name: String,
    pub role: Role,
    pub says: Says,
    pub reason: String,
    /// What each gate showed.
    pub lights: Vec<(i64, Light)>,
    pub at: OffsetDateTime,
    /// The day, the hour, the site, or the order of the fires changed since.
    pub is_overtaken: bool,
}
