//! What the forms of a record have in common.

use crate::web::form;
use serde::Deserialize;
use time::Date;

/// The answer to a form that changes nothing.
pub(super) const ALREADY: &str = "That was already saved. Nothing changed.";

/// A day on which something was done.
#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct DayForm {
    /// The day; empty takes it back.
    pub on: String,
    pub version: i64,
}

/// What was typed, if anything was.
pub(super) fn optional<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Option<T>, String> {
    if text.trim().is_empty() { Ok(None) } else { read(text).map(Some) }
}

/// A day that isn't after today.
pub(super) fn past(text: &str, today: Date) -> Result<Date, String> {
    let on = form::day(text)?;
    if on > today { Err("This day is in the future. Enter today or an earlier day.".to_owned()) } else { Ok(on) }
}
