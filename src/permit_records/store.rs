use super::{
    CountedWhen, DatesOnIt, DayKind, Details, KnownRules, Learned, Permit, Rule, RuleKind, Sending, says, usual,
};
use crate::calc::notice;
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::people;
use crate::web::words::{self, Reader};
use anyhow::{Context, anyhow};
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use std::collections::HashMap;
use std::str::FromStr;
use time::macros::format_description;
use time::{Date, OffsetDateTime, Time};

/// An event has at most this many records, and a record at most this many sendings.
const MOST: usize = 100;
const MOST_SENDINGS: usize = 40;

/// Why a record was not changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Refused {
    /// Someone else changed it in the meantime.
    Stale,
    /// It is gone, or was never there.
    Gone,
    /// It already says so.
    Already,
    /// There are as many as there can be.
    Full,
}

struct Row {
    id: i64,
    event_id: i64,
    task_id: Option<i64>,
    key: Option<String>,
    kind: String,
    title: String,
    authority: String,
    person_id: Option<i64>,
    person: Option<String>,
    phone: String,
    mail: String,
    number: String,
    rule: String,
    notice_days: Option<i64>,
    notice_basis: Option<String>,
    counted_when: Option<String>,
    delivery_days: Option<i64>,
    dates_on_it: Option<String>,
    learned_by: String,
    learned_on: Option<Date>,
    granted_on: Option<Date>,
    expires_on: Option<Date>,
    conditions: String,
    read_back_on: Option<Date>,
    read_back_by: Option<String>,
    notes: String,
    version: i64,
}

fn known<T: FromStr<Err = String>>(text: Option<&str>) -> Result<T> {
    text.unwrap_or_default().parse().map_err(|wrong| Error::Internal(anyhow!("a permit in the store: {wrong}")))
}

impl Row {
    fn permit(self, sendings: Vec<Sending>) -> Result<Permit> {
        let learned = || Learned { by: self.learned_by.clone(), on: self.learned_on };
        let rule = match known::<RuleKind>(Some(&self.rule))? {
            RuleKind::NotAsked => Rule::NotAsked,
            RuleKind::None => Rule::None(learned()),
            RuleKind::Days => Rule::Days {
                rule: notice::Rule {
                    days: u16::try_from(self.notice_days.unwrap_or(0))?,
                    basis: known::<DayKind>(self.notice_basis.as_deref())?.basis(),
                    counted: known::<CountedWhen>(self.counted_when.as_deref())?.counted(),
                    delivery: u16::try_from(self.delivery_days.unwrap_or(0))?,
                },
                dates: known(self.dates_on_it.as_deref())?,
                learned: learned(),
            },
        };
        Ok(Permit {
            id: self.id,
            event_id: self.event_id,
            key: self.key,
            details: Details {
                kind: known(Some(&self.kind))?,
                title: self.title,
                task_id: self.task_id,
                authority: self.authority,
                person: self.person,
                phone: self.phone,
                mail: self.mail,
                number: self.number,
                rule,
                granted_on: self.granted_on,
                expires_on: self.expires_on,
                conditions: self.conditions,
                notes: self.notes,
            },
            person_id: self.person_id,
            sendings,
            read_back: self.read_back_on.map(|on| (on, self.read_back_by.unwrap_or_default())),
            version: self.version,
        })
    }
}

/// All records of an event, in the order they were added.
///
/// # Errors
/// The store's.
pub async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Permit>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select p.id as "id!", p.event_id, p.task_id, p.key, p.kind, p.title, p.authority, p.person_id,
                  c.name as "person?", p.phone, p.mail, p.number, p.rule, p.notice_days, p.notice_basis, p.counted_when, p.delivery_days,
                  p.dates_on_it, p.learned_by, p.learned_on as "learned_on: Date",
                  p.granted_on as "granted_on: Date", p.expires_on as "expires_on: Date", p.conditions,
                  p.read_back_on as "read_back_on: Date", b.name as "read_back_by?", p.notes, p.version
           from permit p left join account a on a.id = p.read_back_by left join person b on b.id = a.person_id
                left join person c on c.id = p.person_id
           where p.event_id = ? order by p.id"#,
        event_id
    );
    let rows = rows.fetch_all(&mut *db).await?;
    let sent = sqlx::query!(
        r#"select s.id as "id!", s.permit_id, s.sent_on as "sent_on: Date", s.received_on as "received_on: Date", s.site,
                  s.burn_time, d.named_on as "named_on: Date"
           from permit_sending s join permit p on p.id = s.permit_id left join permit_date d on d.sending_id = s.id
           where p.event_id = ? order by s.id, d.named_on"#,
        event_id
    );
    let mut sendings: HashMap<i64, Vec<Sending>> = HashMap::new();
    for row in sent.fetch_all(db).await? {
        let of_permit = sendings.entry(row.permit_id).or_default();
        if of_permit.last().is_none_or(|last| last.id != row.id) {
            let burn_time = Time::parse(&row.burn_time, format_description!("[hour]:[minute]")).context("an hour")?;
            let (sent_on, received_on, site) = (row.sent_on, row.received_on, row.site);
            of_permit.push(Sending { id: row.id, names: Vec::new(), sent_on, received_on, site, burn_time });
        }
        if let (Some(last), Some(day)) = (of_permit.last_mut(), row.named_on) {
            last.names.push(day);
        }
    }
    rows.into_iter()
        .map(|row| {
            let sendings = sendings.remove(&row.id).unwrap_or_default();
            row.permit(sendings)
        })
        .collect()
}

/// One record of an event.
///
/// # Errors
/// The store's.
pub async fn find(db: &mut SqliteConnection, event_id: i64, id: i64) -> Result<Option<Permit>> {
    Ok(of_event(db, event_id).await?.into_iter().find(|permit| permit.id == id))
}

/// The rule of each usual record that the department knows from its events; if there are
/// several, the one someone asked about last.
///
/// # Errors
/// The store's.
pub async fn known_rules(db: &mut SqliteConnection) -> Result<KnownRules> {
    let events = sqlx::query_scalar!(
        r#"select distinct event_id as "id!" from permit where key is not null and rule <> 'not yet asked' order by 1"#
    );
    let mut known = KnownRules::new();
    for event_id in events.fetch_all(&mut *db).await? {
        for permit in of_event(db, event_id).await? {
            let (Some(key), Some(learned)) = (permit.key, permit.details.rule.learned()) else { continue };
            let newer = |old: &Details| old.rule.learned().is_none_or(|old| old.on <= learned.on);
            if known.get(&key).is_none_or(newer) {
                known.insert(key, permit.details);
            }
        }
    }
    Ok(known)
}

/// The record as the journal keeps it.
fn snapshot(details: &Details) -> Value {
    let day = |on: Option<Date>| on.map(|on| Reader::App.day(on));
    let learned = details.rule.learned();
    json!({
        "type": details.kind.as_str(),
        "name": details.title,
        "authority": details.authority,
        "contact there": details.person,
        "phone": details.phone,
        "email": details.mail,
        "number": details.number,
        "notice rule": says::rule_says(&details.rule),
        "asked by": learned.map(|learned| learned.by.clone()),
        "asked on": day(learned.and_then(|learned| learned.on)),
        "granted": day(details.granted_on),
        "expires": day(details.expires_on),
        "conditions": details.conditions,
        "notes": details.notes,
    })
}

fn entry<'a>(actor: Actor, verb: &'static str, (event_id, id): (i64, i64), title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "permit",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}

/// The columns of a rule as they are written.
struct Columns<'a> {
    rule: &'static str,
    days: Option<i64>,
    basis: Option<&'static str>,
    counted: Option<&'static str>,
    delivery: Option<i64>,
    dates: Option<&'static str>,
    learned_by: &'a str,
    learned_on: Option<Date>,
}

impl<'a> Columns<'a> {
    fn of(rule: &'a Rule) -> Self {
        let days = match rule {
            Rule::Days { rule, dates, .. } => Some((rule, *dates)),
            Rule::NotAsked | Rule::None(_) => None,
        };
        let learned = rule.learned();
        Self {
            rule: rule.kind().as_str(),
            days: days.map(|(rule, _)| i64::from(rule.days)),
            basis: days.map(|(rule, _)| DayKind::of(rule.basis).as_str()),
            counted: days.map(|(rule, _)| CountedWhen::of(rule.counted).as_str()),
            delivery: days.map(|(rule, _)| i64::from(rule.delivery)),
            dates: days.map(|(_, dates): (_, DatesOnIt)| dates.as_str()),
            learned_by: learned.map_or("", |learned| &learned.by),
            learned_on: learned.and_then(|learned| learned.on),
        }
    }
}

/// The person a record names. If several have that name, the one it named before.
async fn person_of(tx: &mut Tx, details: &Details, old: Option<&Permit>, now: OffsetDateTime) -> Result<Option<i64>> {
    match (&details.person, old) {
        (None, _) => Ok(None),
        (Some(name), Some(old)) if old.details.person.as_ref() == Some(name) => Ok(old.person_id),
        (Some(name), _) => Ok(Some(people::named(tx, name, now).await?)),
    }
}

async fn insert(tx: &mut Tx, event_id: i64, key: Option<&str>, details: &Details, now: OffsetDateTime) -> Result<i64> {
    let person_id = person_of(tx, details, None, now).await?;
    let (kind, rule) = (details.kind.as_str(), Columns::of(&details.rule));
    let added = sqlx::query!(
        "insert into permit (event_id, task_id, key, kind, title, authority, person_id, phone, mail, number, rule,
                             notice_days, notice_basis, counted_when, delivery_days, dates_on_it, learned_by, learned_on,
                             granted_on, expires_on, conditions, notes)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
        event_id,
        details.task_id,
        key,
        kind,
        details.title,
        details.authority,
        person_id,
        details.phone,
        details.mail,
        details.number,
        rule.rule,
        rule.days,
        rule.basis,
        rule.counted,
        rule.delivery,
        rule.dates,
        rule.learned_by,
        rule.learned_on,
        details.granted_on,
        details.expires_on,
        details.conditions,
        details.notes
    );
    Ok(added.execute(&mut **tx).await?.last_insert_rowid())
}

/// Adds a record.
///
/// # Errors
/// The store's.
pub async fn add(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    details: &Details,
    now: OffsetDateTime,
) -> Result<Result<i64, Refused>> {
    if of_event(tx, event_id).await?.len() >= MOST {
        return Ok(Err(Refused::Full));
    }
    let id = insert(tx, event_id, None, details, now).await?;
    let after = Some(snapshot(details));
    record(tx, now, Entry { after, ..entry(actor, "added", (event_id, id), &details.title) });
    Ok(Ok(id))
}

/// Adds the usual records that an event doesn't have, each for its task, with what the
/// department knows about its rule. Returns how many.
///
/// # Errors
/// The store's.
pub async fn add_usual(
    tx: &mut Tx,
    actor: Actor,
    event_id: i64,
    task_of: impl Fn(&str) -> Option<i64>,
    now: OffsetDateTime,
) -> Result<usize> {
    let here: Vec<String> = of_event(tx, event_id).await?.into_iter().filter_map(|permit| permit.key).collect();
    let known = known_rules(tx).await?;
    let mut added = 0;
    for usual in usual::usual().iter().filter(|usual| !here.contains(&usual.key)) {
        let Some(task) = task_of(&usual.task) else { continue };
        insert(tx, event_id, Some(&usual.key), &usual.details(task, known.get(&usual.key)), now).await?;
        added += 1;
    }
    if added > 0 {
        let title = words::count(added, "usual permit or notice", "usual permits and notices");
        record(tx, now, Entry { subject_id: None, ..entry(actor, "added", (event_id, 0), &title) });
    }
    Ok(added)
}

/// Changes a record, unless someone else did in the meantime. Conditions that change
/// must be read back again.
///
/// # Errors
/// The store's.
pub async fn save(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    details: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let Some(old) = find(tx, event_id, id).await? else { return Ok(Err(Refused::Gone)) };
    if old.version != version {
        return Ok(Err(Refused::Stale));
    }
    if old.details == *details {
        return Ok(Ok(()));
    }
    let (kind, rule) = (details.kind.as_str(), Columns::of(&details.rule));
    let person_id = person_of(tx, details, Some(&old), now).await?;
    let same_conditions = old.details.conditions == details.conditions;
    sqlx::query!(
        "update permit set task_id = ?, kind = ?, title = ?, authority = ?, person_id = ?, phone = ?, mail = ?,
                number = ?, rule = ?, notice_days = ?, notice_basis = ?, counted_when = ?, delivery_days = ?,
                dates_on_it = ?, learned_by = ?, learned_on = ?, granted_on = ?, expires_on = ?, conditions = ?,
                notes = ?, version = version + 1 where id = ?",
        details.task_id,
        kind,
        details.title,
        details.authority,
        person_id,
        details.phone,
        details.mail,
        details.number,
        rule.rule,
        rule.days,
        rule.basis,
        rule.counted,
        rule.delivery,
        rule.dates,
        rule.learned_by,
        rule.learned_on,
        details.granted_on,
        details.expires_on,
        details.conditions,
        details.notes,
        id
    )
    .execute(&mut **tx)
    .await?;
    let (mut before, mut after) = (snapshot(&old.details), snapshot(details));
    if let (false, Some((on, _))) = (same_conditions, &old.read_back) {
        sqlx::query!("update permit set read_back_on = null, read_back_by = null where id = ?", id)
            .execute(&mut **tx)
            .await?;
        (before["conditions read back"], after["conditions read back"]) = (json!(Reader::App.day(*on)), Value::Null);
    }
    let (before, after) = (Some(before), Some(after));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", (event_id, id), &details.title) });
    Ok(Ok(()))
}

/// Removes a record, unless someone changed it in the meantime.
///
/// # Errors
/// The store's.
pub async fn remove(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let Some(old) = find(tx, event_id, id).await? else { return Ok(Err(Refused::Gone)) };
    if old.version != version {
        return Ok(Err(Refused::Stale));
    }
    sqlx::query!("delete from permit where id = ?", id).execute(&mut **tx).await?;
    let before = Some(snapshot(&old.details));
    record(tx, now, Entry { before, ..entry(actor, "removed", (event_id, id), &old.details.title) });
    Ok(Ok(()))
}

fn sent_snapshot(sending: &Sending) -> Value {
    json!({
        "sent": Reader::App.day(sending.sent_on),
        "received": sending.received_on.map(|on| Reader::App.day(on)),
        "dates on it": sending.names.iter().map(|day| Reader::App.day(*day)).collect::<Vec<_>>().join(", "),
        "place on it": sending.site,
        "time on it": words::iso_time(sending.burn_time),
    })
}

/// Records that a permit or notice was sent; the store gives the sending its number.
///
/// # Errors
/// The store's.
pub async fn add_sending(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    sending: &Sending,
    now: OffsetDateTime,
) -> Result<Result<i64, Refused>> {
    let Some(permit) = find(tx, event_id, id).await? else { return Ok(Err(Refused::Gone)) };
    let same = |known: &Sending| Sending { id: known.id, received_on: known.received_on, ..sending.clone() } == *known;
    if permit.sendings.iter().any(same) {
        return Ok(Err(Refused::Already));
    }
    if permit.sendings.len() >= MOST_SENDINGS {
        return Ok(Err(Refused::Full));
    }
    let burn_time = words::iso_time(sending.burn_time);
    let added = sqlx::query!(
        "insert into permit_sending (permit_id, sent_on, received_on, site, burn_time) values (?, ?, ?, ?, ?)",
        id,
        sending.sent_on,
        sending.received_on,
        sending.site,
        burn_time
    );
    let sending_id = added.execute(&mut **tx).await?.last_insert_rowid();
    for day in &sending.names {
        sqlx::query!("insert into permit_date (sending_id, named_on) values (?, ?)", sending_id, day)
            .execute(&mut **tx)
            .await?;
    }
    let after = Some(sent_snapshot(sending));
    record(tx, now, Entry { after, ..entry(actor, "sent", (event_id, id), &permit.details.title) });
    Ok(Ok(sending_id))
}

/// Records when the authority received what was sent; none takes it back.
///
/// # Errors
/// The store's.
pub async fn receive(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id, sending_id): (i64, i64, i64),
    on: Option<Date>,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let permit = find(tx, event_id, id).await?;
    let Some((permit, old)) = permit.and_then(|permit| {
        let sending = permit.sendings.iter().find(|sending| sending.id == sending_id).cloned();
        sending.map(|sending| (permit, sending))
    }) else {
        return Ok(Err(Refused::Gone));
    };
    if old.received_on == on {
        return Ok(Err(Refused::Already));
    }
    sqlx::query!("update permit_sending set received_on = ? where id = ?", on, sending_id).execute(&mut **tx).await?;
    let (before, after) = (Some(sent_snapshot(&old)), Some(sent_snapshot(&Sending { received_on: on, ..old })));
    let title = &permit.details.title;
    let verb = if on.is_some() { "confirmed receipt of" } else { "took back receipt of" };
    record(tx, now, Entry { before, after, ..entry(actor, verb, (event_id, id), title) });
    Ok(Ok(()))
}

/// Takes back that a record was sent.
///
/// # Errors
/// The store's.
pub async fn remove_sending(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id, sending_id): (i64, i64, i64),
    now: OffsetDateTime,
) -> Result<Result<Sending, Refused>> {
    let Some(permit) = find(tx, event_id, id).await? else { return Ok(Err(Refused::Gone)) };
    let Some(old) = permit.sendings.into_iter().find(|sending| sending.id == sending_id) else {
        return Ok(Err(Refused::Gone));
    };
    sqlx::query!("delete from permit_sending where id = ?", sending_id).execute(&mut **tx).await?;
    let before = Some(sent_snapshot(&old));
    let title = &permit.details.title;
    record(tx, now, Entry { before, ..entry(actor, "removed a sending of", (event_id, id), title) });
    Ok(Ok(old))
}

/// Records that the conditions were read back to the safety officer, unless they changed
/// in the meantime; none takes it back.
///
/// # Errors
/// The store's.
pub async fn read_back(
    tx: &mut Tx,
    account_id: i64,
    (event_id, id): (i64, i64),
    on: Option<Date>,
    version: i64,
    now: OffsetDateTime,
) -> Result<Result<(), Refused>> {
    let Some(old) = find(tx, event_id, id).await? else { return Ok(Err(Refused::Gone)) };
    if old.version != version {
        return Ok(Err(Refused::Stale));
    }
    if old.read_back.as_ref().map(|(on, _)| *on) == on {
        return Ok(Err(Refused::Already));
    }
    let by = on.map(|_| account_id);
    sqlx::query!("update permit set read_back_on = ?, read_back_by = ? where id = ?", on, by, id)
        .execute(&mut **tx)
        .await?;
    let journaled = |on: Option<Date>| Some(json!({"conditions read back": on.map(|on| Reader::App.day(on))}));
    let (before, after) = (journaled(old.read_back.map(|(on, _)| on)), journaled(on));
    let verb = if on.is_some() { "read back" } else { "took back the read-back of" };
    let entry = entry(Actor::Account(account_id), verb, (event_id, id), &old.details.title);
    record(tx, now, Entry { before, after, ..entry });
    Ok(Ok(()))
}

/// Moves the records that name one person to another record of the same person. Returns
/// their numbers, so that it can be undone.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Vec<i64>> {
    let moved = sqlx::query_scalar!(
        r#"update permit set person_id = ?, version = version + 1 where person_id = ? returning id as "id!""#,
        to,
        from
    );
    Ok(moved.fetch_all(&mut **tx).await?)
}

/// Undoes that for the records that still name the other.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, permits: &[i64], from: i64, to: i64) -> Result<()> {
    let permits = json!(permits).to_string();
    sqlx::query!(
        "update permit set person_id = ?, version = version + 1
         where person_id = ? and id in (select value from json_each(?))",
        to,
        from,
        permits
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}

/// Takes a person out of the records: as a contact at an authority with phone and email,
/// and wherever one of their names, addresses or numbers was typed.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64], words: &[String]) -> Result<()> {
    let filled: Vec<&String> = words.iter().filter(|word| !word.is_empty()).collect();
    let (people, words) = (json!(people).to_string(), json!(filled).to_string());
    sqlx::query!(
        "update permit set person_id = null, phone = '', mail = '', version = version + 1
         where person_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update permit set authority = iif(authority in (select value from json_each(?1)), '', authority),
                           phone = iif(phone in (select value from json_each(?1)), '', phone),
                           mail = iif(mail in (select value from json_each(?1)), '', mail),
                           learned_by = iif(learned_by in (select value from json_each(?1)), '', learned_by)
         where authority in (select value from json_each(?1)) or phone in (select value from json_each(?1))
            or mail in (select value from json_each(?1)) or learned_by in (select value from json_each(?1))",
        words
    )
    .execute(&mut **tx)
    .await?;
    Ok(())
}
