//! The settings page for guests: the order of offices, the sponsor levels, and how early each
//! level is invited.

mod conflict;
mod form;
mod page;
mod reading;

pub(super) use page::router;
