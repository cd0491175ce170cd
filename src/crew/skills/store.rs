use super::{Holding, Kept, Qualification};
use crate::crew::template;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::people;
use crate::web::words::Reader;
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use time::{Date, OffsetDateTime};

/// All qualifications, sorted by name.
pub async fn qualifications(db: &mut SqliteConnection) -> Result<Vec<Qualification>> {
    let rows = sqlx::query_as!(
        Qualification,
        r#"select id as "id!", name, basis, counts_as, version from qualification order by name, id"#
    );
    Ok(rows.fetch_all(db).await?)
}

/// Adds one. None if there is already one with that name.
pub async fn add(tx: &mut Tx, actor: Actor, new: &Qualification, now: OffsetDateTime) -> Result<Option<i64>> {
    let added = sqlx::query!(
        "insert into qualification (name, basis, counts_as) values (?, ?, ?) on conflict (name) do nothing",
        new.name,
        new.basis,
        new.counts_as
    )
    .execute(&mut **tx)
    .await?;
    if added.rows_affected() == 0 {
        return Ok(None);
    }
    let id = added.last_insert_rowid();
    let after = Some(json!({"name": new.name, "basis": new.basis}));
    record(tx, now, Entry { after, ..about(actor, "added", id, &new.name) });
    Ok(Some(id))
}

/// Saves one. False if someone else saved it in the meantime, or the name is taken.
pub(in crate::crew) async fn save(
    tx: &mut Tx,
    actor: Actor,
    (old, new): (&Qualification, &Qualification),
    now: OffsetDateTime,
) -> Result<bool> {
    let saved = sqlx::query!(
        "update qualification set name = ?, basis = ?, counts_as = ?, version = version + 1
         where id = ? and version = ?
               and not exists (select 1 from qualification other where other.name = ? and other.id <> ?)",
        new.name,
        new.basis,
        new.counts_as,
        old.id,
        new.version,
        new.name,
        old.id
    );
    if saved.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let tell = |one: &Qualification| Some(json!({"name": one.name, "basis": one.basis}));
    record(tx, now, Entry { before: tell(old), after: tell(new), ..about(actor, "changed", old.id, &new.name) });
    Ok(true)
}

/// Removes one from the list unless someone holds it.
pub(in crate::crew) async fn remove(
    tx: &mut Tx,
    actor: Actor,
    old: &Qualification,
    now: OffsetDateTime,
) -> Result<bool> {
    let gone = sqlx::query!(
        "delete from qualification where id = ? and id not in (select qualification_id from holding)",
        old.id
    );
    if gone.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let before = Some(json!({"name": old.name, "basis": old.basis}));
    record(tx, now, Entry { before, ..about(actor, "removed", old.id, &old.name) });
    Ok(true)
}

/// Adds the qualifications the template's positions require that aren't on the list yet.
/// Returns the list.
pub async fn fill(tx: &mut Tx, actor: Actor, now: OffsetDateTime) -> Result<Vec<Qualification>> {
    for needed in template::qualifications() {
        let known = qualifications(tx).await?;
        let lesser = known.iter().find(|one| one.name.eq_ignore_ascii_case(&needed.counts_as)).map(|one| one.id);
        let new = Qualification {
            id: 0,
            name: needed.name.clone(),
            basis: needed.basis.clone(),
            counts_as: lesser,
            version: 1,
        };
        add(tx, actor, &new, now).await?;
    }
    qualifications(tx).await
}

struct Row {
    id: i64,
    person_id: i64,
    qualification_id: i64,
    evidence: String,
    issued_by: String,
    expires_on: Option<Date>,
    checked_by: Option<String>,
    checked_at: Option<i64>,
    version: i64,
}

impl Row {
    fn holding(self) -> Result<Holding> {
        let at = self.checked_at.map(OffsetDateTime::from_unix_timestamp).transpose()?;
        Ok(Holding {
            id: self.id,
            person_id: self.person_id,
            kept: Kept {
                qualification_id: self.qualification_id,
                evidence: self.evidence,
                issued_by: self.issued_by,
                expires_on: self.expires_on,
            },
            checked: self.checked_by.zip(at),
            version: self.version,
        })
    }
}

/// All qualifications that people hold.
pub async fn holdings(db: &mut SqliteConnection) -> Result<Vec<Holding>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select h.id as "id!", h.person_id, h.qualification_id, h.evidence, h.issued_by,
                  h.expires_on as "expires_on: Date", p.name as "checked_by?", h.checked_at, h.version
           from holding h left join account c on c.id = h.checked_by left join person p on p.id = c.person_id
           order by h.person_id, h.id"#
    );
    rows.fetch_all(db).await?.into_iter().map(Row::holding).collect()
}

/// The qualifications someone holds, each with its last valid day, for a list.
pub async fn qualifications_of(db: &mut SqliteConnection, person_id: i64) -> Result<Vec<String>> {
    let rows = sqlx::query!(
        r#"select q.name, h.expires_on as "expires_on: Date" from holding h
           join qualification q on q.id = h.qualification_id where h.person_id = ? order by q.name"#,
        person_id
    );
    let says = |name: String, until: Option<Date>| match until {
        Some(until) => format!("{name}, valid through {}", Reader::App.day(until)),
        None => name,
    };
    Ok(rows.fetch_all(db).await?.into_iter().map(|row| says(row.name, row.expires_on)).collect())
}

/// Records that someone holds a qualification. None if that is already on record.
pub async fn hold(tx: &mut Tx, actor: Actor, person_id: i64, new: &Kept, now: OffsetDateTime) -> Result<Option<i64>> {
    let added = sqlx::query!(
        "insert into holding (person_id, qualification_id, evidence, issued_by, expires_on) values (?, ?, ?, ?, ?)
         on conflict (person_id, qualification_id) do nothing",
        person_id,
        new.qualification_id,
        new.evidence,
        new.issued_by,
        new.expires_on
    )
    .execute(&mut **tx)
    .await?;
    if added.rows_affected() == 0 {
        return Ok(None);
    }
    let id = added.last_insert_rowid();
    let (title, what) = title(tx, person_id, new).await?;
    record(tx, now, Entry { after: Some(what), ..entry(actor, "recorded", id, &title) });
    Ok(Some(id))
}

/// Saves what is stored about one, which then has to be checked again. False if someone
/// else changed it in the meantime.
pub(in crate::crew) async fn renew(
    tx: &mut Tx,
    actor: Actor,
    old: &Holding,
    new: &Kept,
    now: OffsetDateTime,
) -> Result<bool> {
    let saved = sqlx::query!(
        "update holding set evidence = ?, issued_by = ?, expires_on = ?, checked_by = null, checked_at = null,
                            version = version + 1
         where id = ? and version = ?",
        new.evidence,
        new.issued_by,
        new.expires_on,
        old.id,
        old.version
    );
    if saved.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let (name, before) = title(tx, old.person_id, &old.kept).await?;
    let (_, after) = title(tx, old.person_id, new).await?;
    record(tx, now, Entry { before: Some(before), after: Some(after), ..entry(actor, "changed", old.id, &name) });
    Ok(true)
}

/// Records that an account checked the proof. False if someone changed it in the
/// meantime.
pub async fn check(tx: &mut Tx, by: i64, old: &Holding, now: OffsetDateTime) -> Result<bool> {
    let at = now.unix_timestamp();
    let checked = sqlx::query!(
        "update holding set checked_by = ?, checked_at = ?, version = version + 1 where id = ? and version = ?",
        by,
        at,
        old.id,
        old.version
    );
    if checked.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(false);
    }
    let (name, _) = title(tx, old.person_id, &old.kept).await?;
    record(tx, now, entry(Actor::Account(by), "checked", old.id, &name));
    Ok(true)
}

/// Removes it from someone.
pub(in crate::crew) async fn drop(tx: &mut Tx, actor: Actor, old: &Holding, now: OffsetDateTime) -> Result<()> {
    let (name, before) = title(tx, old.person_id, &old.kept).await?;
    sqlx::query!("delete from holding where id = ?", old.id).execute(&mut **tx).await?;
    record(tx, now, Entry { before: Some(before), ..entry(actor, "removed", old.id, &name) });
    Ok(())
}

/// "Ray Ortiz: Driver/operator", and what is stored.
async fn title(tx: &mut Tx, person_id: i64, kept: &Kept) -> Result<(String, Value)> {
    let person = people::find(tx, person_id).await?.map(|person| person.details.name).unwrap_or_default();
    let all = qualifications(tx).await?;
    let name = all.into_iter().find(|one| one.id == kept.qualification_id).map(|one| one.name).unwrap_or_default();
    Ok((format!("{person}: {name}"), kept.snapshot(&name)))
}

fn about<'a>(actor: Actor, verb: &'static str, id: i64, name: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "qualification",
        subject_id: Some(id),
        event_id: None,
        title: name,
        before: None,
        after: None,
    }
}

fn entry<'a>(actor: Actor, verb: &'static str, id: i64, title: &'a str) -> Entry<'a> {
    Entry { subject: "certificate", ..about(actor, verb, id, title) }
}
