//! Changing the date of an event: the rain date with one button, other days that are
//! possible, and one confirmation after a preview.

mod form;
mod preview;
mod routes;
mod suggestions;
mod verdict;

pub(super) use routes::router;
