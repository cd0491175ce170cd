use super::{Channel, Details, Name, Person};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use serde_json::{Value, json};
use sqlx::{SqliteConnection, SqlitePool};
use time::OffsetDateTime;

struct Row {
    id: i64,
    name: String,
    said: String,
    organisation: Option<String>,
    office: String,
    jurisdiction: String,
    mail: String,
    phone: String,
    channel: String,
    notes: String,
    access_needs: String,
    no_mail: i64,
    refused_at: Option<i64>,
    refused_why: String,
    version: i64,
}

impl Row {
    fn person(self) -> Result<Person> {
        let channel: Channel =
            self.channel.parse().map_err(|_| Error::Internal(anyhow::anyhow!("an unknown channel in the store")))?;
        Ok(Person {
            id: self.id,
            details: Details {
                name: self.name,
                said: self.said,
                organisation: self.organisation.unwrap_or_default(),
                office: self.office,
                jurisdiction: self.jurisdiction,
                mail: self.mail,
                phone: self.phone,
                channel,
                notes: self.notes,
                access_needs: self.access_needs,
                no_mail: self.no_mail != 0,
            },
            refused: self.refused_at.map(|_| self.refused_why).unwrap_or_default(),
            version: self.version,
        })
    }
}

/// The names of everyone, to choose from.
///
/// # Errors
/// The store's.
pub async fn list(db: &SqlitePool) -> Result<Vec<Name>> {
    let rows = sqlx::query_as!(
        Name,
        "select id, name from person where forgotten_at is null and merged_into is null order by name, id"
    );
    Ok(rows.fetch_all(db).await?)
}

/// Everyone, by name, with all that is known.
///
/// # Errors
/// The store's.
pub async fn everyone(db: &mut SqliteConnection) -> Result<Vec<Person>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select p.id as "id!", p.name, p.said, o.name as "organisation?", p.office, p.jurisdiction, p.mail, p.phone,
                  p.channel, p.notes, p.access_needs, p.no_mail, p.refused_at, p.refused_why, p.version
           from person p left join organisation o on o.id = p.organisation_id
           where p.forgotten_at is null and p.merged_into is null order by p.name, p.id"#
    )
    .fetch_all(db)
    .await?;
    rows.into_iter().map(Row::person).collect()
}

/// Somebody by number; none if they were forgotten or merged.
///
/// # Errors
/// The store's.
pub async fn find(db: &mut SqliteConnection, id: i64) -> Result<Option<Person>> {
    let row = sqlx::query_as!(
        Row,
        r#"select p.id as "id!", p.name, p.said, o.name as "organisation?", p.office, p.jurisdiction, p.mail, p.phone,
                  p.channel, p.notes, p.access_needs, p.no_mail, p.refused_at, p.refused_why, p.version
           from person p left join organisation o on o.id = p.organisation_id
           where p.id = ? and p.forgotten_at is null and p.merged_into is null"#,
        id
    )
    .fetch_optional(db)
    .await?;
    row.map(Row::person).transpose()
}

/// The names of all organisations.
///
/// # Errors
/// The store's.
pub async fn organisations(db: &SqlitePool) -> Result<Vec<Name>> {
    Ok(sqlx::query_as!(Name, "select id, name from organisation order by name").fetch_all(db).await?)
}

/// Gives a person another name.
///
/// # Errors
/// The store's.
pub async fn rename(tx: &mut Tx, id: i64, name: &str) -> Result<()> {
    sqlx::query!("update person set name = ? where id = ?", name, id).execute(&mut **tx).await?;
    Ok(())
}

/// The person of that name, who is added if there is none.
///
/// # Errors
/// The store's.
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
    Ok(sqlx::query!("insert into person (name, created_at) values (?, ?)", name, at)
        .execute(&mut **tx)
        .await?
        .last_insert_rowid())
}

/// Adds somebody.
///
/// # Errors
/// The store's.
pub async fn add(tx: &mut Tx, actor: Actor, details: &Details, now: OffsetDateTime) -> Result<i64> {
    let organisation = organisation(tx, &details.organisation, now).await?;
    let channel = details.channel.as_str();
    let at = now.unix_timestamp();
    let id = sqlx::query!(
        "insert into person (name, said, organisation_id, office, jurisdiction, mail, phone, channel, notes,
                             access_needs, no_mail, created_at)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        details.name,
        details.said,
        organisation,
        details.office,
        details.jurisdiction,
        details.mail,
        details.phone,
        channel,
        details.notes,
        details.access_needs,
        details.no_mail,
        at
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    record(tx, now, Entry { after: Some(snapshot(details)), ..entry(actor, "added", id, &details.name) });
    Ok(id)
}

/// Changes what is known about somebody. False if somebody else did meanwhile,
/// or the person is gone. A new address has been refused by nobody yet.
///
/// # Errors
/// The store's.
pub async fn change(
    tx: &mut Tx,
    actor: Actor,
    id: i64,
    new: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let Some(old) = find(tx, id).await?.filter(|old| old.version == version) else { return Ok(false) };
    let organisation = organisation(tx, &new.organisation, now).await?;
    let channel = new.channel.as_str();
    let refused_at = (!old.refused.is_empty() && old.details.mail == new.mail).then(|| now.unix_timestamp());
    let refused_why = if refused_at.is_some() { old.refused } else { String::new() };
    sqlx::query!(
        "update person set name = ?, said = ?, organisation_id = ?, office = ?, jurisdiction = ?, mail = ?, phone = ?,
                           channel = ?, notes = ?, access_needs = ?, no_mail = ?, refused_at = ?, refused_why = ?,
                           version = version + 1
         where id = ?",
        new.name,
        new.said,
        organisation,
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
        id
    )
    .execute(&mut **tx)
    .await?;
    let (before, after) = (Some(snapshot(&old.details)), Some(snapshot(new)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", id, &new.name) });
    Ok(true)
}

/// Notes that a mail server knows no such address, and what it said. Somebody
/// who has another one by now is left alone.
///
/// # Errors
/// The store's.
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

/// Somebody wants no announcements any more. False if they are gone.
///
/// # Errors
/// The store's.
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

/// The organisation of that name, which is added if there is none.
async fn organisation(tx: &mut Tx, name: &str, now: OffsetDateTime) -> Result<Option<i64>> {
    if name.is_empty() {
        return Ok(None);
    }
    let known = sqlx::query_scalar!(r#"select id as "id!" from organisation where name = ?"#, name)
        .fetch_optional(&mut **tx)
        .await?;
    if known.is_some() {
        return Ok(known);
    }
    let at = now.unix_timestamp();
    let added = sqlx::query!("insert into organisation (name, created_at) values (?, ?)", name, at);
    Ok(Some(added.execute(&mut **tx).await?.last_insert_rowid()))
}

fn entry<'a>(actor: Actor, verb: &'static str, id: i64, title: &'a str) -> Entry<'a> {
    Entry { actor, verb, subject: "person", subject_id: Some(id), event_id: None, title, before: None, after: None }
}

fn snapshot(details: &Details) -> Value {
    json!({
        "name": details.name,
        "said": details.said,
        "organisation": details.organisation,
        "office": details.office,
        "jurisdiction": details.jurisdiction,
        "mail": details.mail,
        "phone": details.phone,
        "reached by": details.channel.as_str(),
        "notes": details.notes,
        "access needs": details.access_needs,
        "announcements": if details.no_mail { "none" } else { "yes" },
    })
}
