//! Finding people: all of them, some, one.

use super::row::Row;
use crate::error::Result;
use crate::people::fold::search_words;
use crate::people::person::{Name, Person};
use serde_json::json;
use sqlx::{SqliteConnection, SqlitePool};

/// The first people of a list to choose from. Others appear as you type.
pub async fn list(db: &SqlitePool) -> Result<Vec<Name>> {
    let rows = sqlx::query_as!(
        Name,
        r#"select p.id as "id!", p.name from person p indexed by person_listed
           where p.forgotten_at is null and p.merged_into is null order by p.search, p.id limit 100"#
    );
    Ok(rows.fetch_all(db).await?)
}

/// Everyone, in the order of lists, with everything known about them.
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

/// A person by number; none if their data was erased or they were merged.
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

/// The number of the person with this name, if there is one.
pub async fn by_name(db: &mut SqliteConnection, name: &str) -> Result<Option<i64>> {
    let known = sqlx::query_scalar!(
        r#"select id as "id!" from person where name = ? collate nocase and forgotten_at is null
           and merged_into is null order by id limit 1"#,
        name
    );
    Ok(known.fetch_optional(db).await?)
}

/// The first organizations to choose from. Any other can be typed.
pub async fn organizations(db: &SqlitePool) -> Result<Vec<Name>> {
    Ok(sqlx::query_as!(Name, "select id, name from organization order by name limit 300").fetch_all(db).await?)
}
