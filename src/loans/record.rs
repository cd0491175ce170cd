//! The condition record of a pickup or a return.

use super::condition::Condition;
use time::{Date, Time};

/// The condition of an item at pickup or at return.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    pub id: i64,
    pub step_id: i64,
    pub is_return: bool,
    pub on: Date,
    pub at: Time,
    pub given_by: String,
    pub taken_by: String,
    pub condition: Condition,
    pub notes: String,
    /// Side and number of each photo.
    pub photos: Vec<(usize, i64)>,
}
