//! The demo's accounts.

use crate::accounts::{self, Department, Role};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use anyhow::anyhow;
use time::OffsetDateTime;

/// The demo's accounts and their roles.
const ACCOUNTS: [(&str, &str, Role); 8] = [
    ("Priya Okafor", "priya@example.org", Role::EducationOfficer),
    ("Jun Castellane", "jun@example.org", Role::InformationOfficer),
    ("Dele Aldous", "dele@example.org", Role::SafetyOfficer),
    ("Ana Ruiz", "ana@example.org", Role::BurnBoss),
    ("Fenwick Tamura", "fenwick@example.org", Role::IncidentCommander),
    ("Tomás Brandt", "tomas@example.org", Role::CrewLead),
    ("Wren Ibarra", "wren@example.org", Role::Timekeeper),
    ("Marisol Teague", "marisol@example.org", Role::Reader),
];

pub(super) async fn fill(tx: &mut Tx, department: &Department, hash: &str, at: OffsetDateTime) -> Result<Actor> {
    let (name, mail, _) = ACCOUNTS[0];
    let officer = accounts::set_up(tx, department, name, mail, hash, at).await?;
    let officer = Actor::Account(officer.ok_or_else(|| anyhow!("the demo's store is not empty"))?);
    for (name, mail, role) in &ACCOUNTS[1..] {
        accounts::invite(tx, officer, name, mail, *role, at).await?.map_err(|why| anyhow!("{mail}: {why:?}"))?;
    }
    for account in accounts::list_in(tx).await?.into_iter().filter(|account| !account.joined) {
        accounts::change_password(tx, Actor::Link, &account, hash, at).await?;
    }
    Ok(officer)
}
