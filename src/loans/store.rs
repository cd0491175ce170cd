//! Everything that loans keep.

mod journal;
mod kept;
mod letters;
mod reading;
mod row;
mod saving;
mod spans;
mod steps;

pub(super) use kept::hour;
pub(super) use letters::{NewLetter, Written, add_letter, letters};
pub(super) use reading::{alike, elsewhere, event_of, of_event, of_request, some};
pub use reading::{find, is_out, lent};
pub use saving::add;
pub(super) use saving::{asked, save};
pub(super) use steps::take_back;
pub use steps::{Noted, note};
