//! The pages for permits and notices, and what they contribute to the countdown and to a
//! change of the date. `permit_records` stores the records.

mod countdown_items;
mod editing;
mod facts;
mod fields;
mod form;
mod groups;
mod history;
mod holds;
mod list;
mod moved_record;
mod page;
mod print;
mod problem_line;
mod reading_back;
mod records;
mod removing;
mod routes;
mod sending;
mod sending_form;

pub use countdown_items::{countdown_items, moves};
pub use history::HISTORY;
pub use routes::router;
