//! Adding answers. None of them changes later.

use super::journal::entry;
use crate::asks::{Ask, Given, Hours, Request};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::mail;
use crate::web::words::Reader;
use serde_json::json;
use time::OffsetDateTime;

/// Adds an answer to a question that was just read, and tells no one. Emails that are no
/// longer needed are canceled. False if the question or its date is gone by
/// now. The caller checks whether it was still open.
pub async fn add_answer(
    tx: &mut Tx,
    actor: Actor,
    (request, ask_id): (&Request, i64),
    given: &Given,
    now: OffsetDateTime,
) -> Result<bool> {
    let Some(ask) = request.live().find(|ask| ask.id == ask_id) else { return Ok(false) };
    let (said, channel, at) = (given.said.as_str(), given.way.as_str(), now.unix_timestamp());
    let (from, until) = (given.there.map(|hours| hours.from), given.there.map(|hours| hours.until));
    let recorded_by = match actor {
        Actor::Account(id) => Some(id),
        Actor::Link | Actor::System => None,
    };
    let added = sqlx::query!(
        "insert into answer (ask_id, said, deputy, deputy_title, deputy_phone, deputy_mail, wants_to_speak, note,
                             access_needs, party, from_min, until_min, channel, evidence, at, recorded_by)
         select a.id, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ? from ask a join request r on r.id = a.request_id
         where a.id = ? and r.id = ? and a.lapsed_at is null and r.withdrawn_at is null",
        said,
        given.deputy,
        given.deputy_title,
        given.deputy_phone,
        given.deputy_mail,
        given.wants_to_speak,
        given.note,
        given.access_needs,
        given.party,
        from,
        until,
        channel,
        given.evidence,
        at,
        recorded_by,
        ask_id,
        request.id
    )
    .execute(&mut **tx)
    .await?
    .rows_affected();
    if added == 0 {
        return Ok(false);
    }
    cancel_needless(tx, ask_id, now).await?;
    let day = Reader::App.day(ask.for_on);
    let before = ask.last().map(|answer| json!({"said": answer.says(), "to": day}));
    let there = given.there.map(Hours::says);
    let (said, way) = (given.said.label(), given.way.label());
    let after = Some(json!({"said": said, "to": day, "by": way, "can be there": there}));
    let entry = entry(actor, "answered", request.event_id, request.id, &request.question);
    record(tx, now, Entry { before, after, ..entry });
    Ok(true)
}

/// Cancels the waiting emails that an answer makes needless. Its confirmation tells all of
/// how the question stands, and what is still open. A reminder is needless once all is
/// answered.
async fn cancel_needless(tx: &mut Tx, ask_id: i64, now: OffsetDateTime) -> Result<()> {
    let answered = sqlx::query!(
        r#"select a.request_id, not exists (
                  select 1 from ask o where o.request_id = a.request_id and o.lapsed_at is null
                    and not exists (select 1 from answer n where n.ask_id = o.id)) as "is_all!: bool"
           from ask a where a.id = ? and a.lapsed_at is null"#,
        ask_id
    );
    match answered.fetch_optional(&mut **tx).await? {
        Some(row) => mail::cancel_answered(tx, row.request_id, row.is_all, now).await,
        None => Ok(()),
    }
}

/// Notes an answer from a page that is older than the date. It goes with the date the page
/// showed, where it doesn't count.
pub(in crate::asks) async fn add_late(
    tx: &mut Tx,
    (request, ask): (&Request, &Ask),
    given: &Given,
    now: OffsetDateTime,
) -> Result<()> {
    let (said, channel, at) = (given.said.as_str(), given.way.as_str(), now.unix_timestamp());
    sqlx::query!(
        "insert into answer (ask_id, said, deputy, deputy_title, note, access_needs, channel, at)
         values (?, ?, ?, ?, ?, ?, ?, ?)",
        ask.id,
        said,
        given.deputy,
        given.deputy_title,
        given.note,
        given.access_needs,
        channel,
        at
    )
    .execute(&mut **tx)
    .await?;
    cancel_needless(tx, ask.id, now).await?;
    let day = Reader::App.day(ask.for_on);
    let after = Some(json!({"said": given.said.label(), "to": day, "note": "the date had already changed"}));
    let entry = entry(Actor::Link, "answered", request.event_id, request.id, &request.question);
    record(tx, now, Entry { after, ..entry });
    Ok(())
}
