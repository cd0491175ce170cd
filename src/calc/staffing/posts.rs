//! A position on one date.

use crate::calc::duties::{Duty, Hours};

/// How much depends on a position. The first is filled first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Priority {
    /// Filled first.
    Critical,
    /// Any other.
    Usual,
}

/// A position on one date.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Post {
    /// Its number.
    pub id: i64,
    /// What is done there.
    pub duty: Duty,
    /// How many people it needs.
    pub seats: u32,
    /// When it is filled.
    pub hours: Hours,
    /// The qualifications it requires.
    pub needs: Vec<i64>,
    /// How much depends on it.
    pub priority: Priority,
}
