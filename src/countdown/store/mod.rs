//! The tasks in the store.

mod changing;
mod entry;
mod notes;
mod reading;
mod rows;
mod status;
mod usual_plan;

pub(super) use changing::{MOST_TASKS, add, remove};
pub(super) use notes::{add_note, notes};
pub(super) use reading::of_event;
pub(super) use status::reset;

pub use changing::save;
pub use reading::read;
pub use status::{NewState, Set, set_state};
pub use usual_plan::add_template;
