use crate::db::Tx;
use crate::error::Result;
use crate::press::papers::readings;
use serde::{Deserialize, Serialize};
use serde_json::json;

/// Which rows belonged to another person before a merge.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Handed {
    contacts: Vec<i64>,
    outlets: Vec<i64>,
    owned_events: Vec<i64>,
    entries: Vec<i64>,
    follow_ups: Vec<i64>,
    visits: Vec<i64>,
    escorts: Vec<i64>,
    readings: readings::Handed,
}

/// Moves what belongs to one person to another. A contact or a place on the burn day
/// list that both have stays where it is and isn't shown while they are merged.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Handed> {
    let owned = sqlx::query!(
        r#"select event_id as "event_id!", outlet_id as "outlet_id!" from press_listing where owner_id = ?"#,
        from
    );
    let owned = owned.fetch_all(&mut **tx).await?;
    let handed = Handed {
        contacts: sqlx::query_scalar!(
            r#"select c.id as "id!" from outlet_contact c where c.person_id = ? and not exists
                 (select 1 from outlet_contact o where o.outlet_id = c.outlet_id and o.person_id = ?)"#,
            from,
            to
        )
        .fetch_all(&mut **tx)
        .await?,
        owned_events: owned.iter().map(|row| row.event_id).collect(),
        outlets: owned.iter().map(|row| row.outlet_id).collect(),
        entries: sqlx::query_scalar!(r#"select id as "id!" from outreach where person_id = ?"#, from)
            .fetch_all(&mut **tx)
            .await?,
        follow_ups: sqlx::query_scalar!(r#"select id as "id!" from outreach where follow_up_by = ?"#, from)
            .fetch_all(&mut **tx)
            .await?,
        visits: sqlx::query_scalar!(
            r#"select v.id as "id!" from press_visit v where v.person_id = ? and not exists
                 (select 1 from press_visit o where o.event_id = v.event_id and o.person_id = ?)"#,
            from,
            to
        )
        .fetch_all(&mut **tx)
        .await?,
        escorts: sqlx::query_scalar!(r#"select id as "id!" from press_visit where escort_id = ?"#, from)
            .fetch_all(&mut **tx)
            .await?,
        readings: readings::hand_over(tx, from, to).await?,
    };
    put(tx, &handed, to).await?;
    Ok(handed)
}

/// Moves everything back.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, handed: &Handed, to: i64) -> Result<()> {
    put(tx, handed, to).await
}

async fn put(tx: &mut Tx, handed: &Handed, to: i64) -> Result<()> {
    let list = |ids: &[i64]| json!(ids).to_string();
    let contacts = list(&handed.contacts);
    sqlx::query!("update outlet_contact set person_id = ? where id in (select value from json_each(?))", to, contacts)
        .execute(&mut **tx)
        .await?;
    for (event, outlet) in handed.owned_events.iter().zip(&handed.outlets) {
        sqlx::query!("update press_listing set owner_id = ? where event_id = ? and outlet_id = ?", to, event, outlet)
            .execute(&mut **tx)
            .await?;
    }
    let entries = list(&handed.entries);
    sqlx::query!("update outreach set person_id = ? where id in (select value from json_each(?))", to, entries)
        .execute(&mut **tx)
        .await?;
    let follow_ups = list(&handed.follow_ups);
    sqlx::query!("update outreach set follow_up_by = ? where id in (select value from json_each(?))", to, follow_ups)
        .execute(&mut **tx)
        .await?;
    let visits = list(&handed.visits);
    sqlx::query!("update press_visit set person_id = ? where id in (select value from json_each(?))", to, visits)
        .execute(&mut **tx)
        .await?;
    let escorts = list(&handed.escorts);
    sqlx::query!("update press_visit set escort_id = ? where id in (select value from json_each(?))", to, escorts)
        .execute(&mut **tx)
        .await?;
    readings::put(tx, &handed.readings, to).await
}

/// Erases what these rows of one person said and promised, and removes them from their
/// outlets. That someone there was contacted, and when, stays.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64]) -> Result<()> {
    let people = json!(people).to_string();
    sqlx::query!(
        "update outreach set words = 'Forgotten.', promised = '', follow_up_on = null, follow_up_by = null
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update outlet_contact set part = '', left_at = coalesce(left_at, created_at)
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    readings::forget(tx, &people).await
}
