//! Adding people one by one, and changing them.

use super::journaled::{entry, snapshot};
use super::reading::find;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::people::person::{Details, Person};
use time::OffsetDateTime;

/// The person with this name, added if there is none.
pub async fn named(tx: &mut Tx, name: &str, now: OffsetDateTime) -> Result<i64> {
    let known = sqlx::query_scalar!(
        r#"select id as "id!" from person where name = ? and forgotten_at is null and merged_into is null
           order by id limit 1"#,
        name
    )
    .fetch_optional(&mut **tx)
    .await?;
    if let Some(id) = known {
        return Ok(id);
    }
    let at = now.unix_timestamp();
    let details = Details::of_name(name);
    let search = details.search();
    let id = next_id(tx).await?;
    sqlx::query!(
        "insert into person (id, name, surname, search, created_at) values (?, ?, ?, ?, ?)",
        id,
        details.name,
        details.surname,
        search,
        at
    )
    .execute(&mut **tx)
    .await?;
    Ok(id)
}

/// Adds a person.
pub async fn add(tx: &mut Tx, actor: Actor, details: &Details, now: OffsetDateTime) -> Result<i64> {
    let organization = organization(tx, &details.organization, now).await?;
    let (channel, search) = (details.channel.as_str(), details.search());
    let at = now.unix_timestamp();
    let id = next_id(tx).await?;
    sqlx::query!(
        "insert into person (id, name, surname, address_form, said, organization_id, office, jurisdiction, mail, phone,
                             channel, notes, access_needs, no_mail, search, created_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        id,
        details.name,
        details.surname,
        details.address_form,
        details.said,
        organization,
        details.office,
        details.jurisdiction,
        details.mail,
        details.phone,
        channel,
        details.notes,
        details.access_needs,
        details.no_mail,
        search,
        at
    )
    .execute(&mut **tx)
    .await?;
    record(tx, now, Entry { after: Some(snapshot(details)), ..entry(actor, "added", id, &details.name) });
    Ok(id)
}

/// Changes what is known about someone. False if someone else changed it in the meantime,
/// or the person is gone.
pub async fn change(
    tx: &mut Tx,
    actor: Actor,
    id: i64,
    new: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let Some(old) = find(tx, id).await?.filter(|old| old.version == version) else { return Ok(false) };
    put(tx, &old, new, now).await?;
    let (before, after) = (Some(snapshot(&old.details)), Some(snapshot(new)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", id, &new.name) });
    Ok(true)
}

/// Writes what is known about someone. A new email starts without a refusal.
pub(super) async fn put(tx: &mut Tx, old: &Person, new: &Details, now: OffsetDateTime) -> Result<()> {
    let organization = organization(tx, &new.organization, now).await?;
    let (channel, search) = (new.channel.as_str(), new.search());
    let refused_at = (!old.refused.is_empty() && old.details.mail == new.mail).then(|| now.unix_timestamp());
    let refused_why = if refused_at.is_some() { old.refused.as_str() } else { "" };
    sqlx::query!(
        "update person set name = ?, surname = ?, address_form = ?, said = ?, organization_id = ?, office = ?,
                           jurisdiction = ?, mail = ?, phone = ?, channel = ?, notes = ?, access_needs = ?, no_mail = ?,
                           refused_at = ?, refused_why = ?, search = ?, version = version + 1
         where id = ?",
        new.name,
        new.surname,
        new.address_form,
        new.said,
        organization,
        new.office,
        new.jurisdiction,
        new.mail,
        new.phone,
        channel,
        new.notes,
        new.access_needs,
        new.no_mail,
        refused_at,
        refused_why,
        search,
        old.id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// The id of the next person. In a copy of the store it starts higher: someone added after
/// the copy was made, and now lost, may have links that must not open another person's pages.
pub(super) async fn next_id(tx: &mut Tx) -> Result<i64> {
    let id = sqlx::query_scalar!(
        r#"select max(coalesce((select max(id) from person), 0), 1000000 * copies) + 1 as "id!: i64" from mail_hold"#
    );
    Ok(id.fetch_one(&mut **tx).await?)
}

/// The organization with this name, added if there is none.
async fn organization(tx: &mut Tx, name: &str, now: OffsetDateTime) -> Result<Option<i64>> {
    if name.is_empty() {
        return Ok(None);
    }
    let known = sqlx::query_scalar!(r#"select id as "id!" from organization where name = ?"#, name)
        .fetch_optional(&mut **tx)
        .await?;
    if known.is_some() {
        return Ok(known);
    }
    let at = now.unix_timestamp();
    let added = sqlx::query!("insert into organization (name, created_at) values (?, ?)", name, at);
    Ok(Some(added.execute(&mut **tx).await?.last_insert_rowid()))
}
