use super::condition::Checklist;
use super::handing::store::records;
use super::{Agreed, Details, Happened, Insured, Kind, Loan, Record, Span, Step, Trip};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::{Error, Result};
use crate::people;
use crate::web::form;
use crate::web::money::Cents;
use crate::web::words::{self, Reader};
use anyhow::anyhow;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};
use sqlx::SqliteConnection;
use std::collections::{BTreeMap, HashMap};
use std::str::FromStr;
use time::{Date, OffsetDateTime, Time};

struct Row {
    id: i64,
    event_id: i64,
    what: String,
    kind: String,
    serial: String,
    lender_id: i64,
    person: String,
    organization: Option<String>,
    is_school: i64,
    lender_contact_id: Option<i64>,
    lender_contact: Option<String>,
    our_contact_id: Option<i64>,
    our_contact: Option<String>,
    request_id: Option<i64>,
    same_as: Option<i64>,
    collect_place: String,
    collect_time: Option<String>,
    collect_by: String,
    return_place: String,
    return_time: Option<String>,
    return_by: String,
    transport: String,
    power: String,
    connector: String,
    operator: String,
    training: String,
    value_cents: Option<i64>,
    insured: String,
    certificate: String,
    task_id: Option<i64>,
    is_single: i64,
    backup_id: Option<i64>,
    backup: String,
    stands: String,
    distance_ft: Option<i64>,
    checks: String,
    accessories: String,
    notes: String,
    version: i64,
}

pub(super) fn known<T: FromStr>(text: &str, what: &str) -> Result<T> {
    text.parse().map_err(|_| Error::Internal(anyhow!("the store holds a loan with an unknown {what}")))
}

pub(super) fn hour(text: &str) -> Result<Time> {
    form::time_of_day(text).map_err(|_| Error::Internal(anyhow!("the store holds a loan with an unreadable time")))
}

fn typed(at: Option<Time>) -> Option<String> {
    at.map(words::iso_time)
}

impl Row {
    fn loan(self, agreed: BTreeMap<Date, Agreed>, steps: Vec<Happened>, records: Vec<Record>) -> Result<Loan> {
        let trip = |place: String, at: Option<String>, by: String| {
            Ok::<_, Error>(Trip { place, at: at.as_deref().map(hour).transpose()?, by })
        };
        let details = Details {
            what: self.what,
            kind: known::<Kind>(&self.kind, "type")?,
            serial: self.serial,
            lender_id: self.lender_id,
            is_school: self.is_school != 0,
            lender_contact: self.lender_contact.unwrap_or_default(),
            our_contact: self.our_contact.unwrap_or_default(),
            agreed,
            collect: trip(self.collect_place, self.collect_time, self.collect_by)?,
            bring: trip(self.return_place, self.return_time, self.return_by)?,
            transport: self.transport,
            power: self.power,
            connector: self.connector,
            operator: self.operator,
            training: self.training,
            value: self.value_cents.map(Cents::new),
            insured: known::<Insured>(&self.insured, "insurance")?,
            certificate: self.certificate,
            task_id: self.task_id,
            is_single: self.is_single != 0,
            backup_id: self.backup_id,
            backup: self.backup,
            same_as: self.same_as,
            stands: self.stands,
            distance_ft: self.distance_ft.map(u32::try_from).transpose()?,
            checklist: Checklist {
                checks: serde_json::from_str(&self.checks)?,
                accessories: serde_json::from_str(&self.accessories)?,
            },
            notes: self.notes,
        };
        let organization = self.organization.unwrap_or_default();
        let (id, event_id, person, version) = (self.id, self.event_id, self.person, self.version);
        let (lender_contact_id, our_contact_id, request_id) =
            (self.lender_contact_id, self.our_contact_id, self.request_id);
        Ok(Loan {
            id,
            event_id,
            details,
            person,
            organization,
            lender_contact_id,
            our_contact_id,
            request_id,
            steps,
            records,
            version,
        })
    }
}

/// Every loan of every event, oldest first: two events may need the same item.
///
/// # Errors
/// The store's.
pub(super) async fn all(db: &mut SqliteConnection) -> Result<Vec<Loan>> {
    let rows = sqlx::query_as!(
        Row,
        r#"select l.id as "id!", l.event_id, l.what, l.kind, l.serial, l.lender_id, p.name as person,
                  o.name as "organization?", l.is_school, l.lender_contact_id, t.name as "lender_contact?", l.our_contact_id,
                  k.name as "our_contact?", l.request_id, l.same_as, l.collect_place, l.collect_time, l.collect_by,
                  l.return_place, l.return_time, l.return_by, l.transport, l.power, l.connector, l.operator, l.training,
                  l.value_cents, l.insured, l.certificate, l.task_id, l.is_single, l.backup_id, l.backup, l.stands,
                  l.distance_ft, l.checks, l.accessories, l.notes, l.version
           from loan l join person p on p.id = l.lender_id left join organization o on o.id = p.organization_id
                left join person t on t.id = l.lender_contact_id left join person k on k.id = l.our_contact_id
           order by l.id"#
    );
    let rows = rows.fetch_all(&mut *db).await?;
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let (mut spans, mut steps) = (spans(db).await?, steps(db).await?);
    let mut records = records(db).await?;
    let loan = |row: Row| {
        let id = row.id;
        row.loan(
            spans.remove(&id).unwrap_or_default(),
            steps.remove(&id).unwrap_or_default(),
            records.remove(&id).unwrap_or_default(),
        )
    };
    rows.into_iter().map(loan).collect()
}

async fn spans(db: &mut SqliteConnection) -> Result<HashMap<i64, BTreeMap<Date, Agreed>>> {
    let rows = sqlx::query!(
        r#"select loan_id, for_on as "for_on: Date", from_on as "from_on: Date", until_on as "until_on: Date",
                  collect_on as "collect_on: Date", return_on as "return_on: Date"
           from loan_span"#
    );
    let mut all: HashMap<i64, BTreeMap<Date, Agreed>> = HashMap::new();
    for row in rows.fetch_all(db).await? {
        let agreed = match (row.from_on, row.until_on) {
            (Some(from_on), Some(until_on)) => {
                Agreed::Free(Span { from_on, until_on, collect_on: row.collect_on, return_on: row.return_on })
            }
            _ => Agreed::NotFree,
        };
        all.entry(row.loan_id).or_default().insert(row.for_on, agreed);
    }
    Ok(all)
}

async fn steps(db: &mut SqliteConnection) -> Result<HashMap<i64, Vec<Happened>>> {
    let rows = sqlx::query!(
        r#"select s.id as "id!", s.loan_id, s.step, s.for_on as "for_on: Date", s.happened_on as "happened_on: Date",
                  s.who, s.note, s.at, s.taken_back_at, p.name as "by!"
           from loan_step s join account a on a.id = s.by join person p on p.id = a.person_id order by s.id"#
    );
    let mut all: HashMap<i64, Vec<Happened>> = HashMap::new();
    for row in rows.fetch_all(db).await? {
        all.entry(row.loan_id).or_default().push(Happened {
            id: row.id,
            step: known(&row.step, "step")?,
            for_on: row.for_on,
            on: row.happened_on,
            who: row.who,
            note: row.note,
            at: OffsetDateTime::from_unix_timestamp(row.at)?,
            by: row.by,
            is_taken_back: row.taken_back_at.is_some(),
        });
    }
    Ok(all)
}

/// One loan of an event.
///
/// # Errors
/// The store's.
pub async fn find(db: &mut SqliteConnection, event_id: i64, id: i64) -> Result<Option<Loan>> {
    Ok(all(db).await?.into_iter().find(|loan| loan.id == id && loan.event_id == event_id))
}

/// The event a loan belongs to.
///
/// # Errors
/// The store's.
pub(super) async fn event_of(db: &mut SqliteConnection, id: i64) -> Result<Option<i64>> {
    Ok(sqlx::query_scalar!("select event_id from loan where id = ?", id).fetch_optional(db).await?)
}

/// Everything we picked up for an event, whether or not it has been returned.
///
/// # Errors
/// The store's.
pub async fn lent(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Loan>> {
    let mut lent = all(db).await?;
    lent.retain(|loan| loan.event_id == event_id && loan.has(Step::Collected));
    Ok(lent)
}

/// Do we have the item, so that it must go back?
///
/// # Errors
/// The store's.
pub async fn is_out(db: &mut SqliteConnection, id: i64) -> Result<bool> {
    Ok(all(db).await?.into_iter().any(|loan| loan.id == id && loan.is_out()))
}

/// The loan as the journal keeps it. Names of people in it are erased with their personal
/// data.
fn snapshot(details: &Details) -> Value {
    let day = |on: Option<Date>| on.map(|on| Reader::App.day(on));
    let trip = |trip: &Trip| {
        let at = trip.at.map(words::iso_time).unwrap_or_default();
        [trip.place.as_str(), &at].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
    };
    let agreed = details.agreed.iter().map(|(on, agreed)| match agreed {
        Agreed::NotFree => format!("{}: not available", Reader::App.day(*on)),
        Agreed::Free(span) => {
            let mut says = format!(
                "{}: {} to {}",
                Reader::App.day(*on),
                Reader::App.day(span.from_on),
                Reader::App.day(span.until_on)
            );
            for (label, on) in [("pickup", day(span.collect_on)), ("return", day(span.return_on))] {
                says += &on.map(|on| format!(", {label} {on}")).unwrap_or_default();
            }
            says
        }
    });
    json!({
        "what": details.what,
        "type": details.kind.as_str(),
        "serial number": details.serial,
        "school": if details.is_school { "yes" } else { "no" },
        "agreed": agreed.collect::<Vec<_>>().join("; "),
        "pickup": trip(&details.collect),
        "return": trip(&details.bring),
        "transport": details.transport,
        "power": details.power,
        "connector": details.connector,
        "operator": details.operator,
        "training": details.training,
        "value": details.value.map(|value| value.to_string()),
        "insured": details.insured.label(),
        "only one": if details.is_single { "yes" } else { "no" },
        "backup": details.backup,
        "place on burn day": details.stands,
        "feet from the rooms": details.distance_ft,
        "check": details.checklist.typed_checks().replace('\n', "; "),
        "count": details.checklist.typed_accessories().replace('\n', "; "),
    })
}

fn entry<'a>(actor: Actor, verb: &'static str, (event_id, id): (i64, i64), title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "loan",
        subject_id: Some(id),
        event_id: Some(event_id),
        title,
        before: None,
        after: None,
    }
}

/// A person by name. If the name didn't change, it stays the same person.
async fn somebody(
    tx: &mut Tx,
    name: &str,
    (old_name, old): (&str, Option<i64>),
    now: OffsetDateTime,
) -> Result<Option<i64>> {
    match name {
        "" => Ok(None),
        name if name == old_name && old.is_some() => Ok(old),
        name => Ok(Some(people::named(tx, name, now).await?)),
    }
}

/// Adds a loan.
///
/// # Errors
/// The store's.
pub async fn add(tx: &mut Tx, actor: Actor, event_id: i64, details: &Details, now: OffsetDateTime) -> Result<i64> {
    let (kind, insured) = (details.kind.as_str(), details.insured.as_str());
    let id = sqlx::query!(
        "insert into loan (event_id, what, kind, lender_id, insured) values (?, ?, ?, ?, ?)",
        event_id,
        details.what,
        kind,
        details.lender_id,
        insured
    )
    .execute(&mut **tx)
    .await?
    .last_insert_rowid();
    put(tx, id, details, None, now).await?;
    record(tx, now, Entry { after: Some(snapshot(details)), ..entry(actor, "added", (event_id, id), &details.what) });
    Ok(id)
}

/// Changes a loan. False if someone else did in the meantime, or it is gone.
///
/// # Errors
/// The store's.
pub(super) async fn save(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id): (i64, i64),
    new: &Details,
    version: i64,
    now: OffsetDateTime,
) -> Result<bool> {
    let old = find(tx, event_id, id).await?.filter(|old| old.version == version);
    let Some(old) = old else { return Ok(false) };
    put(tx, id, new, Some(&old), now).await?;
    let (before, after) = (Some(snapshot(&old.details)), Some(snapshot(new)));
    record(tx, now, Entry { before, after, ..entry(actor, "changed", (event_id, id), &new.what) });
    Ok(true)
}

async fn put(tx: &mut Tx, id: i64, new: &Details, old: Option<&Loan>, now: OffsetDateTime) -> Result<()> {
    let lender_contact = old.map_or(("", None), |old| (old.details.lender_contact.as_str(), old.lender_contact_id));
    let lender_contact_id = somebody(tx, &new.lender_contact, lender_contact, now).await?;
    let our_contact = old.map_or(("", None), |old| (old.details.our_contact.as_str(), old.our_contact_id));
    let our_contact_id = somebody(tx, &new.our_contact, our_contact, now).await?;
    let (kind, insured) = (new.kind.as_str(), new.insured.as_str());
    let (collect_time, return_time) = (typed(new.collect.at), typed(new.bring.at));
    let value = new.value.map(Cents::get);
    let checks = serde_json::to_string(&new.checklist.checks)?;
    let accessories = serde_json::to_string(&new.checklist.accessories)?;
    sqlx::query!(
        "update loan set what = ?, kind = ?, serial = ?, lender_id = ?, is_school = ?, lender_contact_id = ?, our_contact_id = ?,
                         same_as = ?, collect_place = ?, collect_time = ?, collect_by = ?, return_place = ?,
                         return_time = ?, return_by = ?, transport = ?, power = ?, connector = ?, operator = ?,
                         training = ?, value_cents = ?, insured = ?, certificate = ?, task_id = ?, is_single = ?,
                         backup_id = ?, backup = ?, stands = ?, distance_ft = ?, checks = ?, accessories = ?, notes = ?,
                         version = version + 1
         where id = ?",
        new.what,
        kind,
        new.serial,
        new.lender_id,
        new.is_school,
        lender_contact_id,
        our_contact_id,
        new.same_as,
        new.collect.place,
        collect_time,
        new.collect.by,
        new.bring.place,
        return_time,
        new.bring.by,
        new.transport,
        new.power,
        new.connector,
        new.operator,
        new.training,
        value,
        insured,
        new.certificate,
        new.task_id,
        new.is_single,
        new.backup_id,
        new.backup,
        new.stands,
        new.distance_ft,
        checks,
        accessories,
        new.notes,
        id
    )
    .execute(&mut **tx)
    .await?;
    put_spans(tx, id, new).await
}

/// Replaces the loan dates.
async fn put_spans(tx: &mut Tx, id: i64, new: &Details) -> Result<()> {
    sqlx::query!("delete from loan_span where loan_id = ?", id).execute(&mut **tx).await?;
    for (on, agreed) in &new.agreed {
        let (is_free, span) = match agreed {
            Agreed::NotFree => (false, None),
            Agreed::Free(span) => (true, Some(*span)),
        };
        let (from_on, until_on) = (span.map(|span| span.from_on), span.map(|span| span.until_on));
        let (collect_on, return_on) = (span.and_then(|span| span.collect_on), span.and_then(|span| span.return_on));
        sqlx::query!(
            "insert into loan_span (loan_id, for_on, is_free, from_on, until_on, collect_on, return_on)
             values (?, ?, ?, ?, ?, ?, ?)",
            id,
            on,
            is_free,
            from_on,
            until_on,
            collect_on,
            return_on
        )
        .execute(&mut **tx)
        .await?;
    }
    Ok(())
}

/// A step to record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Noted {
    pub step: Step,
    /// The dates it counts for; empty for a step that has none.
    pub for_on: Vec<Date>,
    pub on: Date,
    pub who: String,
    pub note: String,
}

/// Records a step of a loan and returns the number of the last row.
///
/// # Errors
/// The store's.
pub async fn note(tx: &mut Tx, by: i64, loan: &Loan, noted: &Noted, now: OffsetDateTime) -> Result<i64> {
    let (step, at) = (noted.step.as_str(), now.unix_timestamp());
    let dates: Vec<Option<Date>> =
        if noted.step.is_dated() { noted.for_on.iter().copied().map(Some).collect() } else { vec![None] };
    let mut id = 0;
    for for_on in &dates {
        id = sqlx::query!(
            "insert into loan_step (loan_id, step, for_on, happened_on, who, note, at, by) values (?, ?, ?, ?, ?, ?, ?, ?)",
            loan.id,
            step,
            for_on,
            noted.on,
            noted.who,
            noted.note,
            at,
            by
        )
        .execute(&mut **tx)
        .await?
        .last_insert_rowid();
    }
    let named: Vec<String> = dates.iter().flatten().map(|on| Reader::App.day(*on)).collect();
    let after = Some(json!({"status": noted.step.label(), "on": Reader::App.day(noted.on), "for": named.join(", ")}));
    let entry = entry(Actor::Account(by), "updated", (loan.event_id, loan.id), &loan.details.what);
    record(tx, now, Entry { after, ..entry });
    Ok(id)
}

/// Marks a step as undone. False if it already was.
///
/// # Errors
/// The store's.
pub(super) async fn take_back(
    tx: &mut Tx,
    actor: Actor,
    loan: &Loan,
    happened: &Happened,
    now: OffsetDateTime,
) -> Result<bool> {
    let at = now.unix_timestamp();
    let done = sqlx::query!(
        "update loan_step set taken_back_at = ? where id = ? and loan_id = ? and taken_back_at is null",
        at,
        happened.id,
        loan.id
    )
    .execute(&mut **tx)
    .await?;
    if done.rows_affected() == 0 {
        return Ok(false);
    }
    let before = Some(json!({"status": happened.step.label(), "on": Reader::App.day(happened.on)}));
    let entry = entry(actor, "undid an update of", (loan.event_id, loan.id), &loan.details.what);
    record(tx, now, Entry { before, ..entry });
    Ok(true)
}

/// Links a loan to the request it was asked for with.
///
/// # Errors
/// The store's.
pub(super) async fn asked(
    tx: &mut Tx,
    actor: Actor,
    (event_id, id, what): (i64, i64, &str),
    request_id: i64,
    now: OffsetDateTime,
) -> Result<()> {
    sqlx::query!("update loan set request_id = ? where id = ?", request_id, id).execute(&mut **tx).await?;
    record(tx, now, entry(actor, "requested", (event_id, id), what));
    Ok(())
}

/// A letter about a loan, as it went out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Written {
    pub about: String,
    pub way: String,
    pub text: String,
    pub at: OffsetDateTime,
    pub by: String,
    pub mail_id: Option<i64>,
}

/// The letters to the lender, newest first.
///
/// # Errors
/// The store's.
pub(super) async fn letters(db: &mut SqliteConnection, loan_id: i64) -> Result<Vec<Written>> {
    let rows = sqlx::query!(
        r#"select w.about, w.way, w.text, w.at, w.mail_id, p.name as "by!"
           from loan_letter w join account a on a.id = w.by join person p on p.id = a.person_id
           where w.loan_id = ? order by w.id desc"#,
        loan_id
    );
    let written = rows.fetch_all(db).await?.into_iter().map(|row| {
        let at = OffsetDateTime::from_unix_timestamp(row.at)?;
        Ok(Written { about: row.about, way: row.way, text: row.text, at, by: row.by, mail_id: row.mail_id })
    });
    written.collect()
}

/// Saves a letter to the lender.
///
/// # Errors
/// The store's.
pub(super) async fn add_letter(
    tx: &mut Tx,
    by: i64,
    loan: &Loan,
    (about, text, mail_id): (&str, &str, Option<i64>),
    now: OffsetDateTime,
) -> Result<()> {
    let (way, at) = (if mail_id.is_some() { "mail" } else { "on paper" }, now.unix_timestamp());
    sqlx::query!(
        "insert into loan_letter (loan_id, about, way, text, at, by, mail_id) values (?, ?, ?, ?, ?, ?, ?)",
        loan.id,
        about,
        way,
        text,
        at,
        by,
        mail_id
    )
    .execute(&mut **tx)
    .await?;
    let sent = if mail_id.is_some() { "by email" } else { "on paper" };
    let after = Some(json!({"about": about, "sent": sent}));
    let entry = entry(Actor::Account(by), "wrote to the lender about", (loan.event_id, loan.id), &loan.details.what);
    record(tx, now, Entry { after, ..entry });
    Ok(())
}

/// The numbers of the loans moved from one person's row to another.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
pub struct Handed {
    lender: Vec<i64>,
    #[serde(alias = "their")]
    lender_contact: Vec<i64>,
    #[serde(alias = "keeper")]
    our_contact: Vec<i64>,
}

/// Moves the loans of one person's row to another.
///
/// # Errors
/// The store's.
pub async fn hand_over(tx: &mut Tx, from: i64, to: i64) -> Result<Handed> {
    let lender =
        sqlx::query_scalar!(r#"update loan set lender_id = ? where lender_id = ? returning id as "id!""#, to, from);
    let lender = lender.fetch_all(&mut **tx).await?;
    let lender_contact = sqlx::query_scalar!(
        r#"update loan set lender_contact_id = ? where lender_contact_id = ? returning id as "id!""#,
        to,
        from
    );
    let lender_contact = lender_contact.fetch_all(&mut **tx).await?;
    let our_contact = sqlx::query_scalar!(
        r#"update loan set our_contact_id = ? where our_contact_id = ? returning id as "id!""#,
        to,
        from
    );
    let our_contact = our_contact.fetch_all(&mut **tx).await?;
    Ok(Handed { lender, lender_contact, our_contact })
}

/// Undoes it.
///
/// # Errors
/// The store's.
pub async fn hand_back(tx: &mut Tx, handed: &Handed, to: i64) -> Result<()> {
    for id in &handed.lender {
        sqlx::query!("update loan set lender_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    for id in &handed.lender_contact {
        sqlx::query!("update loan set lender_contact_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    for id in &handed.our_contact {
        sqlx::query!("update loan set our_contact_id = ? where id = ?", to, id).execute(&mut **tx).await?;
    }
    Ok(())
}

/// Removes a person's words and name from the loans. What was lent, and in what condition,
/// stays on file.
///
/// # Errors
/// The store's.
pub async fn forget(tx: &mut Tx, people: &[i64], names: &[String]) -> Result<()> {
    let filled: Vec<&String> = names.iter().filter(|name| !name.is_empty()).collect();
    let (people, names) = (json!(people).to_string(), json!(filled).to_string());
    sqlx::query!(
        "update loan_letter set text = '' where loan_id in (
             select id from loan where lender_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update loan set notes = '', collect_place = '', return_place = '', version = version + 1
         where lender_id in (select value from json_each(?))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update loan set collect_by = iif(collect_by in (select value from json_each(?1)), '', collect_by),
                         return_by = iif(return_by in (select value from json_each(?1)), '', return_by),
                         operator = iif(operator in (select value from json_each(?1)), '', operator)
         where collect_by in (select value from json_each(?1)) or return_by in (select value from json_each(?1))
            or operator in (select value from json_each(?1))",
        names
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!(
        "update loan_step set note = '' where loan_id in (
             select id from loan where lender_id in (select value from json_each(?)))",
        people
    )
    .execute(&mut **tx)
    .await?;
    sqlx::query!("update loan_step set who = '' where who in (select value from json_each(?))", names)
        .execute(&mut **tx)
        .await?;
    super::handing::store::forget(tx, &people, &names).await
}
