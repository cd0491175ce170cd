//! Signatures under decisions, which are only added.

use super::entry::of_decision;
use super::lights;
use crate::accounts::{Role, User};
use crate::calc::gates::Light;
use crate::db::Tx;
use crate::db::journal::{Entry, record};
use crate::error::Result;
use crate::gates::decision::Decision;
use crate::gates::signature::{Says, Signature};
use anyhow::anyhow;
use serde_json::json;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// All signatures of an event, oldest first.
pub async fn signatures(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Signature>> {
    let rows = sqlx::query!(
        r#"select s.id as "id!", s.decision, s.account_id, a.person_id, p.name, s.role, s.says, s.reason, s.lights, s.at,
                  s.overtaken_at
           from decision_signature s join account a on a.id = s.account_id join person p on p.id = a.person_id
           where s.event_id = ? order by s.id"#,
        event_id
    );
    let unknown = |text: &str| anyhow!("a signature has an unknown word in the store: {text}");
    let mut all = Vec::new();
    for row in rows.fetch_all(db).await? {
        all.push(Signature {
            id: row.id,
            decision: row.decision.parse().map_err(|_| unknown(&row.decision))?,
            account_id: row.account_id,
            person_id: row.person_id,
            name: row.name,
            role: row.role.parse::<Role>().map_err(|_| unknown(&row.role))?,
            says: row.says.parse::<Says>().map_err(|_| unknown(&row.says))?,
            reason: row.reason,
            lights: lights::read(&row.lights)?,
            at: OffsetDateTime::from_unix_timestamp(row.at)?,
            is_overtaken: row.overtaken_at.is_some(),
        });
    }
    Ok(all)
}

/// What someone signs, and what the gates showed them.
#[derive(Debug, Clone)]
pub struct NewSignature {
    pub event_id: i64,
    pub decision: Decision,
    pub says: Says,
    pub reason: String,
    pub lights: Vec<(i64, Light)>,
}

/// Adds a signature.
pub async fn sign(tx: &mut Tx, user: &User, new: &NewSignature, now: OffsetDateTime) -> Result<()> {
    let (decision, role, says) = (new.decision.as_str(), user.role.as_str(), new.says.as_str());
    let (lights, at) = (lights::write(&new.lights)?, now.unix_timestamp());
    sqlx::query!(
        "insert into decision_signature (event_id, decision, account_id, role, says, reason, lights, at)
         values (?, ?, ?, ?, ?, ?, ?, ?)",
        new.event_id,
        decision,
        user.account_id,
        role,
        says,
        new.reason,
        lights,
        at
    )
    .execute(&mut **tx)
    .await?;
    let after = json!({"signed": says, "as": role, "reason": new.reason});
    let entry = of_decision(user.actor(), "signed", new.event_id, decision);
    record(tx, now, Entry { after: Some(after), ..entry });
    Ok(())
}

/// Marks an event's signatures as given for something that has changed since.
pub async fn overtake(tx: &mut Tx, event_id: i64, now: OffsetDateTime) -> Result<()> {
    let at = now.unix_timestamp();
    sqlx::query!(
        "update decision_signature set overtaken_at = ? where event_id = ? and overtaken_at is null",
        at,
        event_id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
