//! What an answer link opens, in one statement.

use super::rows::{AnswerRow, AskRow, RequestRow, assemble};
use crate::asks::noted::{self, Noted, Waiting};
use crate::asks::sender::{Holder, Sender};
use crate::asks::{Request, Statement};
use crate::error::Result;
use crate::events::{self, Event};
use crate::people::{self, Person};
use crate::web::link::Secret;
use sqlx::SqlitePool;
use sqlx::types::Json;
use time::OffsetDateTime;

/// What a link opens: the question and everything its page shows.
#[derive(Debug, Clone)]
pub(in crate::asks) struct Opened {
    pub request: Request,
    pub event: Event,
    pub person: Person,
    pub sender: Sender,
    /// The number the person's calendar link is made with, unless it is revoked.
    pub feed: Option<i64>,
    /// What they know, if it was noted;
    pub known: Option<Statement>,
    /// and what they knew when they last answered, or else at first.
    pub seen: Option<Statement>,
}

/// Finds what a link opens. It is one SQL statement because a whole department may answer
/// in one evening, and each statement is a trip to the connection's thread and back.
pub(in crate::asks) async fn opened(db: &SqlitePool, secret: &Secret, now: OffsetDateTime) -> Result<Option<Opened>> {
    let (hash, at) = (secret.hash(), now.unix_timestamp());
    let row = sqlx::query!(
        r#"select
               json_object('id', r.id, 'event_id', r.event_id, 'person_id', r.person_id, 'kind', r.kind,
                   'question', r.question, 'facts', r.facts, 'words', r.words, 'closes_at', r.closes_at,
                   'asked_at', r.asked_at, 'asked_by', r.asked_by, 'withdrawn_at', r.withdrawn_at,
                   'link_number', r.link_number, 'version', r.version) as "request!: Json<RequestRow>",
               (select json_group_array(json_object('id', a.id, 'request_id', a.request_id, 'for_on', a.for_on,
                       'date_revision', a.date_revision, 'lapsed_at', a.lapsed_at) order by a.for_on, a.id)
                from ask a where a.request_id = r.id) as "asks!: Json<Vec<AskRow>>",
               (select json_group_array(json_object('ask_id', n.ask_id, 'said', n.said, 'deputy', n.deputy,
                       'deputy_title', n.deputy_title, 'deputy_phone', n.deputy_phone,
                       'deputy_mail', n.deputy_mail, 'wants_to_speak', n.wants_to_speak,
                       'note', n.note, 'access_needs', n.access_needs, 'party', n.party,
                       'from_min', n.from_min, 'until_min', n.until_min, 'channel', n.channel,
                       'evidence', n.evidence, 'at', n.at, 'recorded_by', by.name) order by n.id desc)
                from answer n join ask a on a.id = n.ask_id left join account c on c.id = n.recorded_by
                     left join person by on by.id = c.person_id
                where a.request_id = r.id) as "answers!: Json<Vec<AnswerRow>>",
               json_object('id', e.id, 'name', e.name, 'site', e.site, 'zone', e.zone, 'burn_on', e.burn_on,
                   'burn_time', e.burn_time, 'rain_on', e.rain_on, 'format', e.format, 'audience', e.audience,
                   'weekdays', e.weekdays, 'address', e.address, 'latitude', e.latitude, 'longitude', e.longitude,
                   'parking', e.parking, 'clothing', e.clothing, 'date_revision', e.date_revision,
                   'facts_revision', e.facts_revision, 'is_current', e.is_current, 'version', e.version) as "event!: Json<events::Row>",
               json_object('id', p.id, 'name', p.name, 'surname', p.surname, 'address_form', p.address_form,
                   'said', p.said, 'organization', o.name, 'office', p.office, 'jurisdiction', p.jurisdiction,
                   'mail', p.mail, 'phone', p.phone, 'channel', p.channel,
                   'notes', p.notes, 'access_needs', p.access_needs, 'no_mail', p.no_mail,
                   'refused_at', p.refused_at, 'refused_why', p.refused_why,
                   'version', p.version) as "person!: Json<people::Row>",
               by.name as "sender?", c.mail as "sender_mail?", by.phone as "sender_phone?",
               by.office as "sender_title?",
               d.name as "department?", d.phone as "department_phone?",
               (select number from feed where person_id = p.id and token_hash is not null) as "feed: i64",
               (select json_group_array(json_object('request_id', s.request_id, 'way', s.way, 'state', m.state,
                       'unsure', m.unsure, 'is_doubtful', s.is_doubtful, 'content', json(s.content)) order by s.id)
                from statement s left join mail m on m.dedup = s.mail_dedup
                where s.request_id = r.id) as "noted!: Json<Vec<Noted>>",
               coalesce(
                   (select s.content from statement s
                    where s.request_id = r.id and s.at <= (
                        select max(n.at) from answer n join ask a on a.id = n.ask_id where a.request_id = r.id)
                    order by s.id desc limit 1),
                   (select s.content from statement s where s.request_id = r.id order by s.id limit 1)
               ) as "seen: Json<Statement>"
           from request_link l join request r on r.id = l.request_id join event e on e.id = r.event_id
                join person p on p.id = r.person_id and p.forgotten_at is null and p.merged_into is null
                left join organization o on o.id = p.organization_id
                left join account c on c.id = r.asked_by left join person by on by.id = c.person_id
                left join department d
           where l.token_hash = ? and l.expires_at > ?"#,
        hash,
        at
    );
    let Some(row) = row.fetch_optional(db).await? else { return Ok(None) };
    let request = assemble(vec![row.request.0], row.asks.0, row.answers.0)?.pop();
    let Some(request) = request else { return Ok(None) };
    let of = Option::unwrap_or_default;
    let holder = row.sender.map(|name| Holder {
        name,
        mail: of(row.sender_mail),
        phone: of(row.sender_phone),
        title: of(row.sender_title),
    });
    Ok(Some(Opened {
        request,
        event: row.event.0.event()?,
        person: row.person.0.person()?,
        sender: Sender::from(holder, of(row.department), of(row.department_phone)),
        feed: row.feed,
        known: noted::known(row.noted.0.iter(), Waiting::IsTakenBack).map(|known| known.0),
        seen: row.seen.map(|json| json.0),
    }))
}
