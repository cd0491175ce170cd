//! The forms for guests, and how they are read.

mod guest;
mod minutes;
mod new;
mod one_of;

pub(super) use guest::{GuestForm, LINES, OWN};
pub(super) use minutes::{as_minutes, minutes};
pub(super) use new::{New, NewForm};
