use super::{Channel, Details, Name, Person, search_words, split};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use anyhow::anyhow;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use sqlx::{SqliteConnection, SqlitePool};
use time::OffsetDateTime;

/// A row of the table. Other parts may read it as JSON in a statement of their own.
#[derive(Debug, Deserialize)]
pub struct Row {
    id: i64,
    name: String,
    surname: String,
    address_form: String,
    said: String,
    organization: Option<String>,
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
    /// The person it describes.
    ///
    /// # Errors
    /// When a column holds a value this version doesn't know.
    pub fn person(self) -> Result<Person> {
        let channel: Channel =
            self.channel.parse().map_err(|_| Error::Internal(anyhow!("an unknown channel in the store")))?;
        Ok(Person {
            id: self.id,
            details: Details {
                name: self.name,
                surname: self.surname,
                address_form: self.address_form,
                said: self.said,
                organization: self.organization.unwrap_or_default(),
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

/// The first people of a list to choose from. Others appear as you type.
///
/// # Errors
/// The store's.
pub async fn list(db: &SqlitePool) -> Result<Vec<Name>> {
    let rows = sqlx::query_as!(
        Name,
        r#"select p.id as "id!", p.name from person p indexed by person_listed
           where p.forgotten_at is null and p.merged_into is null order by p.search, p.id limit 100"#
    );
    Ok(rows.fetch_all(db).await?)
}

/// Everyone, in the order of lists, with everything known about them.
///
/// # Errors
/// The store's.
pub async fn everyone(db: &mut SqliteConnection) -> Result<Vec<Person>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select p.id as "id!", p.name, p.surname, p.address_form, p.said, o.name as "organization?", p.office,
                  p.jurisdiction, p.mail, p.phone, p.channel, p.notes, p.access_needs, p.no_mail, p.refused_at,
                  p.refused_why, p.version
           from person p indexed by person_listed left join organization o on o.id = p.organization_id
           where p.forgotten_at is null and p.merged_into is null order by p.search, p.id"#
    )
    .fetch_all(db)
    .await?;
    rows.into_iter().map(Row::person).collect()
}

/// Up to `most` people whose data contains each of these words, after the first `skip`, and
/// how many there are in all.
///
/// # Errors
/// The store's.
pub async fn look_up(db: &mut SqliteConnection, words: &str, skip: i64, most: i64) -> Result<(Vec<Person>, usize)> {
    let words = json!(search_words(words)).to_string();
    let rows = sqlx::query_as!(
        Row,
        r#"select p.id as "id!", p.name, p.surname, p.address_form, p.said, o.name as "organization?", p.office,
                  p.jurisdiction, p.mail, p.phone, p.channel, p.notes, p.access_needs, p.no_mail, p.refused_at,
                  p.refused_why, p.version
           from person p indexed by person_listed left join organization o on o.id = p.organization_id
           where p.forgotten_at is null and p.merged_into is null
             and not exists (select 1 from json_each(?) word where instr(p.search, word.value) = 0)
           order by p.search, p.id limit ? offset ?"#,
        words,
        most,
        skip
    )
    .fetch_all(&mut *db)
    .await?;
    let count = sqlx::query_scalar!(
        r#"select count(*) as "n!" from person p indexed by person_listed
           where p.forgotten_at is null and p.merged_into is null
             and not exists (select 1 from json_each(?) word where instr(p.search, word.value) = 0)"#,
        words
    )
    .fetch_one(db)
    .await?;
    let people = rows.into_iter().map(Row::person).collect::<Result<_>>()?;
    Ok((people, usize::try_from(count).unwrap_or(0)))
}

/// Whose row this one was merged into, if it was.
///
/// # Errors
/// The store's.
pub async fn merged_into(db: &SqlitePool, id: i64) -> Result<Option<i64>> {
    let into = sqlx::query_scalar!(
        r#"with recursive chain (id) as (
               select merged_into from person where id = ? and merged_into is not null
               union select p.merged_into from person p join chain c on p.id = c.id where p.merged_into is not null)
           select p.id as "id!" from chain c join person p on p.id = c.id
           where p.merged_into is null and p.forgotten_at is null"#,
        id
    );
    Ok(into.fetch_optional(db).await?)
}

/// This person's row and every row merged into it.
///
/// # Errors
/// The store's.
pub async fn same_as(db: &mut SqliteConnection, id: i64) -> Result<Vec<i64>> {
    let rows = sqlx::query_scalar!(
        r#"with recursive same (id) as (
               select ? union select p.id from person p join same s on p.merged_into = s.id)
           select id as "id!: i64" from same order by id"#,
        id
    );
    Ok(rows.fetch_all(db).await?)
}

/// A person by number; none if their data was erased or they were merged.
///
/// # Errors
/// The store's.
pub async fn find(db: &mut SqliteConnection, id: i64) -> Result<Option<Person>> {
    let row = sqlx::query_as!(
        Row,
        r#"select p.id as "id!", p.name, p.surname, p.address_form, p.said, o.name as "organization?", p.office,
                  p.jurisdiction, p.mail, p.phone, p.channel, p.notes, p.access_needs, p.no_mail, p.refused_at,
                  p.refused_why, p.version
           from person p left join organization o on o.id = p.organization_id
           where p.id = ? and p.forgotten_at is null and p.merged_into is null"#,
        id
    )
    .fetch_optional(db)
    .await?;
    row.map(Row::person).transpose()
}

/// Of these people, those whose data wasn't erased and who weren't merged, in the order of
/// lists.
///
/// # Errors
/// The store's.
pub async fn some(db: &mut SqliteConnection, ids: &[i64]) -> Result<Vec<Person>> {
    let ids = json!(ids).to_string();
    let rows = sqlx::query_as!(
        Row,
        r#"select p.id as "id!", p.name, p.surname, p.address_form, p.said, o.name as "organization?", p.office,
                  p.jurisdiction, p.mail, p.phone, p.channel, p.notes, p.access_needs, p.no_mail, p.refused_at,
                  p.refused_why, p.version
           from person p left join organization o on o.id = p.organization_id
           where p.id in (select value from json_each(?)) and p.forgotten_at is null and p.merged_into is null"#,
        ids
    )
    .fetch_all(db)
    .await?;
    let mut people = rows.into_iter().map(Row::person).collect::<Result<Vec<Person>>>()?;
    people.sort_by_cached_key(Person::listing);
    Ok(people)
}

/// The first organizations to choose from. Any other can be typed.
///
/// # Errors
/// The store's.
pub async fn organizations(db: &SqlitePool) -> Result<Vec<Name>> {
    Ok(sqlx::query_as!(Name, "select id, name from organization order by name limit 300").fetch_all(db).await?)
}

/// Changes a person's name. Does nothing if their data was erased.
///
/// # Errors
/// The store's.
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

/// The person with this name, added if there is none.
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

/// The id of the next person. In a copy of the store it starts higher: someone added after
/// the copy was made, and now lost, may have links that must not open another person's pages.
async fn next_id(tx: &mut Tx) -> Result<i64> {
    let id = sqlx::query_scalar!(
        r#"select max(coalesce((select max(id) from person), 0), 1000000 * copies) + 1 as "id!: i64" from mail_hold"#
    );
    Ok(id.fetch_one(&mut **tx).await?)
}

/// The number of the person with this name, if there is one.
///
/// # Errors
/// The store's.
pub async fn by_name(db: &mut SqliteConnection, name: &str) -> Result<Option<i64>> {
    let known = sqlx::query_scalar!(
        r#"select id as "id!" from person where name = ? collate nocase and forgotten_at is null
           and merged_into is null order by id limit 1"#,
        name
    );
    Ok(known.fetch_optional(db).await?)
}

/// Saves someone's email, unless they already have one.
///
/// # Errors
/// The store's.
pub async fn note_mail(tx: &mut Tx, id: i64, mail: &str) -> Result<()> {
    sqlx::query!("update person set mail = ? where id = ? and mail = ''", mail, id).execute(&mut **tx).await?;
    Ok(())
}

/// Adds a person.
///
/// # Errors
/// The store's.
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
    put(tx, &old, new, now).await?;
    let (before, after) = (Some(snapshot(&old.details)), Some(snapshot(new)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", id, &new.name) });
    Ok(true)
}

/// Writes what is known about someone. A new email starts without a refusal.
async fn put(tx: &mut Tx, old: &Person, new: &Details, now: OffsetDateTime) -> Result<()> {
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

/// A person as a statement takes them, a few hundred at a time.
#[derive(Serialize)]
struct Incoming<'a> {
    name: &'a str,
    surname: &'a str,
    address_form: &'a str,
    said: &'a str,
    organization: &'a str,
    office: &'a str,
    jurisdiction: &'a str,
    mail: &'a str,
    phone: &'a str,
    channel: &'static str,
    notes: &'a str,
    access_needs: &'a str,
    no_mail: i64,
    search: String,
}

/// How many people go into one statement. One statement each would hold up other writes, and
/// one for all would need memory for three copies of the file.
const CHUNK: usize = 500;

/// Adds many people under the number of their import, which records it in the journal.
///
/// # Errors
/// The store's.
pub async fn add_all(tx: &mut Tx, import: i64, people: &[Details], now: OffsetDateTime) -> Result<()> {
    let at = now.unix_timestamp();
    for some in people.chunks(CHUNK) {
        let rows: Vec<Incoming<'_>> = some.iter().map(incoming).collect();
        let rows = serde_json::to_string(&rows)?;
        sqlx::query!(
            "insert into organization (name, created_at)
             select distinct value ->> 'organization', ? from json_each(?) where value ->> 'organization' <> ''
             on conflict do nothing",
            at,
            rows
        )
        .execute(&mut **tx)
        .await?;
        let first = next_id(tx).await?;
        sqlx::query!(
            "insert into person (id, name, surname, address_form, said, organization_id, office, jurisdiction, mail,
                                 phone, channel, notes, access_needs, no_mail, search, import_id, created_at)
             select ? + key, value ->> 'name', value ->> 'surname', value ->> 'address_form', value ->> 'said',
                    (select id from organization o where o.name = value ->> 'organization'), value ->> 'office',
                    value ->> 'jurisdiction', value ->> 'mail', value ->> 'phone', value ->> 'channel',
                    value ->> 'notes', value ->> 'access_needs', value ->> 'no_mail', value ->> 'search', ?, ?
             from json_each(?) order by key",
            first,
            import,
            at,
            rows
        )
        .execute(&mut **tx)
        .await?;
    }
    Ok(())
}

fn incoming(details: &Details) -> Incoming<'_> {
    Incoming {
        name: &details.name,
        surname: &details.surname,
        address_form: &details.address_form,
        said: &details.said,
        organization: &details.organization,
        office: &details.office,
        jurisdiction: &details.jurisdiction,
        mail: &details.mail,
        phone: &details.phone,
        channel: details.channel.as_str(),
        notes: &details.notes,
        access_needs: &details.access_needs,
        no_mail: i64::from(details.no_mail),
        search: details.search(),
    }
}

/// Removes the people of an import. False, with nothing done, if one of them was changed or
/// merged, or anything refers to one.
///
/// # Errors
/// The store's.
pub async fn remove_all(tx: &mut Tx, import: i64) -> Result<bool> {
    let touched = sqlx::query_scalar!(
        r#"select count(*) as "n!" from person
           where import_id = ? and (version > 1 or forgotten_at is not null or merged_into is not null)"#,
        import
    )
    .fetch_one(&mut **tx)
    .await?;
    if touched > 0 {
        return Ok(false);
    }
    // Anything that refers to a person keeps the row, even if this slice doesn't know about it.
    match sqlx::query!("delete from person where import_id = ?", import).execute(&mut **tx).await {
        Ok(_) => Ok(true),
        Err(sqlx::Error::Database(error)) if error.is_foreign_key_violation() => Ok(false),
        Err(error) => Err(error.into()),
    }
}

/// Two rows for the same person, and what the one that stays becomes.
#[derive(Debug, Clone)]
pub struct Merge {
    pub keep: Person,
    pub gone: Person,
    pub details: Details,
}

/// What is needed to undo a merge.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct MergeUndo {
    pub gone: i64,
    /// The version of the row that stayed, after the merge.
    pub version: i64,
    pub requests: Vec<i64>,
    pub tasks: Vec<i64>,
    /// As a guest, and as the person responsible for guests.
    #[serde(default)]
    pub guests: (Vec<i64>, Vec<i64>),
    /// Guests whose invitations they sign, and whether they sign by default.
    #[serde(default)]
    pub signed: (Vec<i64>, bool),
    #[serde(default)]
    pub gifts: Vec<i64>,
    /// What `thanks` needs, in its own form.
    #[serde(default)]
    pub thanks: Value,
    pub account: bool,
    /// What was theirs in `press`.
    #[serde(default)]
    pub press: Value,
    /// What they were asked to donate for the rooms.
    #[serde(default, alias = "pleas")]
    pub donation_requests: Vec<i64>,
    /// What was theirs in `crew`.
    #[serde(default)]
    pub crew: Value,
    /// What they lend or are responsible for.
    #[serde(default)]
    pub loans: Value,
    /// Permits and notices that name them.
    #[serde(default)]
    pub permits: Vec<i64>,
}

/// Merges two rows into one. Whatever referred to the other row has already been moved.
///
/// # Errors
/// The store's.
pub async fn merge(tx: &mut Tx, actor: Actor, merge: &Merge, undo: &MergeUndo, now: OffsetDateTime) -> Result<()> {
    let Merge { keep, gone, details } = merge;
    put(tx, keep, details, now).await?;
    sqlx::query!("update person set merged_into = ?, version = version + 1 where id = ?", keep.id, gone.id)
        .execute(&mut **tx)
        .await?;
    let (mut before, mut after) = (snapshot(&keep.details), snapshot(details));
    before["undo"] = serde_json::to_value(undo)?;
    after["was also"] = Value::from(gone.details.name.as_str());
    let entry = Entry { before: Some(before), after: Some(after), ..entry(actor, "merged", keep.id, &details.name) };
    record(tx, now, entry);
    Ok(())
}

/// Undoes a merge. The other row is as it was, and so is the one that stayed, unless it was
/// changed since. None if the merge was already undone or someone's data was erased;
/// otherwise whether the row that stayed is as it was.
///
/// # Errors
/// The store's.
pub async fn separate(
    tx: &mut Tx,
    actor: Actor,
    keep: i64,
    undo: &MergeUndo,
    old: &Value,
    now: OffsetDateTime,
) -> Result<Option<bool>> {
    let Some(stands) = find(tx, keep).await? else { return Ok(None) };
    let back = sqlx::query!(
        "update person set merged_into = null, version = version + 1
         where id = ? and merged_into = ? and forgotten_at is null",
        undo.gone,
        keep
    );
    if back.execute(&mut **tx).await?.rows_affected() == 0 {
        return Ok(None);
    }
    write_search(tx, undo.gone).await?;
    let as_before = stands.version == undo.version;
    let details = if as_before { read_snapshot(old) } else { stands.details.clone() };
    put(tx, &stands, &details, now).await?;
    let (before, after) = (Some(snapshot(&stands.details)), Some(snapshot(&details)));
    record(tx, now, Entry { before, after, ..entry(actor, "separated", keep, &details.name) });
    Ok(Some(as_before))
}

/// What identifies the person of these rows: names, emails, phone numbers.
///
/// # Errors
/// The store's.
pub async fn words_of(tx: &mut Tx, rows: &[i64]) -> Result<Vec<String>> {
    let rows = json!(rows).to_string();
    let known = sqlx::query!("select name, mail, phone from person where id in (select value from json_each(?))", rows)
        .fetch_all(&mut **tx)
        .await?;
    Ok(known.into_iter().flat_map(|row| [row.name, row.mail, row.phone]).collect())
}

/// What a person whose data was erased is called.
#[must_use]
pub fn erased(id: i64) -> String {
    format!("Erased person {id}")
}

/// Erases the data in these rows, which all belong to one person. The rows stay for the
/// counts.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, actor: Actor, id: i64, rows: &[i64], now: OffsetDateTime) -> Result<()> {
    let (at, list) = (now.unix_timestamp(), json!(rows).to_string());
    sqlx::query!(
        "update person set name = 'Erased person ' || id, surname = '', address_form = '', said = '',
                           organization_id = null, office = '', jurisdiction = '', mail = '', phone = '',
                           channel = 'mail', notes = '', access_needs = '', refused_at = null, refused_why = '',
                           search = '', forgotten_at = ?, version = version + 1
         where id in (select value from json_each(?))",
        at,
        list
    )
    .execute(&mut **tx)
    .await?;
    record(tx, now, entry(actor, "forgot", id, &erased(id)));
    Ok(())
}

/// Fills in the search text of rows that are older than the search, or than the order it
/// is in.
///
/// # Errors
/// The store's.
pub async fn fill_search(tx: &mut Tx) -> Result<()> {
    let bare = sqlx::query_scalar!(
        r#"select id as "id!" from person where search = '' and forgotten_at is null and merged_into is null"#
    )
    .fetch_all(&mut **tx)
    .await?;
    for id in bare {
        write_search(tx, id).await?;
    }
    Ok(())
}

async fn write_search(tx: &mut Tx, id: i64) -> Result<()> {
    let Some(person) = find(tx, id).await? else { return Ok(()) };
    let search = person.details.search();
    sqlx::query!("update person set search = ? where id = ?", search, id).execute(&mut **tx).await?;
    Ok(())
}

/// Records that an email server refused this email, and what it said. Does nothing if the
/// person has another email by now.
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

/// Stops announcements to someone. False if they are gone.
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

fn entry<'a>(actor: Actor, verb: &'static str, id: i64, title: &'a str) -> Entry<'a> {
    Entry { actor, verb, subject: "person", subject_id: Some(id), event_id: None, title, before: None, after: None }
}

fn snapshot(details: &Details) -> Value {
    json!({
        "name": details.name,
        "surname": details.surname,
        "form of address": details.address_form,
        "said": details.said,
        "organization": details.organization,
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

/// A snapshot, read back. Older ones have no surname, and spell the organization with an s.
fn read_snapshot(told: &Value) -> Details {
    let text = |field: &str| told[field].as_str().unwrap_or_default().to_owned();
    let name = text("name");
    Details {
        surname: told["surname"].as_str().unwrap_or(split(&name).1).to_owned(),
        name,
        address_form: text("form of address"),
        said: text("said"),
        organization: told["organization"].as_str().or(told["organisation"].as_str()).unwrap_or_default().to_owned(),
        office: text("office"),
        jurisdiction: text("jurisdiction"),
        mail: text("mail"),
        phone: text("phone"),
        channel: text("reached by").parse().unwrap_or(Channel::Mail),
        notes: text("notes"),
        access_needs: text("access needs"),
        no_mail: told["announcements"] == "none",
    }
}

/// What decides whether a row of a person may get an email.
#[derive(Debug)]
pub(super) struct MailWishes {
    pub is_erased: bool,
    pub no_announcements: bool,
}

/// What decides whether this row of a person may get an email, also if it was merged.
pub(super) async fn mail_wishes(tx: &mut Tx, id: i64) -> Result<Option<MailWishes>> {
    let row = sqlx::query_as!(
        MailWishes,
        r#"select forgotten_at is not null as "is_erased!: bool", no_mail <> 0 as "no_announcements!: bool"
           from person where id = ?"#,
        id
    );
    Ok(row.fetch_optional(&mut **tx).await?)
}
