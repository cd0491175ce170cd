//! The gates themselves.

use super::entry::entry;
use crate::calc::gates::Worse;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::gates::decision::Decision;
use crate::gates::gate::{Adopted, Basis, Details, Gate};
use crate::gates::measure::Measure;
use anyhow::anyhow;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// The gates of an event, in order.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Gate>> {
    let rows = sqlx::query!(
        r#"select g.id as "id!", g.name, g.look_at, g.measure, g.unit, g.worse, g.amber, g.red, g.choices, g.basis, g.source,
                  g.reader, g.fresh, g.decisions, g.permit_id, g.adopted_at, g.version, p.name as "adopted_by?"
           from gate g left join account a on a.id = g.adopted_by left join person p on p.id = a.person_id
           where g.event_id = ? and g.removed_at is null order by g.position, g.id"#,
        event_id
    );
    let unknown = |text: &str| anyhow!("a gate has an unknown word in the store: {text}");
    let mut all = Vec::new();
    for row in rows.fetch_all(db).await? {
        let names: Vec<String> = serde_json::from_str(&row.decisions)?;
        let decisions = names.iter().map(|name| name.parse::<Decision>().map_err(|_| unknown(name)));
        let adopted = row.adopted_by.zip(row.adopted_at);
        all.push(Gate {
            id: row.id,
            event_id,
            details: Details {
                name: row.name,
                look_at: row.look_at,
                measure: row.measure.parse::<Measure>().map_err(|_| unknown(&row.measure))?,
                unit: row.unit,
                worse: if row.worse == "below" { Worse::Below } else { Worse::Above },
                amber: row.amber,
                red: row.red,
                choices: serde_json::from_str(&row.choices)?,
                basis: row.basis.parse::<Basis>().map_err(|_| unknown(&row.basis))?,
                source: row.source,
                reader: row.reader,
                fresh: u32::try_from(row.fresh)?,
                decisions: decisions.collect::<Result<_, _>>()?,
                permit_id: row.permit_id,
            },
            adopted: match adopted {
                Some((by, at)) => Some(Adopted { by, at: OffsetDateTime::from_unix_timestamp(at)? }),
                None => None,
            },
            version: row.version,
        });
    }
    Ok(all)
}

/// Adds gates behind those that are there.
pub async fn add(tx: &mut Tx, actor: Actor, event_id: i64, new: &[Details], now: OffsetDateTime) -> Result<()> {
    for details in new {
        let id = insert(tx, event_id, details).await?;
        record(
            tx,
            now,
            Entry { after: Some(journaled(details)), ..entry(actor, "added", event_id, id, &details.name) },
        );
    }
    Ok(())
}

async fn insert(tx: &mut Tx, event_id: i64, new: &Details) -> Result<i64> {
    let Written { measure, worse, basis, choices, decisions } = Written::of(new)?;
    let added = sqlx::query!(
        "insert into gate (event_id, name, look_at, measure, unit, worse, amber, red, choices, basis, source, reader, fresh,
                           decisions, permit_id, position)
         values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15,
                 (select coalesce(max(position), 0) + 1 from gate where event_id = ?1))",
        event_id,
        new.name,
        new.look_at,
        measure,
        new.unit,
        worse,
        new.amber,
        new.red,
        choices,
        basis,
        new.source,
        new.reader,
        new.fresh,
        decisions,
        new.permit_id
    );
    Ok(added.execute(&mut **tx).await?.last_insert_rowid())
}

/// Changes a gate. Limits that ask something else have to be adopted again. False if someone
/// else changed it in the meantime.
pub async fn save(tx: &mut Tx, actor: Actor, old: &Gate, new: &Details, now: OffsetDateTime) -> Result<bool> {
    let Written { measure, worse, basis, choices, decisions } = Written::of(new)?;
    let keeps = old.details.asks_the_same(new);
    let done = sqlx::query!(
        "update gate set name = ?, look_at = ?, measure = ?, unit = ?, worse = ?, amber = ?, red = ?, choices = ?, basis = ?,
                         source = ?, reader = ?, fresh = ?, decisions = ?, adopted_by = iif(?, adopted_by, null),
                         adopted_at = iif(?, adopted_at, null), version = version + 1
         where id = ? and version = ? and removed_at is null",
        new.name,
        new.look_at,
        measure,
        new.unit,
        worse,
        new.amber,
        new.red,
        choices,
        basis,
        new.source,
        new.reader,
        new.fresh,
        decisions,
        keeps,
        keeps,
        old.id,
        old.version
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let entry = entry(actor, "changed", old.event_id, old.id, &new.name);
    record(tx, now, Entry { before: Some(journaled(&old.details)), after: Some(journaled(new)), ..entry });
    Ok(true)
}

/// The safety officer adopts a gate's limits as they are. False if someone changed them.
pub async fn adopt(tx: &mut Tx, account: i64, gate: &Gate, now: OffsetDateTime) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update gate set adopted_by = ?, adopted_at = ?, version = version + 1 where id = ? and version = ?",
        account,
        at,
        gate.id,
        gate.version
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let after = json!({"limits": gate.details.says_limits()});
    let entry = entry(Actor::Account(account), "adopted", gate.event_id, gate.id, &gate.details.name);
    record(tx, now, Entry { after: Some(after), ..entry });
    Ok(true)
}

/// Removes a gate. Its readings stay on record. False if someone changed it in the meantime.
pub async fn remove(tx: &mut Tx, actor: Actor, gate: &Gate, now: OffsetDateTime) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update gate set removed_at = ?, version = version + 1 where id = ? and version = ? and removed_at is null",
        at,
        gate.id,
        gate.version
    );
    if done.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let entry = entry(actor, "removed", gate.event_id, gate.id, &gate.details.name);
    record(tx, now, Entry { before: Some(journaled(&gate.details)), ..entry });
    Ok(true)
}

/// Columns that aren't stored as they are.
struct Written {
    measure: &'static str,
    worse: &'static str,
    basis: &'static str,
    choices: String,
    decisions: String,
}

impl Written {
    fn of(details: &Details) -> Result<Self> {
        let decisions: Vec<&str> = details.decisions.iter().map(|decision| decision.as_str()).collect();
        Ok(Self {
            measure: details.measure.as_str(),
            worse: if details.worse == Worse::Below { "below" } else { "above" },
            basis: details.basis.as_str(),
            choices: serde_json::to_string(&details.choices)?,
            decisions: serde_json::to_string(&decisions)?,
        })
    }
}

fn journaled(details: &Details) -> Value {
    let decisions: Vec<&str> = details.decisions.iter().map(|decision| decision.as_str()).collect();
    json!({
        "look at": details.look_at,
        "limits": details.says_limits(),
        "basis": details.basis.as_str(),
        "source": details.source,
        "read by": details.reader,
        "minutes a reading counts": details.fresh,
        "decisions": decisions.join(", "),
    })
}
