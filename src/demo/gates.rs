//! The demo's gates. Gusts are forecast at a number that holds the burn, and the safety officer
//! hasn't adopted one limit. The numbers are invented.

use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::events::Event;
use crate::gates::{self, Gate, Measure, Noted};
use time::{Duration, OffsetDateTime};

/// What is still to be adopted.
const OPEN: &str = "Rain and damp rooms";
/// Forecasts in the gate's unit, or the place of a choice.
const FORECASTS: [(&str, f64); 7] = [
    ("Wind", 8.0),
    ("Gusts", 16.0),
    ("Red Flag Warning", 0.0),
    ("Burn ban", 0.0),
    ("Air quality", 0.0),
    ("Cold", 48.0),
    ("Emergency cover", 0.0),
];

pub(super) async fn fill(
    tx: &mut Tx,
    (account, safety_officer): (i64, i64),
    event: &Event,
    now: OffsetDateTime,
) -> Result<()> {
    let begun = now - Duration::days(9);
    gates::add(tx, Actor::Account(account), event.id, gates::usual(), begun).await?;
    for gate in gates::of_event(tx, event.id).await? {
        if !gate.is_adopted() && gate.details.name != OPEN {
            gates::adopt(tx, safety_officer, &gate, begun + Duration::days(2)).await?;
        }
        if let Some((_, value)) = FORECASTS.iter().find(|(name, _)| *name == gate.details.name) {
            forecast(tx, safety_officer, &gate, *value, now - Duration::minutes(40)).await?;
        }
    }
    Ok(())
}

async fn forecast(tx: &mut Tx, account: i64, gate: &Gate, value: f64, at: OffsetDateTime) -> Result<()> {
    let note = if gate.details.measure == Measure::Gust { "after noon, from the west" } else { "" };
    let noted = Noted { value, air: None, is_forecast: true, note: note.to_owned(), at };
    gates::add_reading(tx, account, gate, &noted, "computer", at).await
}
