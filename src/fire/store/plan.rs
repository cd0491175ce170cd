//! The plan, and the fires that were simulated for it.

use super::settings::{entry, typed};
use crate::calc::fire::bands::{Bands, FireTimes};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::fire::setup::Setup;
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// The estimate that the plan for the day rests on.
#[derive(Debug, Clone)]
pub struct Plan {
    pub setup: Setup,
    /// None until its fires were simulated.
    pub bands: Option<Bands>,
    pub pinned_by: Option<String>,
    pub pinned_at: OffsetDateTime,
}

/// The estimate that the plan rests on.
pub async fn plan(db: &mut SqliteConnection, event_id: i64) -> Result<Option<Plan>> {
    let row = sqlx::query!(
        r#"select f.name, f.typed, f.bands, p.name as "pinned_by?", f.pinned_at
           from fire_plan f left join account a on a.id = f.pinned_by left join person p on p.id = a.person_id
           where f.event_id = ?"#,
        event_id
    );
    let Some(row) = row.fetch_optional(db).await? else { return Ok(None) };
    Ok(Some(Plan {
        setup: Setup { name: row.name, ..serde_json::from_str(&row.typed)? },
        // Another version may have stored them differently.
        bands: row.bands.as_deref().and_then(|bands| serde_json::from_str(bands).ok()),
        pinned_by: row.pinned_by,
        pinned_at: OffsetDateTime::from_unix_timestamp(row.pinned_at)?,
    }))
}

/// Pins an estimate as the plan for the day; its fires are still to be simulated.
pub async fn pin(tx: &mut Tx, account: i64, event_id: i64, setup: &Setup, now: OffsetDateTime) -> Result<()> {
    let before = plan(tx, event_id).await?.map(|plan| json!({"plan": plan.setup.name}));
    let (typed, at) = (typed(setup)?, now.unix_timestamp());
    sqlx::query!(
        "insert into fire_plan (event_id, name, typed, pinned_by, pinned_at) values (?, ?, ?, ?, ?)
         on conflict (event_id) do update set name = excluded.name, typed = excluded.typed, bands = null,
            fires = null, pinned_by = excluded.pinned_by, pinned_at = excluded.pinned_at",
        event_id,
        setup.name,
        typed,
        account,
        at
    )
    .execute(&mut **tx)
    .await?;
    let entry = entry(Actor::Account(account), "pinned", event_id, None, &setup.name);
    record(tx, now, Entry { before, after: Some(json!({"plan": setup.name})), ..entry });
    Ok(())
}

/// The events whose plan still waits for its fires, each with what the plan rests on, as it is
/// stored.
pub(in crate::fire) async fn waiting(db: &mut SqliteConnection) -> Result<Vec<(i64, String)>> {
    let rows =
        sqlx::query!("select event_id, typed from fire_plan where bands is null or fires is null order by pinned_at");
    Ok(rows.fetch_all(db).await?.into_iter().map(|row| (row.event_id, row.typed)).collect())
}

/// Saves what came of a plan's fires, unless another setup was pinned in the meantime.
pub(in crate::fire) async fn save_bands(tx: &mut Tx, (event_id, typed): (i64, String), bands: &Bands) -> Result<()> {
    let fires: Vec<Stored> = bands.fires.iter().map(stored).collect();
    let (bands, fires) = (serde_json::to_string(bands)?, serde_json::to_string(&fires)?);
    sqlx::query!(
        "update fire_plan set bands = ?, fires = ? where event_id = ? and typed = ?",
        bands,
        fires,
        event_id,
        typed
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// A fire's alarm, sprinkler, and flashover, s, as the store has them.
type Stored = [Option<f64>; 3];

/// To a tenth of a second: more than any estimate deserves.
fn stored(fire: &FireTimes) -> Stored {
    [fire.alarm, fire.sprinkler, fire.flashover].map(|time| time.is_finite().then_some((time * 10.0).round() / 10.0))
}

/// The fires that were simulated for an event's plan. None without a plan, or before they are
/// simulated.
pub(in crate::fire) async fn fires(db: &mut SqliteConnection, event_id: i64) -> Result<Option<Vec<FireTimes>>> {
    let fires = sqlx::query_scalar!("select fires from fire_plan where event_id = ?", event_id);
    let Some(fires) = fires.fetch_optional(db).await?.flatten() else { return Ok(None) };
    let fires: Vec<Stored> = serde_json::from_str(&fires)?;
    let fire = |times: Stored| {
        let [alarm, sprinkler, flashover] = times.map(|time| time.unwrap_or(f64::INFINITY));
        FireTimes { alarm, sprinkler, flashover }
    };
    Ok(Some(fires.into_iter().map(fire).collect()))
}
