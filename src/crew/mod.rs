//! The crew of burn day: its positions, what they require, who is assigned, and who is
//! on site. A position is a `Post` in the code, an alternate a standby.
//!
//! An assignment gives a person a position for the event. Whether it counts on a date
//! is worked out each time from their answers, their hours and the qualifications that
//! are valid on that date. None of that is stored.

mod asking;
mod assigning;
mod assignment;
mod countdown_items;
mod day;
mod editor;
mod follow;
mod history;
mod home;
mod lines;
mod link;
mod old_rules;
mod page;
mod person;
mod person_references;
mod posts;
mod problems;
mod proposal;
mod question_lines;
mod reply_status;
mod routes;
mod rules;
mod sheet;
mod skills;
mod snapshot;
mod store;
mod violation;
mod whom_to_ask;

pub use crate::asks::Hours;
pub use asking::ask_without_mail;
pub use assigning::{Placed, Placing, place};
pub use assignment::{Assignment, RuleOverride};
pub use countdown_items::{countdown_items, moves};
pub use day::store::{come_in, correct, go_out, signed_in};
pub use day::{Attendance, says as hours_say};
pub use editor::CrewEditor;
pub use follow::{follow, reword};
pub use history::HISTORY;
pub use link::router as public_router;
pub use old_rules::read_old_overrides;
pub use person_references::PERSON_REFERENCES;
pub use posts::form::LINES as POST_LINES;
pub use posts::store::{add as add_post, from_template};
pub use posts::{Details, Post, template};
pub use reply_status::{ReplyStatus, Seat, Seats};
pub use routes::router;
pub use sheet::{CallSheet, CallSheets, Sheet, call_sheets, note_sheet, read_old_call_sheets};
pub use skills::store::{add as add_qualification, check, hold, qualifications_of};
pub use skills::{Holding, Kept, Qualification};
pub use snapshot::{Assigned, CrewSnapshot};
pub use store::{assign, assignments, note_hours, posts_of, unassign};
pub use violation::{Violation, Why};
