//! The department's settings for guests.

use super::unknown::unknown;
use crate::accounts;
use crate::calc::calendar::Basis;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::guests::settings::{GuestSettings, InvitationLead, Office, SponsorLevel, basis};
use crate::people;
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// The department's settings for guests.
pub async fn settings(db: &mut SqliteConnection) -> Result<GuestSettings> {
    let rows = sqlx::query!(
        r#"select id as "id!", name, level, address, is_host, before_host from office order by place, name, id"#
    );
    let mut offices = Vec::new();
    for row in rows.fetch_all(&mut *db).await? {
        offices.push(Office {
            id: row.id,
            name: row.name,
            level: row.level.parse().map_err(|_| unknown("level"))?,
            address: row.address,
            is_host: row.is_host != 0,
            before_host: row.before_host != 0,
        });
    }
    let levels =
        sqlx::query_as!(SponsorLevel, r#"select id as "id!", name from sponsor_level order by place, name, id"#)
            .fetch_all(&mut *db)
            .await?;
    let rows = sqlx::query!("select level, days, basis from invitation_lead").fetch_all(&mut *db).await?;
    let mut leads = Vec::new();
    for row in rows {
        leads.push(InvitationLead {
            level: row.level.parse().map_err(|_| unknown("level"))?,
            days: u16::try_from(row.days)?,
            basis: if row.basis == "working" { Basis::Working } else { Basis::Calendar },
        });
    }
    leads.sort_by_key(|lead| lead.level);
    let row = sqlx::query!("select rate, signer_id, version from guest_habit where id = 1").fetch_one(&mut *db).await?;
    let signer = match row.signer_id {
        Some(id) => people::find(&mut *db, id).await?.map(|person| (id, person.details.name)),
        None => None,
    };
    let home = accounts::department_in(db).await?.unwrap_or_default().home;
    Ok(GuestSettings { offices, levels, leads, home, signer, rate: u32::try_from(row.rate)?, version: row.version })
}

/// Saves them. An office or level with the number 0 is new; one that is missing is
/// removed, also from the guests who have it. False if someone else changed them in the
/// meantime.
pub async fn save_settings(tx: &mut Tx, actor: Actor, new: &GuestSettings, now: OffsetDateTime) -> Result<bool> {
    let old = settings(tx).await?;
    if old.version != new.version {
        return Ok(false);
    }
    let (rate, signer) = (i64::from(new.rate), new.signer.as_ref().map(|(id, _)| *id));
    sqlx::query!("update guest_habit set rate = ?, signer_id = ?, version = version + 1 where id = 1", rate, signer)
        .execute(&mut **tx)
        .await?;
    save_leads(tx, &new.leads).await?;
    save_offices(tx, &old.offices, &new.offices).await?;
    save_levels(tx, &old.levels, &new.levels).await?;
    let entry = Entry {
        actor,
        verb: "changed",
        subject: "guest settings",
        subject_id: None,
        event_id: None,
        title: "Order of guests",
        before: Some(old.snapshot()),
        after: Some(new.snapshot()),
    };
    record(tx, now, entry);
    Ok(true)
}

/// How early each level is invited.
async fn save_leads(tx: &mut Tx, leads: &[InvitationLead]) -> Result<()> {
    for lead in leads {
        let (level, days, basis) = (lead.level.as_str(), i64::from(lead.days), basis(lead.basis));
        sqlx::query!("update invitation_lead set days = ?, basis = ? where level = ?", days, basis, level)
            .execute(&mut **tx)
            .await?;
    }
    Ok(())
}

/// In this order. One that is missing is removed, also from its guests.
async fn save_offices(tx: &mut Tx, old: &[Office], new: &[Office]) -> Result<()> {
    let gone = old.iter().filter(|office| new.iter().all(|kept| kept.id != office.id));
    for office in gone {
        sqlx::query!("update guest set office_id = null where office_id = ?", office.id).execute(&mut **tx).await?;
        sqlx::query!("delete from office where id = ?", office.id).execute(&mut **tx).await?;
    }
    // Two may swap names.
    for office in new.iter().filter(|office| office.id != 0) {
        let aside = format!("\u{1}{}", office.id);
        sqlx::query!("update office set name = ? where id = ?", aside, office.id).execute(&mut **tx).await?;
    }
    for (place, office) in (1i64..).zip(new) {
        let (id, level) = (Some(office.id).filter(|id| *id != 0), office.level.as_str());
        sqlx::query!(
            "insert into office (id, place, name, level, address, is_host, before_host) values (?, ?, ?, ?, ?, ?, ?)
             on conflict (id) do update set place = excluded.place, name = excluded.name, level = excluded.level,
                 address = excluded.address, is_host = excluded.is_host, before_host = excluded.before_host",
            id,
            place,
            office.name,
            level,
            office.address,
            office.is_host,
            office.before_host
        )
        .execute(&mut **tx)
        .await?;
    }
    Ok(())
}

/// In this order. One that is missing is removed, also from its guests.
async fn save_levels(tx: &mut Tx, old: &[SponsorLevel], new: &[SponsorLevel]) -> Result<()> {
    let gone = old.iter().filter(|level| new.iter().all(|kept| kept.id != level.id));
    for level in gone {
        sqlx::query!("update guest set sponsor_level_id = null where sponsor_level_id = ?", level.id)
            .execute(&mut **tx)
            .await?;
        sqlx::query!("delete from sponsor_level where id = ?", level.id).execute(&mut **tx).await?;
    }
    for level in new.iter().filter(|level| level.id != 0) {
        let aside = format!("\u{1}{}", level.id);
        sqlx::query!("update sponsor_level set name = ? where id = ?", aside, level.id).execute(&mut **tx).await?;
    }
    for (place, level) in (1i64..).zip(new) {
        let id = Some(level.id).filter(|id| *id != 0);
        sqlx::query!(
            "insert into sponsor_level (id, place, name) values (?, ?, ?)
             on conflict (id) do update set place = excluded.place, name = excluded.name",
            id,
            place,
            level.name
        )
        .execute(&mut **tx)
        .await?;
    }
    Ok(())
}
