//! The SQL of the crew, except of its positions, qualifications and attendances.

mod assignments;
mod hours;
mod journal;
mod links;
mod questions;

pub use assignments::{assign, assignments, posts_of, unassign};
pub use hours::note_hours;

pub(super) use assignments::{put_override_keys, set_standby};
pub(super) use hours::hours;
pub(super) use links::{add_link, links, opened};
pub(super) use questions::{put_request, questions};
