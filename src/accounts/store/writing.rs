//! Inviting people, and changing their accounts.

use super::entry::entry;
use super::links::add_link;
use super::reading::list_in;
use crate::accounts::{Account, Change, Purpose, Refused, Role};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::people;
use crate::web::link::Secret;
use serde_json::json;
use time::OffsetDateTime;

pub(super) async fn insert(
    tx: &mut Tx,
    name: &str,
    mail: &str,
    role: Role,
    password_hash: Option<&str>,
    now: OffsetDateTime,
) -> Result<i64> {
    let person = people::named(tx, name, now).await?;
    people::note_mail(tx, person, mail).await?;
    let at = now.unix_timestamp();
    let role = role.as_str();
    Ok(sqlx::query!(
        "insert into account (person_id, mail, role, password_hash, created_at) values (?, ?, ?, ?, ?)",
        person,
        mail,
        role,
        password_hash,
        at
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid())
}

/// Creates an account without a password, and a link where its owner chooses one.
pub async fn invite(
    tx: &mut Tx,
    actor: Actor,
    name: &str,
    mail: &str,
    role: Role,
    now: OffsetDateTime,
) -> Result<Result<(i64, Secret), Refused>> {
    if let Some(refused) = taken(tx, name, mail, None).await? {
        return Ok(Err(refused));
    }
    let id = insert(tx, name, mail, role, None, now).await?;
    let entry = Entry {
        actor,
        verb: "invited",
        subject: "account",
        subject_id: Some(id),
        event_id: None,
        title: name,
        before: None,
        after: Some(json!({"role": role.as_str()})),
    };
    record(tx, now, entry);
    let secret = add_link(tx, Purpose::Invitation, Some(id), now).await?;
    Ok(Ok((id, secret)))
}

/// Does another account have this name or email?
async fn taken(tx: &mut Tx, name: &str, mail: &str, except: Option<i64>) -> Result<Option<Refused>> {
    let others = list_in(tx).await?.into_iter().filter(|account| Some(account.id) != except);
    let same = |a: &str, b: &str| a.to_lowercase() == b.to_lowercase();
    Ok(others.into_iter().find_map(|other| match (same(&other.mail, mail), same(&other.name, name)) {
        (true, _) => Some(Refused::MailTaken),
        (false, true) => Some(Refused::NameTaken),
        (false, false) => None,
    }))
}

/// Changes an account, unless someone else changed it in the meantime, another account has
/// the name or email, or no education officer would be left.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    account: &Account,
    change: &Change,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let officers = sqlx::query_scalar!(
        r#"select count(*) as "n!" from account where role = 'education officer' and disabled_at is null
           and password_hash is not null and id <> ?"#,
        account.id
    )
    .fetch_one(&mut **tx)
    .await?;
    if officers == 0 && (change.role != Role::EducationOfficer || change.disabled) {
        return Ok(Err(Refused::LastOfficer));
    }
    if let Some(refused) = taken(tx, &change.name, &change.mail, Some(account.id)).await? {
        return Ok(Err(refused));
    }
    let role = change.role.as_str();
    let disabled_at = change.disabled.then(|| now.unix_timestamp());
    let changed = sqlx::query!(
        "update account set mail = ?, role = ?, disabled_at = ?, version = version + 1 where id = ? and version = ?",
        change.mail,
        role,
        disabled_at,
        account.id,
        account.version
    )
    .execute(&mut **tx)
    .await?
    .rows_affected();
    if changed == 0 {
        return Ok(Err(Refused::Stale));
    }
    people::rename(tx, account.person_id, &change.name).await?;
    if change.disabled {
        sqlx::query!("delete from session where account_id = ?", account.id).execute(&mut **tx).await?;
        sqlx::query!("delete from link where account_id = ?", account.id).execute(&mut **tx).await?;
    }
    // Everyone reads the journal, and email addresses are not for everyone.
    let mail = if account.mail == change.mail { "unchanged" } else { "changed" };
    let journaled = |name: &str, role: Role, disabled, mail| {
        Some(json!({"name": name, "role": role.as_str(), "access": access(disabled), "mail address": mail}))
    };
    let entry = Entry {
        before: journaled(&account.name, account.role, account.disabled, "unchanged"),
        after: journaled(&change.name, change.role, change.disabled, mail),
        ..entry(actor, "changed", account)
    };
    record(tx, now, entry);
    Ok(Ok(()))
}

fn access(disabled: bool) -> &'static str {
    if disabled { "disabled" } else { "can sign in" }
}
