//! Pure computation: no input or output, no clock, no randomness. Everything here takes plain
//! values and returns plain values, so it can be checked against outside references.

#![warn(missing_docs)]

pub mod acknowledge;
pub mod calendar;
pub mod calling;
pub mod coverage;
pub mod dates_in_text;
pub mod duties;
pub mod fire;
pub mod gates;
pub mod homes;
pub mod layout;
pub mod letters;
pub mod notice;
pub mod offices;
pub mod pairs;
pub mod plan;
pub mod precedence;
pub mod program;
pub mod reading;
pub mod reminder;
pub mod site;
pub mod staffing;
pub mod talk;
pub mod weather;
