//! A position on one date.

use crate::calc::duties::{Duty, Hours};

/// How much depends on a position. The first is filled first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Priority {
    Critical,
    Usual,
}

/// A position on one date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Post {
    pub id: i64,
    pub duty: Duty,
    /// How many people it needs.
    pub seats: u32,
    pub hours: Hours,
    /// The qualifications it requires.
    pub needs: Vec<i64>,
    pub priority: Priority,
}
