//! Adding the people of a file, and removing them.

use super::writing::next_id;
use crate::db::Tx;
use crate::error::Result;
use crate::people::person::Details;
use serde::Serialize;
use time::OffsetDateTime;

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
