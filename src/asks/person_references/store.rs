//! Questions and offers of people whose data is erased.

use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::Result;
use crate::people::Erasure;
use crate::{mail, photos};
use time::OffsetDateTime;

/// Blanks what one person wrote in their own words and what was written to them. That they
/// were asked and what they answered stays.
pub(super) async fn blank(tx: &mut Tx, erasure: &Erasure) -> Result<()> {
    let rows = erasure.rows_json();
    blank_questions(tx, &rows, erasure.now).await?;
    blank_offers(tx, &rows, erasure.now).await
}

async fn blank_questions(tx: &mut Tx, people: &str, now: OffsetDateTime) -> Result<()> {
    let requests = sqlx::query_scalar!(
        r#"select id as "id!" from request where person_id in (select value from json_each(?))"#,
        people
    );
    for id in requests.fetch_all(&mut **tx).await? {
        mail::forget_by_key(tx, &format!("deputy/{id}/"), now).await?;
    }
    sqlx::query!(
        "update answer set note = '', access_needs = '', evidence = '', deputy_phone = '', deputy_mail = ''
         where ask_id in (
             select a.id from ask a join request r on r.id = a.request_id
             where r.person_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update ask_call set note = '' where request_id in (
             select id from request where person_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    // Their answer to a date stays. A deputy's name goes with the rest.
    sqlx::query!(
        "update statement set content = '{\"dates\":[],\"facts\":[]}' where request_id in (
             select id from request where person_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("update request set words = '' where person_id in (select value from json_each(?))", people)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Blanks what was written with an offer, and removes its photos.
async fn blank_offers(tx: &mut Tx, people: &str, now: OffsetDateTime) -> Result<()> {
    let photos = sqlx::query_scalar!(
        r#"select o.photo_id as "photo_id!" from offer o join answer n on n.id = o.answer_id
           join ask a on a.id = n.ask_id join request r on r.id = a.request_id
           where o.photo_id is not null and r.person_id in (select value from json_each(?))"#,
        people
    );
    let photos = photos.fetch_all(&mut **tx).await?;
    sqlx::query!(
        "update offer set fetch = '', photo_id = null where answer_id in (
             select n.id from answer n join ask a on a.id = n.ask_id join request r on r.id = a.request_id
             where r.person_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    for photo in photos {
        photos::drop(tx, photo, Actor::System, now).await?;
    }
    Ok(())
}
