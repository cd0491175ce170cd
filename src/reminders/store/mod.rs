//! The rules that a department changed, and what became of reminders.

mod became;
mod rules;

pub(super) use became::{Became, Settled, became, day, last_said, settle, skip, unsay_unsent};
pub use rules::chase_before;
pub(super) use rules::{rules, save_rule};
