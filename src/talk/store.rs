//! All SQL of the talk.

mod entry;
mod lines;
mod objectives;
mod settings;

use super::{TalkLine, starter};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Format;
use time::OffsetDateTime;

pub(super) use entry::entry;
pub use lines::add_line;
pub(super) use lines::{Past, lines, move_line, put_line, remove_line};
pub use objectives::{add_objective, objectives};
pub(super) use objectives::{put_objective, remove_objective};
pub(super) use settings::{put_settings, settings};

/// Begins with the starter talk for the event's format. Objectives and lines are added only
/// where there are none. False if there are both.
pub async fn start(tx: &mut Tx, actor: Actor, event_id: i64, format: Format, now: OffsetDateTime) -> Result<bool> {
    let old = objectives(tx, event_id).await?;
    let has_lines = !lines(tx, event_id).await?.is_empty();
    if has_lines && !old.is_empty() {
        return Ok(false);
    }
    let mut numbers: Vec<Option<i64>> = Vec::new();
    for new in &starter::objectives() {
        numbers.push(if old.is_empty() { Some(add_objective(tx, actor, event_id, new, now).await?) } else { None });
    }
    if !has_lines {
        for (new, objective) in starter::lines(format) {
            let objective = objective.and_then(|place| numbers.get(place).copied().flatten());
            add_line(tx, actor, event_id, &TalkLine { objective, ..new }, now).await?;
        }
    }
    Ok(true)
}
