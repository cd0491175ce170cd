//! Who has which version, from the contact log and what became of the emails.

use super::Holder;
use crate::db::Tx;
use crate::error::Result;
use crate::mail;
use crate::press::facts::{FIELDS, Facts};
use crate::press::log::{self, Channel, NewEntry, Outcome};
use sqlx::SqliteConnection;
use std::collections::BTreeMap;
use time::OffsetDateTime;

/// Who has a release of an event, each with their newest version of it. An email that
/// never went out doesn't count.
pub(in crate::press::papers) async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Vec<Holder>> {
    let rows = sqlx::query_as!(
        Holder,
        r#"select e.person_id, p.name as person, e.outlet_id, o.name as outlet, v.paper_id,
                  v.id as "version_id!: i64"
           from outreach e join paper_version v on v.id = e.version_id join outlet o on o.id = e.outlet_id
                join person p on p.id = e.person_id left join mail m on m.id = e.mail_id
           where e.event_id = ? and p.forgotten_at is null and p.merged_into is null
             and not exists (select 1 from outreach n where n.corrects = e.id)
             and (m.id is null or m.state in ('waiting', 'sending', 'sent', 'uncertain'))
           order by e.at desc, e.id desc"#,
        event_id
    );
    let mut newest: Vec<Holder> = Vec::new();
    for row in rows.fetch_all(db).await? {
        if !newest.iter().any(|known| (known.paper_id, known.person_id) == (row.paper_id, row.person_id)) {
            newest.push(row);
        }
    }
    newest.sort_by(|a, b| (&a.outlet, &a.person, a.person_id).cmp(&(&b.outlet, &b.person, b.person_id)));
    Ok(newest)
}

/// Who has a version: by email, or as someone logged.
pub(in crate::press::papers) async fn sent_to(db: &mut SqliteConnection, version_id: i64) -> Result<Vec<i64>> {
    let rows = sqlx::query_scalar!(
        r#"select distinct e.person_id from outreach e left join mail m on m.id = e.mail_id
           where e.version_id = ? and not exists (select 1 from outreach n where n.corrects = e.id)
             and (m.id is null or m.state in ('waiting', 'sending', 'sent', 'uncertain'))"#,
        version_id
    );
    Ok(rows.fetch_all(db).await?)
}

/// How many emails with a version to this person were stopped before they went out.
pub(in crate::press::papers) async fn attempts(tx: &mut Tx, version_id: i64, person_id: i64) -> Result<i64> {
    let count = sqlx::query_scalar!(
        r#"select count(*) as "n!: i64" from outreach e join mail m on m.id = e.mail_id
           where e.version_id = ? and e.person_id = ? and m.state in ('failed', 'cancelled', 'expired')"#,
        version_id,
        person_id
    );
    Ok(count.fetch_one(&mut **tx).await?)
}

/// Logs that a version was emailed to a contact.
pub(in crate::press::papers) async fn note_mailed(
    tx: &mut Tx,
    by: i64,
    event_id: i64,
    holder: &Holder,
    (words, mail_id): (String, i64),
    now: OffsetDateTime,
) -> Result<()> {
    let mailed = NewEntry { mail_id: Some(mail_id), ..entry(event_id, holder, words, now) };
    note(tx, by, holder, &mailed, now).await
}

/// Logs that someone was told by phone what has changed.
pub(in crate::press::papers) async fn note_correction(
    tx: &mut Tx,
    by: i64,
    event_id: i64,
    holder: &Holder,
    words: String,
    now: OffsetDateTime,
) -> Result<()> {
    let called =
        NewEntry { channel: Channel::Phone, outcome: Outcome::Answered, ..entry(event_id, holder, words, now) };
    note(tx, by, holder, &called, now).await
}

/// An email to a contact, in the log.
fn entry(event_id: i64, holder: &Holder, words: String, now: OffsetDateTime) -> NewEntry {
    NewEntry {
        event_id,
        outlet_id: holder.outlet_id,
        person_id: holder.person_id,
        channel: Channel::Mail,
        outcome: Outcome::NoAnswer,
        words,
        promised: String::new(),
        follow_up_on: None,
        follow_up_by: None,
        version_id: Some(holder.version_id),
        mail_id: None,
        at: now,
        corrects: None,
    }
}

async fn note(tx: &mut Tx, by: i64, holder: &Holder, new: &NewEntry, now: OffsetDateTime) -> Result<()> {
    log::add(tx, Some(by), new, &format!("{}, {}", holder.person, holder.outlet), now).await?;
    Ok(())
}

const OUTDATED: &str = "A fact in it changed before it could go out.";

/// Cancels waiting emails with a version whose press facts have changed.
pub(in crate::press) async fn cancel_outdated(
    tx: &mut Tx,
    event_id: i64,
    new: &Facts,
    now: OffsetDateTime,
) -> Result<u64> {
    let rows = sqlx::query!(
        r#"select distinct m.id as "id!", v.facts as "facts!" from outreach e join paper_version v on v.id = e.version_id
                join mail m on m.id = e.mail_id
           where e.event_id = ? and m.state = 'waiting' and v.facts is not null"#,
        event_id
    );
    let mut stale = Vec::new();
    for row in rows.fetch_all(&mut **tx).await? {
        let was: BTreeMap<String, String> = serde_json::from_str(&row.facts)?;
        let differs = |mark: &str, is: &str| was.get(mark).is_some_and(|was| was != is);
        let has_changed = FIELDS.iter().any(|field| differs(field.mark, field.printed(new)));
        if has_changed || differs("messages", &new.printed_messages()) {
            stale.push(row.id);
        }
    }
    mail::cancel_these(tx, &stale, OUTDATED, now).await
}
