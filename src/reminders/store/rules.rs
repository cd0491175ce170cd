//! The rules that a department changed.

use crate::asks;
use crate::calc::calendar::Basis;
use crate::calc::reminder::{Kind, Rule};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::events::Event;
use crate::reminders::event_rule::{EventRule, step};
use crate::web::form;
use crate::web::words;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use std::collections::HashMap;
use time::OffsetDateTime;

/// An event's rules: the usual ones, or the department's own in their place.
pub(in crate::reminders) async fn rules(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<EventRule>> {
    let rows = sqlx::query!(
        "select kind, rule, is_on, days, basis, at, version from reminder_rule where event_id = ?",
        event_id
    );
    let mut own = HashMap::new();
    for row in rows.fetch_all(db).await? {
        own.insert((row.kind.clone(), row.rule.clone()), row);
    }
    let mut rules = Vec::new();
    for kind in asks::Kind::ALL {
        for rule in kind.rules() {
            let mut held = EventRule { kind, rule: *rule, is_on: true, version: 0 };
            if let Some(row) = own.get(&(kind.to_string(), rule.key.to_owned())) {
                held.is_on = row.is_on != 0;
                held.version = row.version;
                held.rule = Rule {
                    days: u16::try_from(row.days)?,
                    basis: if row.basis == "working" { Basis::Working } else { Basis::Calendar },
                    at: form::time_of_day(&row.at).unwrap_or(rule.at),
                    ..held.rule
                };
            }
            rules.push(held);
        }
    }
    Ok(rules)
}

fn snapshot(held: &EventRule) -> Value {
    json!({
        "on": if held.is_on { "yes" } else { "no" },
        "before burn day": words::days(u32::from(held.rule.days), held.rule.basis),
        "at": words::iso_time(held.rule.at),
    })
}

/// Saves a rule. False if someone else changed it in the meantime.
pub(in crate::reminders) async fn save_rule(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    new: &EventRule,
    now: OffsetDateTime,
) -> Result<bool> {
    let known = rules(tx, event.id).await?;
    let old = known.iter().find(|held| held.kind == new.kind && held.rule.key == new.rule.key);
    let Some(old) = old.filter(|old| old.version == new.version) else { return Ok(false) };
    let (kind, rule) = (new.kind.as_str(), new.rule.key);
    let (days, at) = (i64::from(new.rule.days), words::iso_time(new.rule.at));
    let basis = if new.rule.basis == Basis::Working { "working" } else { "calendar" };
    sqlx::query!(
        "insert into reminder_rule (event_id, kind, rule, is_on, days, basis, at) values (?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id, kind, rule) do update
         set is_on = excluded.is_on, days = excluded.days, basis = excluded.basis, at = excluded.at,
             version = version + 1",
        event.id,
        kind,
        rule,
        new.is_on,
        days,
        basis,
        at
    )
    .execute(&mut **tx)
    .await?;
    let title = format!("{}: {}", new.kind.label(), step(new.rule.kind));
    let entry = Entry {
        actor,
        verb: "changed",
        subject: "reminder",
        subject_id: None,
        event_id: Some(event.id),
        title: &title,
        before: Some(snapshot(old)),
        after: Some(snapshot(new)),
    };
    record(tx, now, entry);
    Ok(true)
}

/// Sets how many calendar days before burn day people who haven't answered are asked again.
pub async fn chase_before(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (kind, days): (asks::Kind, u16),
    now: OffsetDateTime,
) -> Result<bool> {
    let known = rules(tx, event.id).await?;
    let chase = known.into_iter().find(|held| held.kind == kind && held.rule.kind == Kind::Chase);
    let Some(held) = chase else { return Ok(false) };
    let rule = Rule { days, basis: Basis::Calendar, ..held.rule };
    save_rule(tx, actor, event, &EventRule { rule, ..held }, now).await
}
