//! Reading questions, with their dates and answers.

use super::rows::{AnswerRow, AskRow, RequestRow, assemble};
use crate::asks::Request;
use crate::error::Result;
use sqlx::{SqliteConnection, SqlitePool};
use time::Date;

/// An event's questions, oldest first.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Request>> {
    let ids = sqlx::query_scalar!(r#"select id as "id!" from request where event_id = ?"#, event_id);
    let ids = ids.fetch_all(&mut *db).await?;
    some(db, &ids).await
}

/// All questions to a person, in every event, oldest first.
pub async fn of_person(db: &SqlitePool, person_id: i64) -> Result<Vec<Request>> {
    to_person_anywhere(&mut *db.acquire().await?, person_id).await
}

async fn to_person_anywhere(db: &mut SqliteConnection, person_id: i64) -> Result<Vec<Request>> {
    let ids = sqlx::query_scalar!(r#"select id as "id!" from request where person_id = ?"#, person_id);
    let ids = ids.fetch_all(&mut *db).await?;
    some(db, &ids).await
}

/// An event's questions to one person, oldest first.
pub(in crate::asks) async fn to_person(
    db: &mut SqliteConnection,
    event_id: i64,
    person_id: i64,
) -> Result<Vec<Request>> {
    let mut requests = to_person_anywhere(db, person_id).await?;
    requests.retain(|request| request.event_id == event_id);
    Ok(requests)
}

/// One question.
pub async fn find(db: &SqlitePool, id: i64) -> Result<Option<Request>> {
    of_request_in(&mut *db.acquire().await?, id).await
}

/// The same, inside a write.
pub async fn of_request_in(db: &mut SqliteConnection, id: i64) -> Result<Option<Request>> {
    Ok(some(db, &[id]).await?.pop())
}

/// The questions with these numbers, oldest first.
async fn some(db: &mut SqliteConnection, ids: &[i64]) -> Result<Vec<Request>> {
    let ids = serde_json::json!(ids).to_string();
    let requests = sqlx::query_as!(
        RequestRow,
        r#"select id as "id!", event_id, person_id, kind, question, facts, words, closes_at, asked_at, asked_by,
                  withdrawn_at, link_number, version
           from request where id in (select value from json_each(?)) order by id"#,
        ids
    );
    let requests = requests.fetch_all(&mut *db).await?;
    let asks = sqlx::query_as!(
        AskRow,
        r#"select id as "id!", request_id, for_on as "for_on: Date", date_revision, lapsed_at
           from ask where request_id in (select value from json_each(?)) order by for_on, id"#,
        ids
    );
    let asks = asks.fetch_all(&mut *db).await?;
    let answers = sqlx::query_as!(
        AnswerRow,
        r#"select n.ask_id, n.said, n.deputy, n.deputy_title, n.deputy_phone, n.deputy_mail, n.wants_to_speak,
                  n.note, n.access_needs, n.party,
                  n.from_min, n.until_min, n.channel, n.evidence, n.at, p.name as "recorded_by?"
           from answer n join ask a on a.id = n.ask_id left join account c on c.id = n.recorded_by
                left join person p on p.id = c.person_id
           where a.request_id in (select value from json_each(?)) order by n.id desc"#,
        ids
    );
    assemble(requests, asks, answers.fetch_all(db).await?)
}
