use super::letters::Sender;
use super::noted::{self, Noted, Waiting};
use super::{Answer, Ask, Hours, Kind, Request, Said, Statement, Way};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::mail;
use crate::people::{self, Person};
use crate::web::link::{LinkKey, Opens, Secret};
use crate::web::words::Reader;
use anyhow::anyhow;
use serde::Deserialize;
use serde_json::json;
use sqlx::types::Json;
use sqlx::{SqliteConnection, SqlitePool};
use std::collections::HashMap;
use time::{Date, Duration, OffsetDateTime};

/// A link opens its page this long after the last date, to show the answer.
const LINK_LASTS: Duration = Duration::days(30);

/// A question, before it is known who gets it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewQuestion {
    pub kind: Kind,
    pub question: String,
    pub facts: Vec<(String, String)>,
    pub words: String,
    pub closes_at: OffsetDateTime,
    pub dates: Vec<Date>,
}

impl NewQuestion {
    /// The same as a question to someone, for a preview.
    #[must_use]
    pub fn unsent(&self, event: &Event, person_id: i64, now: OffsetDateTime) -> Request {
        let ask = |on: &Date| Ask {
            id: 0,
            for_on: *on,
            date_revision: event.date_revision,
            is_lapsed: false,
            answers: Vec::new(),
        };
        Request {
            id: 0,
            event_id: event.id,
            person_id,
            kind: self.kind,
            question: self.question.clone(),
            facts: self.facts.clone(),
            words: self.words.clone(),
            closes_at: self.closes_at,
            asked_at: now,
            asked_by: None,
            is_withdrawn: false,
            link_number: 1,
            version: 1,
            asks: self.dates.iter().map(ask).collect(),
        }
    }
}

/// An answer as given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    pub said: Said,
    pub deputy: String,
    /// The deputy's title. May be empty.
    pub deputy_title: String,
    /// How to reach the deputy. Either may be empty.
    pub deputy_phone: String,
    pub deputy_mail: String,
    pub wants_to_speak: Option<bool>,
    pub note: String,
    pub access_needs: String,
    pub party: Option<u32>,
    /// When they can be there that day, if they said.
    pub there: Option<Hours>,
    pub way: Way,
    pub evidence: String,
}

#[derive(Debug, Deserialize)]
struct RequestRow {
    id: i64,
    event_id: i64,
    person_id: i64,
    kind: String,
    question: String,
    facts: String,
    words: String,
    closes_at: i64,
    asked_at: i64,
    asked_by: Option<i64>,
    withdrawn_at: Option<i64>,
    link_number: i64,
    version: i64,
}

#[derive(Debug, Deserialize)]
struct AskRow {
    id: i64,
    request_id: i64,
    for_on: Date,
    date_revision: i64,
    lapsed_at: Option<i64>,
}

#[derive(Debug, Deserialize)]
struct AnswerRow {
    ask_id: i64,
    said: String,
    deputy: String,
    deputy_title: String,
    deputy_phone: String,
    deputy_mail: String,
    wants_to_speak: Option<i64>,
    note: String,
    access_needs: String,
    party: Option<i64>,
    from_min: Option<i64>,
    until_min: Option<i64>,
    channel: String,
    evidence: String,
    at: i64,
    recorded_by: Option<String>,
}

fn unknown(what: &str) -> Error {
    Error::Internal(anyhow!("an unknown {what} in the store"))
}

impl RequestRow {
    fn request(self, asks: Vec<Ask>) -> Result<Request> {
        Ok(Request {
            id: self.id,
            event_id: self.event_id,
            person_id: self.person_id,
            kind: self.kind.parse().map_err(|_| unknown("kind of question"))?,
            question: self.question,
            facts: serde_json::from_str(&self.facts)?,
            words: self.words,
            closes_at: OffsetDateTime::from_unix_timestamp(self.closes_at)?,
            asked_at: OffsetDateTime::from_unix_timestamp(self.asked_at)?,
            asked_by: self.asked_by,
            is_withdrawn: self.withdrawn_at.is_some(),
            link_number: self.link_number,
            version: self.version,
            asks,
        })
    }
}

impl AnswerRow {
    fn answer(self) -> Result<Answer> {
        Ok(Answer {
            said: self.said.parse().map_err(|_| unknown("answer"))?,
            deputy: self.deputy,
            deputy_title: self.deputy_title,
            deputy_phone: self.deputy_phone,
            deputy_mail: self.deputy_mail,
            wants_to_speak: self.wants_to_speak.map(|wants| wants != 0),
            note: self.note,
            access_needs: self.access_needs,
            party: self.party.map(u32::try_from).transpose()?,
            there: match self.from_min.zip(self.until_min) {
                Some((from, until)) => Some(Hours { from: u16::try_from(from)?, until: u16::try_from(until)? }),
                None => None,
            },
            way: self.channel.parse().map_err(|_| unknown("way of an answer"))?,
            evidence: self.evidence,
            at: OffsetDateTime::from_unix_timestamp(self.at)?,
            recorded_by: self.recorded_by,
        })
    }
}

fn assemble(requests: Vec<RequestRow>, asks: Vec<AskRow>, answers: Vec<AnswerRow>) -> Result<Vec<Request>> {
    let mut said: HashMap<i64, Vec<Answer>> = HashMap::new();
    for row in answers {
        said.entry(row.ask_id).or_default().push(row.answer()?);
    }
    let mut dates: HashMap<i64, Vec<Ask>> = HashMap::new();
    for row in asks {
        let answers = said.remove(&row.id).unwrap_or_default();
        let ask = Ask {
            id: row.id,
            for_on: row.for_on,
            date_revision: row.date_revision,
            is_lapsed: row.lapsed_at.is_some(),
            answers,
        };
        dates.entry(row.request_id).or_default().push(ask);
    }
    requests
        .into_iter()
        .map(|row| {
            let asks = dates.remove(&row.id).unwrap_or_default();
            row.request(asks)
        })
        .collect()
}

/// An event's questions, oldest first.
///
/// # Errors
/// The store's.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Request>> {
    let requests = sqlx::query_as!(
        RequestRow,
        r#"select id as "id!", event_id, person_id, kind, question, facts, words, closes_at, asked_at, asked_by,
                  withdrawn_at, link_number, version from request where event_id = ? order by id"#,
        event_id
    );
    let requests = requests.fetch_all(&mut *db).await?;
    let asks = sqlx::query_as!(
        AskRow,
        r#"select a.id as "id!", a.request_id, a.for_on as "for_on: Date", a.date_revision, a.lapsed_at from ask a
           join request r on r.id = a.request_id where r.event_id = ? order by a.for_on, a.id"#,
        event_id
    );
    let asks = asks.fetch_all(&mut *db).await?;
    let answers = sqlx::query_as!(
        AnswerRow,
        r#"select n.ask_id, n.said, n.deputy, n.deputy_title, n.deputy_phone, n.deputy_mail, n.wants_to_speak,
                  n.note, n.access_needs, n.party,
                  n.from_min, n.until_min, n.channel, n.evidence, n.at, p.name as "recorded_by?"
           from answer n join ask a on a.id = n.ask_id join request r on r.id = a.request_id
                left join account c on c.id = n.recorded_by left join person p on p.id = c.person_id
           where r.event_id = ? order by n.id desc"#,
        event_id
    );
    assemble(requests, asks, answers.fetch_all(db).await?)
}

/// All questions to a person, in every event, oldest first.
///
/// # Errors
/// The store's.
pub async fn of_person(db: &SqlitePool, person_id: i64) -> Result<Vec<Request>> {
    let ids = sqlx::query_scalar!(r#"select id as "id!" from request where person_id = ? order by id"#, person_id);
    let mut requests = Vec::new();
    for id in ids.fetch_all(db).await? {
        requests.extend(find(db, id).await?);
    }
    Ok(requests)
}

/// An event's questions to one person, oldest first.
///
/// # Errors
/// The store's.
pub(super) async fn to_person(db: &mut SqliteConnection, event_id: i64, person_id: i64) -> Result<Vec<Request>> {
    let ids = sqlx::query_scalar!(
        r#"select id as "id!" from request where person_id = ? and event_id = ? order by id"#,
        person_id,
        event_id
    );
    let mut requests = Vec::new();
    for id in ids.fetch_all(&mut *db).await? {
        requests.extend(of_request_in(&mut *db, id).await?);
    }
    Ok(requests)
}

/// One question.
///
/// # Errors
/// The store's.
pub async fn find(db: &SqlitePool, id: i64) -> Result<Option<Request>> {
    of_request_in(&mut *db.acquire().await?, id).await
}

/// The same, inside a write.
///
/// # Errors
/// The store's.
pub async fn of_request_in(db: &mut SqliteConnection, id: i64) -> Result<Option<Request>> {
    let request = sqlx::query_as!(
        RequestRow,
        r#"select id as "id!", event_id, person_id, kind, question, facts, words, closes_at, asked_at, asked_by,
                  withdrawn_at, link_number, version from request where id = ?"#,
        id
    );
    let request = request.fetch_optional(&mut *db).await?;
    let asks = sqlx::query_as!(
        AskRow,
        r#"select id as "id!", request_id, for_on as "for_on: Date", date_revision, lapsed_at from ask where request_id = ?
           order by for_on, id"#,
        id
    );
    let asks = asks.fetch_all(&mut *db).await?;
    let answers = sqlx::query_as!(
        AnswerRow,
        r#"select n.ask_id, n.said, n.deputy, n.deputy_title, n.deputy_phone, n.deputy_mail, n.wants_to_speak,
                  n.note, n.access_needs, n.party,
                  n.from_min, n.until_min, n.channel, n.evidence, n.at, p.name as "recorded_by?"
           from answer n join ask a on a.id = n.ask_id left join account c on c.id = n.recorded_by
                left join person p on p.id = c.person_id
           where a.request_id = ? order by n.id desc"#,
        id
    );
    let answers = answers.fetch_all(db).await?;
    Ok(assemble(request.into_iter().collect(), asks, answers)?.pop())
}

/// What a link opens: the question and everything its page shows.
#[derive(Debug, Clone)]
pub(super) struct Opened {
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
///
/// # Errors
/// The store's.
pub(super) async fn opened(db: &SqlitePool, secret: &Secret, now: OffsetDateTime) -> Result<Option<Opened>> {
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
    let holder = row.sender.map(|name| (name, of(row.sender_mail), of(row.sender_phone), of(row.sender_title)));
    let department = (row.department.unwrap_or_default(), row.department_phone.unwrap_or_default());
    Ok(Some(Opened {
        request,
        event: row.event.0.event()?,
        person: row.person.0.person()?,
        sender: Sender::from(holder, department),
        feed: row.feed,
        known: noted::known(row.noted.0.iter(), Waiting::IsTakenBack).map(|known| known.0),
        seen: row.seen.map(|json| json.0),
    }))
}

/// Asks someone, and returns the question's number.
///
/// # Errors
/// The store's.
pub async fn ask(
    tx: &mut Tx,
    by: i64,
    event: &Event,
    person_id: i64,
    question: &NewQuestion,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<i64> {
    let (kind, facts) = (question.kind.as_str(), serde_json::to_string(&question.facts)?);
    let (closes_at, at) = (question.closes_at.unix_timestamp(), now.unix_timestamp());
    let number = first_number(tx).await?;
    let id = sqlx::query!(
        "insert into request (event_id, person_id, kind, question, facts, words, closes_at, asked_at, asked_by,
                              link_number, version)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        event.id,
        person_id,
        kind,
        question.question,
        facts,
        question.words,
        closes_at,
        at,
        by,
        number,
        number
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    for on in &question.dates {
        add_date(tx, id, *on, event.date_revision).await?;
    }
    let last = question.dates.iter().max().copied().unwrap_or(event.details.burn_on);
    add_link(tx, id, &key.secret(Opens::Question, id, number), last, now).await?;
    add_feed(tx, person_id, &key.secret(Opens::Calendar, person_id, 1)).await?;
    let dates: Vec<String> = question.dates.iter().map(|on| Reader::App.day(*on)).collect();
    let after = Some(json!({"for": dates.join(", "), "kind": question.kind.label()}));
    record(tx, now, Entry { after, ..entry(Actor::Account(by), "asked", event.id, id, &question.question) });
    Ok(id)
}

/// The number a question starts with. It is higher in a copy of the store: a question
/// there can have the same id as one asked after the copy was made and then lost, and
/// neither its link nor its calendar entries may be mistaken for that one's.
async fn first_number(tx: &mut Tx) -> Result<i64> {
    Ok(sqlx::query_scalar!(r#"select 1 + 1000 * copies as "number!: i64" from mail_hold"#).fetch_one(&mut **tx).await?)
}

async fn add_date(tx: &mut Tx, request_id: i64, on: Date, date_revision: i64) -> Result<()> {
    sqlx::query!("insert into ask (request_id, for_on, date_revision) values (?, ?, ?)", request_id, on, date_revision)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

async fn add_link(tx: &mut Tx, request_id: i64, secret: &Secret, last: Date, now: OffsetDateTime) -> Result<()> {
    let (hash, at) = (secret.hash(), now.unix_timestamp());
    let expires_at = (last + LINK_LASTS).midnight().assume_utc().unix_timestamp();
    sqlx::query!(
        "insert into request_link (token_hash, request_id, created_at, expires_at) values (?, ?, ?, ?)
         on conflict (token_hash) do update set expires_at = max(expires_at, excluded.expires_at)",
        hash,
        request_id,
        at,
        expires_at
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Adds a person's calendar, unless they have one or it was revoked.
async fn add_feed(tx: &mut Tx, person_id: i64, secret: &Secret) -> Result<()> {
    let hash = secret.hash();
    sqlx::query!("insert into feed (person_id, token_hash) values (?, ?) on conflict do nothing", person_id, hash)
        .execute(&mut **tx)
        .await?;
    Ok(())
}

/// Whose calendar a link opens: a person's or an event's.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FeedOf {
    Person(i64),
    Event(i64),
}

pub(super) async fn opened_feed(db: &SqlitePool, secret: &Secret) -> Result<Option<FeedOf>> {
    let hash = secret.hash();
    let row =
        sqlx::query!("select person_id, event_id from feed where token_hash = ?", hash).fetch_optional(db).await?;
    Ok(row.and_then(|row| row.person_id.map(FeedOf::Person).or(row.event_id.map(FeedOf::Event))))
}

/// The number a calendar link is made with. None if it was revoked or never made.
///
/// # Errors
/// The store's.
pub(super) async fn feed_number(db: &SqlitePool, of: FeedOf) -> Result<Option<i64>> {
    let (person, event) = match of {
        FeedOf::Person(id) => (Some(id), None),
        FeedOf::Event(id) => (None, Some(id)),
    };
    let number = sqlx::query_scalar!(
        "select number from feed where person_id is ? and event_id is ? and token_hash is not null",
        person,
        event
    );
    Ok(number.fetch_optional(db).await?)
}

/// Makes a new link for an event's calendar, or revokes it without a key.
///
/// # Errors
/// The store's.
pub(super) async fn renew_event_feed(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    key: Option<&LinkKey>,
    now: OffsetDateTime,
) -> Result<()> {
    let old = sqlx::query_scalar!("select number from feed where event_id = ?", event.id).fetch_optional(&mut **tx);
    let number = (old.await?.unwrap_or(0) + 1).max(first_number(tx).await?);
    let hash = key.map(|key| key.secret(Opens::EventCalendar, event.id, number).hash());
    sqlx::query!(
        "insert into feed (event_id, number, token_hash) values (?, ?, ?)
         on conflict (event_id) do update set number = excluded.number, token_hash = excluded.token_hash",
        event.id,
        number,
        hash
    )
    .execute(&mut **tx)
    .await?;
    let verb = if key.is_some() { "made a calendar link for" } else { "removed the calendar link for" };
    let entry = entry(actor, verb, event.id, event.id, &event.details.name);
    record(tx, now, Entry { subject: "event", ..entry });
    Ok(())
}

/// Asks the same question again for the event's current dates. False if it was withdrawn
/// or already asks about all of them.
///
/// # Errors
/// The store's.
pub async fn ask_again(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    id: i64,
    closes_at: OffsetDateTime,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<bool> {
    let Some(request) = of_request_in(tx, id).await? else { return Ok(false) };
    let dates = request.lacks(event.details.burn_on, event.details.rain_on);
    ask_for(tx, actor, event, (&request, &dates), closes_at, key, now).await
}

/// Asks the same question for those dates it doesn't ask about yet. False if it was
/// withdrawn or asks about all of them.
///
/// # Errors
/// The store's.
pub async fn ask_for(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (request, dates): (&Request, &[Date]),
    closes_at: OffsetDateTime,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<bool> {
    let id = request.id;
    let mut dates = dates.to_vec();
    dates.retain(|on| request.live().all(|ask| ask.for_on != *on));
    if request.is_withdrawn || dates.is_empty() {
        return Ok(false);
    }
    for on in &dates {
        add_date(tx, id, *on, event.date_revision).await?;
    }
    let closes = closes_at.unix_timestamp();
    sqlx::query!("update request set closes_at = ?, version = version + 1 where id = ?", closes, id)
        .execute(&mut **tx)
        .await?;
    let last = dates.iter().max().copied().unwrap_or(event.details.burn_on);
    add_link(tx, id, &key.secret(Opens::Question, id, request.link_number), last, now).await?;
    let told: Vec<String> = dates.iter().map(|on| Reader::App.day(*on)).collect();
    let after = Some(json!({"for": told.join(", ")}));
    record(tx, now, Entry { after, ..entry(actor, "asked again", event.id, id, &request.question) });
    Ok(true)
}

/// Adds an answer to a question that was just read, and tells no one. The store itself
/// cancels emails that are no longer needed. False if the question or its date is gone by
/// now. The caller checks whether it was still open.
///
/// # Errors
/// The store's.
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
    let day = Reader::App.day(ask.for_on);
    let before = ask.last().map(|answer| json!({"said": answer.says(), "to": day}));
    let there = given.there.map(Hours::says);
    let (said, way) = (given.said.label(), given.way.label());
    let after = Some(json!({"said": said, "to": day, "by": way, "can be there": there}));
    let entry = entry(actor, "answered", request.event_id, request.id, &request.question);
    record(tx, now, Entry { before, after, ..entry });
    Ok(true)
}

/// Notes an answer from a page that is older than the date. It goes with the date the page
/// showed, where it doesn't count.
///
/// # Errors
/// The store's.
pub(super) async fn add_late(
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
    let day = Reader::App.day(ask.for_on);
    let after = Some(json!({"said": given.said.label(), "to": day, "note": "the date had already changed"}));
    let entry = entry(Actor::Link, "answered", request.event_id, request.id, &request.question);
    record(tx, now, Entry { after, ..entry });
    Ok(())
}

/// Replaces a question's own lines. False if they are the same.
///
/// # Errors
/// The store's.
pub(super) async fn set_facts(tx: &mut Tx, id: i64, facts: &[(String, String)]) -> Result<bool> {
    let facts = serde_json::to_string(facts)?;
    let done = sqlx::query!(
        "update request set facts = ?, version = version + 1 where id = ? and facts <> ?",
        facts,
        id,
        facts
    )
    .execute(&mut **tx)
    .await?;
    Ok(done.rows_affected() > 0)
}

/// Puts a question's own lines into other words, which is no change to the question.
///
/// # Errors
/// The store's.
pub(super) async fn reword(tx: &mut Tx, id: i64, facts: &[(String, String)]) -> Result<()> {
    let facts = serde_json::to_string(facts)?;
    sqlx::query!("update request set facts = ? where id = ?", facts, id).execute(&mut **tx).await?;
    Ok(())
}

/// Changes the last moment to answer by link.
///
/// # Errors
/// The store's.
pub(super) async fn set_closing(tx: &mut Tx, id: i64, closes_at: OffsetDateTime) -> Result<()> {
    let at = closes_at.unix_timestamp();
    sqlx::query!("update request set closes_at = ? where id = ?", at, id).execute(&mut **tx).await?;
    Ok(())
}

/// Keeps a question's link open until this day and a while after.
///
/// # Errors
/// The store's.
pub(super) async fn keep_link(
    tx: &mut Tx,
    request: &Request,
    until: Date,
    key: &LinkKey,
    now: OffsetDateTime,
) -> Result<()> {
    add_link(tx, request.id, &key.secret(Opens::Question, request.id, request.link_number), until, now).await
}

/// Withdraws a question. Its link says so from then on, and its waiting emails aren't sent.
/// False if it was withdrawn before.
///
/// # Errors
/// The store's.
pub async fn withdraw(tx: &mut Tx, actor: Actor, request: &Request, now: OffsetDateTime) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update request set withdrawn_at = ?, version = version + 1 where id = ? and withdrawn_at is null",
        at,
        request.id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    mail::cancel_for_request(tx, request.id, "The question was withdrawn.", now).await?;
    record(tx, now, entry(actor, "withdrew", request.event_id, request.id, &request.question));
    Ok(true)
}

/// Opens a withdrawn question again. False if it is open.
///
/// # Errors
/// The store's.
pub(super) async fn reopen(tx: &mut Tx, actor: Actor, request: &Request, now: OffsetDateTime) -> Result<bool> {
    let done = sqlx::query!(
        "update request set withdrawn_at = null, version = version + 1 where id = ? and withdrawn_at is not null",
        request.id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    record(tx, now, entry(actor, "reopened", request.event_id, request.id, &request.question));
    Ok(true)
}

/// Moves all questions to a duplicate contact record of the same person. Returns their
/// numbers so that it can be undone.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Vec<i64>> {
    let moved =
        sqlx::query_scalar!(r#"update request set person_id = ? where person_id = ? returning id as "id!""#, to, from)
            .fetch_all(&mut **tx)
            .await?;
    Ok(moved)
}

/// Undoes the move.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, requests: &[i64], to: i64) -> Result<()> {
    for id in requests {
        sqlx::query!("update request set person_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    Ok(())
}

/// Blanks what one person, under any of these records, wrote in their own words and what
/// was written to them. That they were asked and what they answered stays.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64], now: OffsetDateTime) -> Result<()> {
    let people = serde_json::json!(people).to_string();
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

pub(in crate::asks) fn entry<'a>(
    actor: Actor,
    verb: &'static str,
    event_id: i64,
    id: i64,
    title: &'a str,
) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "question",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}
