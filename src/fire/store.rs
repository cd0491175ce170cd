use super::edit;
use super::setup::Setup;
use crate::calc::fire::bands::{Bands, FireTimes};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use serde_json::{Value as Json, json};
use sqlx::SqliteConnection;
use time::{Date, OffsetDateTime};

/// What an estimate rests on, under a name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Setting {
    pub id: i64,
    pub setup: Setup,
    pub version: i64,
}

/// The estimate that the plan for the day rests on.
#[derive(Debug, Clone)]
pub struct Plan {
    pub setup: Setup,
    /// None until its fires were simulated.
    pub bands: Option<Bands>,
    pub pinned_by: Option<String>,
    pub pinned_at: OffsetDateTime,
}

/// What the department measured at an earlier burn, in seconds from lighting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Earlier {
    pub id: i64,
    pub name: String,
    pub on: Date,
    pub alarm: Option<u32>,
    pub sprinkler: Option<u32>,
    pub flashover: Option<u32>,
}

fn typed(setup: &Setup) -> Result<String> {
    Ok(serde_json::to_string(setup)?)
}

/// An event's settings, in the order in which they were added.
///
/// # Errors
/// The store's.
pub async fn settings(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Setting>> {
    let rows =
        sqlx::query!("select id, name, typed, version from fire_setting where event_id = ? order by id", event_id);
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        let setup = Setup { name: row.name, ..serde_json::from_str(&row.typed)? };
        Ok(Setting { id: row.id, setup, version: row.version })
    });
    rows.collect()
}

fn entry<'a>(actor: Actor, verb: &'static str, event_id: i64, id: Option<i64>, title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "fire estimate",
        subject_id: id,
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}

/// Saves a setting: a new one, or one with its number and version. None if someone changed
/// it in the meantime or its name is taken; its number if all is well.
///
/// # Errors
/// The store's.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    setting: &Setting,
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    let (name, typed) = (setting.setup.name.trim(), typed(&setting.setup)?);
    let old = settings(tx, event_id).await?;
    if old.iter().any(|other| other.id != setting.id && other.setup.name == name) {
        return Ok(None);
    }
    let before = old.into_iter().find(|old| old.id == setting.id);
    let (id, verb) = if setting.id == 0 {
        let added =
            sqlx::query!("insert into fire_setting (event_id, name, typed) values (?, ?, ?)", event_id, name, typed);
        (added.execute(&mut **tx).await?.last_insert_rowid(), "added")
    } else {
        let changed = sqlx::query!(
            "update fire_setting set name = ?, typed = ?, version = version + 1
             where id = ? and event_id = ? and version = ?",
            name,
            typed,
            setting.id,
            event_id,
            setting.version
        );
        if changed.execute(&mut **tx).await?.rows_affected() == 0 {
            return Ok(None);
        }
        (setting.id, "changed")
    };
    let (before, after) = match &before {
        Some(before) => (Some(edit::in_history(&before.setup)), edit::in_history(&setting.setup)),
        None => (None, edit::new_in_history(&setting.setup)),
    };
    let entry = entry(actor, verb, event_id, Some(id), name);
    record(tx, now, Entry { before, after: Some(after), ..entry });
    Ok(Some(id))
}

/// Removes a setting; false if it is gone already.
///
/// # Errors
/// The store's.
pub async fn remove(tx: &mut Tx, actor: Actor, event_id: i64, id: i64, now: OffsetDateTime) -> Result<bool> {
    let Some(old) = settings(tx, event_id).await?.into_iter().find(|setting| setting.id == id) else {
        return Ok(false);
    };
    sqlx::query!("delete from fire_setting where id = ? and event_id = ?", id, event_id).execute(&mut **tx).await?;
    let before = Some(edit::new_in_history(&old.setup));
    let entry = entry(actor, "removed", event_id, Some(id), &old.setup.name);
    record(tx, now, Entry { before, ..entry });
    Ok(true)
}

/// The estimate that the plan rests on.
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
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
///
/// # Errors
/// The store's.
pub(super) async fn waiting(db: &mut SqliteConnection) -> Result<Vec<(i64, String)>> {
    let rows =
        sqlx::query!("select event_id, typed from fire_plan where bands is null or fires is null order by pinned_at");
    Ok(rows.fetch_all(db).await?.into_iter().map(|row| (row.event_id, row.typed)).collect())
}

/// Saves what came of a plan's fires, unless another setup was pinned in the meantime.
///
/// # Errors
/// The store's.
pub(super) async fn save_bands(tx: &mut Tx, (event_id, typed): (i64, String), bands: &Bands) -> Result<()> {
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
///
/// # Errors
/// The store's.
pub(super) async fn fires(db: &mut SqliteConnection, event_id: i64) -> Result<Option<Vec<FireTimes>>> {
    let fires = sqlx::query_scalar!("select fires from fire_plan where event_id = ?", event_id);
    let Some(fires) = fires.fetch_optional(db).await?.flatten() else { return Ok(None) };
    let fires: Vec<Stored> = serde_json::from_str(&fires)?;
    let fire = |times: Stored| {
        let [alarm, sprinkler, flashover] = times.map(|time| time.unwrap_or(f64::INFINITY));
        FireTimes { alarm, sprinkler, flashover }
    };
    Ok(Some(fires.into_iter().map(fire).collect()))
}

/// The department's earlier burns, the latest first.
///
/// # Errors
/// The store's.
pub async fn earlier(db: &mut SqliteConnection) -> Result<Vec<Earlier>> {
    let rows = sqlx::query!(
        r#"select id, name, burned_on as "on: Date", alarm_s, sprinkler_s, flashover_s from earlier_burn
           order by burned_on desc, id"#
    );
    let seconds = |time: Option<i64>| time.map(u32::try_from).transpose();
    let rows = rows.fetch_all(db).await?.into_iter().map(|row| {
        Ok(Earlier {
            id: row.id,
            name: row.name,
            on: row.on,
            alarm: seconds(row.alarm_s)?,
            sprinkler: seconds(row.sprinkler_s)?,
            flashover: seconds(row.flashover_s)?,
        })
    });
    rows.collect()
}

fn in_history(earlier: &Earlier) -> Json {
    let seconds = |time: Option<u32>| time.map(|time| format!("{time} s"));
    json!({
        "day": earlier.on.to_string(),
        "smoke alarm": seconds(earlier.alarm),
        "sprinkler": seconds(earlier.sprinkler),
        "flashover": seconds(earlier.flashover),
    })
}

fn burned<'a>(actor: Actor, verb: &'static str, earlier: &'a Earlier) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "earlier burn",
        subject_id: Some(earlier.id),
        event_id: None,
        title: &earlier.name,
        before: None,
        after: None,
    }
}

/// Adds an earlier burn.
///
/// # Errors
/// The store's.
pub async fn add_earlier(tx: &mut Tx, actor: Actor, earlier: &Earlier, now: OffsetDateTime) -> Result<()> {
    let id = sqlx::query!(
        "insert into earlier_burn (name, burned_on, alarm_s, sprinkler_s, flashover_s) values (?, ?, ?, ?, ?)",
        earlier.name,
        earlier.on,
        earlier.alarm,
        earlier.sprinkler,
        earlier.flashover
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    let earlier = Earlier { id, ..earlier.clone() };
    record(tx, now, Entry { after: Some(in_history(&earlier)), ..burned(actor, "added", &earlier) });
    Ok(())
}

/// Removes an earlier burn; false if it is gone already.
///
/// # Errors
/// The store's.
pub async fn remove_earlier(tx: &mut Tx, actor: Actor, id: i64, now: OffsetDateTime) -> Result<bool> {
    let Some(old) = earlier(tx).await?.into_iter().find(|earlier| earlier.id == id) else { return Ok(false) };
    sqlx::query!("delete from earlier_burn where id = ?", id).execute(&mut **tx).await?;
    record(tx, now, Entry { before: Some(in_history(&old)), ..burned(actor, "removed", &old) });
    Ok(true)
}
