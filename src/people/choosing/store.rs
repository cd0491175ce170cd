//! Who matches a search. This reads what other parts store about people, and writes nothing.

use super::find::{Find, PARTS};
use crate::error::Result;
use crate::people::{Name, fold, search_words};
use serde_json::json;
use sqlx::SqliteConnection;
use time::Date;

/// The search, as the statements take it.
struct Terms {
    words: String,
    role: String,
    organization: String,
    skill: i64,
    event: i64,
    without: String,
}

impl Terms {
    fn of(find: &Find, without: &[i64]) -> Self {
        let words = search_words(&find.find.chars().take(200).collect::<String>());
        Self {
            words: json!(words).to_string(),
            role: find.find_role.trim().to_owned(),
            organization: fold(find.find_organization.trim()),
            skill: Find::number(&find.find_skill),
            event: Find::number(&find.find_yes),
            without: json!(without).to_string(),
        }
    }
}

/// The numbers of the people who match, in the order of a list.
pub(super) async fn matching(
    db: &mut SqliteConnection,
    find: &Find,
    without: &[i64],
    skip: usize,
    most: usize,
) -> Result<Vec<i64>> {
    let Terms { words, role, organization, skill, event, without } = Terms::of(find, without);
    let (skip, most) = (i64::try_from(skip)?, i64::try_from(most)?);
    let rows = sqlx::query_scalar!(
        r#"select p.id as "id!" from person p indexed by person_listed
           where p.forgotten_at is null and p.merged_into is null
             and not exists (select 1 from json_each(?1) word where instr(p.search, word.value) = 0)
             and (?2 = '' or case ?2
                 when 'guest' then exists (select 1 from guest g where g.person_id = p.id)
                 when 'crew' then exists (select 1 from assignment c where c.person_id = p.id)
                 when 'lender' then exists (select 1 from loan l where l.lender_id = p.id)
                 when 'sponsor' then exists (select 1 from gift g where g.person_id = p.id)
                 when 'press contact' then exists (select 1 from outlet_contact c where c.person_id = p.id)
                 else exists (select 1 from account a where a.person_id = p.id and a.role = ?2) end)
             and (?3 = '' or (p.organization_id is not null and instr(p.search, char(10) || ?3) > 0))
             and (?4 = 0 or exists (select 1 from holding h where h.person_id = p.id and h.qualification_id = ?4))
             and (?5 = 0 or exists (
                 select 1 from request r join ask a on a.request_id = r.id join answer w on w.ask_id = a.id
                 where r.person_id = p.id and r.event_id = ?5 and r.withdrawn_at is null and a.lapsed_at is null
                   and w.said = 'yes'
                   and not exists (select 1 from answer later where later.ask_id = a.id and later.id > w.id)))
             and p.id not in (select value from json_each(?6))
           order by p.search, p.id limit ?7 offset ?8"#,
        words,
        role,
        organization,
        skill,
        event,
        without,
        most,
        skip
    );
    Ok(rows.fetch_all(db).await?)
}

/// How many people match.
pub(super) async fn count(db: &mut SqliteConnection, find: &Find, without: &[i64]) -> Result<usize> {
    let Terms { words, role, organization, skill, event, without } = Terms::of(find, without);
    let count = sqlx::query_scalar!(
        r#"select count(*) as "n!" from person p indexed by person_listed
           where p.forgotten_at is null and p.merged_into is null
             and not exists (select 1 from json_each(?1) word where instr(p.search, word.value) = 0)
             and (?2 = '' or case ?2
                 when 'guest' then exists (select 1 from guest g where g.person_id = p.id)
                 when 'crew' then exists (select 1 from assignment c where c.person_id = p.id)
                 when 'lender' then exists (select 1 from loan l where l.lender_id = p.id)
                 when 'sponsor' then exists (select 1 from gift g where g.person_id = p.id)
                 when 'press contact' then exists (select 1 from outlet_contact c where c.person_id = p.id)
                 else exists (select 1 from account a where a.person_id = p.id and a.role = ?2) end)
             and (?3 = '' or (p.organization_id is not null and instr(p.search, char(10) || ?3) > 0))
             and (?4 = 0 or exists (select 1 from holding h where h.person_id = p.id and h.qualification_id = ?4))
             and (?5 = 0 or exists (
                 select 1 from request r join ask a on a.request_id = r.id join answer w on w.ask_id = a.id
                 where r.person_id = p.id and r.event_id = ?5 and r.withdrawn_at is null and a.lapsed_at is null
                   and w.said = 'yes'
                   and not exists (select 1 from answer later where later.ask_id = a.id and later.id > w.id)))
             and p.id not in (select value from json_each(?6))"#,
        words,
        role,
        organization,
        skill,
        event,
        without
    );
    Ok(usize::try_from(count.fetch_one(db).await?)?)
}

/// Names that contain each of these words. The search text starts with the name.
pub(super) async fn names(db: &mut SqliteConnection, typed: &str, most: i64) -> Result<Vec<String>> {
    let words = json!(search_words(&typed.chars().take(200).collect::<String>())).to_string();
    let rows = sqlx::query_scalar!(
        r#"select p.name from person p indexed by person_listed
           where p.forgotten_at is null and p.merged_into is null
             and not exists (select 1 from json_each(?) word
                             where instr(substr(p.search, 1, instr(p.search, char(10))), word.value) = 0)
           order by p.search, p.id limit ?"#,
        words,
        most
    );
    Ok(rows.fetch_all(db).await?)
}

/// What people do in an event, and the roles accounts have.
pub(super) async fn roles(db: &mut SqliteConnection) -> Result<Vec<(String, String)>> {
    let accounts = sqlx::query_scalar!("select distinct role from account order by role").fetch_all(db).await?;
    let parts = PARTS.into_iter().map(|(value, label)| (value.to_owned(), label.to_owned()));
    Ok(parts.chain(accounts.into_iter().map(|role| (role.clone(), format!("account: {role}")))).collect())
}

pub(super) async fn skills(db: &mut SqliteConnection) -> Result<Vec<Name>> {
    Ok(sqlx::query_as!(Name, "select id, name from qualification order by name, id").fetch_all(db).await?)
}

/// All events, newest first: number, name, burn day.
pub(super) async fn burns(db: &mut SqliteConnection) -> Result<Vec<(String, String, Date)>> {
    let rows =
        sqlx::query!(r#"select id as "id!", name, burn_on as "burn_on: Date" from event order by burn_on desc, id"#);
    Ok(rows.fetch_all(db).await?.into_iter().map(|row| (row.id.to_string(), row.name, row.burn_on)).collect())
}

/// The organizations with the most people, by name.
pub(super) async fn organizations(db: &mut SqliteConnection, most: i64) -> Result<Vec<String>> {
    let rows = sqlx::query_scalar!(
        r#"select o.name from (select organization_id, count(*) as n from person where organization_id is not null
                               group by organization_id order by n desc, organization_id limit ?) top
           join organization o on o.id = top.organization_id order by o.name"#,
        most
    );
    Ok(rows.fetch_all(db).await?)
}
