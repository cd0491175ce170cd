//! Rows of tasks and of what they wait for.

use crate::countdown::{Days, Details, LinkTo, template};
use crate::db::Tx;
use crate::error::Result;
use crate::people;
use time::OffsetDateTime;

/// The details that a row holds in another form.
pub(super) struct Columns {
    pub strand: &'static str,
    pub owner: &'static str,
    /// The person's number.
    pub person: Option<i64>,
    pub lead_basis: &'static str,
    pub basis: &'static str,
    pub rain: &'static str,
}

impl Columns {
    pub async fn of(tx: &mut Tx, details: &Details, now: OffsetDateTime) -> Result<Self> {
        let person = match &details.person {
            Some(name) => Some(people::named(tx, name, now).await?),
            None => None,
        };
        Ok(Self {
            strand: details.strand.as_str(),
            owner: details.owner.as_str(),
            person,
            lead_basis: Days::of(details.lead.basis).as_str(),
            basis: Days::of(details.basis).as_str(),
            rain: details.rain.as_str(),
        })
    }
}

pub(super) async fn insert(
    tx: &mut Tx,
    event_id: i64,
    key: Option<&str>,
    details: &Details,
    now: OffsetDateTime,
) -> Result<i64> {
    let row = Columns::of(tx, details, now).await?;
    let is_burn = key == Some(template::BURN);
    let at = now.unix_timestamp();
    Ok(sqlx::query!(
        "insert into task (event_id, key, strand, title, takes, owner_role, owner_id, lead_days, lead_basis, duration,
                           duration_basis, rain, state, state_at, is_burn)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 'to do', ?, ?)",
        event_id,
        key,
        row.strand,
        details.title,
        details.takes,
        row.owner,
        row.person,
        details.lead.days,
        row.lead_basis,
        details.duration,
        row.basis,
        row.rain,
        at,
        is_burn
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid())
}

pub(super) async fn insert_link(tx: &mut Tx, later: i64, to: &LinkTo) -> Result<()> {
    let basis = Days::of(to.basis).as_str();
    sqlx::query!(
        "insert into task_link (later_id, earlier_id, lag_days, lag_basis) values (?, ?, ?, ?)",
        later,
        to.earlier,
        to.lag,
        basis
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
