//! Changes to one fact about someone.

use super::journaled::{entry, snapshot};
use super::reading::find;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::people::person::Details;
use serde_json::json;
use time::OffsetDateTime;

/// Changes a person's name. Does nothing if their data was erased.
pub async fn rename(tx: &mut Tx, id: i64, name: &str) -> Result<()> {
    let Some(person) = find(tx, id).await? else { return Ok(()) };
    let details = person.details.renamed(name);
    let search = details.search();
    sqlx::query!(
        "update person set name = ?, surname = ?, search = ? where id = ?",
        details.name,
        details.surname,
        search,
        id
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Saves someone's email, unless they already have one.
pub async fn note_mail(tx: &mut Tx, id: i64, mail: &str) -> Result<()> {
    sqlx::query!("update person set mail = ? where id = ? and mail = ''", mail, id).execute(&mut **tx).await?;
    Ok(())
}

/// Records that an email server refused this email, and what it said. Does nothing if the
/// person has another email by now.
pub async fn refuse(tx: &mut Tx, id: i64, address: &str, words: &str, now: OffsetDateTime) -> Result<()> {
    let person = find(tx, id).await?.filter(|person| person.details.mail.eq_ignore_ascii_case(address));
    let Some(person) = person else { return Ok(()) };
    let at = now.unix_timestamp();
    sqlx::query!(
        "update person set refused_at = ?, refused_why = ?, version = version + 1 where id = ?",
        at,
        words,
        id
    )
    .execute(&mut **tx)
    .await?;
    let after = Some(json!({ "mail refused": words }));
    record(tx, now, Entry { after, ..entry(Actor::System, "changed", id, &person.details.name) });
    Ok(())
}

/// Stops announcements to someone. False if they are gone.
pub async fn unsubscribe(tx: &mut Tx, actor: Actor, id: i64, now: OffsetDateTime) -> Result<bool> {
    let Some(person) = find(tx, id).await? else { return Ok(false) };
    if !person.details.no_mail {
        sqlx::query!("update person set no_mail = 1, version = version + 1 where id = ?", id)
            .execute(&mut **tx)
            .await?;
        let before = Some(snapshot(&person.details));
        let after = Some(snapshot(&Details { no_mail: true, ..person.details.clone() }));
        record(tx, now, Entry { before, after, ..entry(actor, "changed", id, &person.details.name) });
    }
    Ok(true)
}
