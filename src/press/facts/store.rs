//! The press facts of each event.

use super::{FIELDS, Facts};
use crate::db::Tx;
use crate::db::journal::{Actor, Entry, record};
use crate::error::Result;
use crate::press::papers;
use crate::talk;
use serde_json::{Map, Value};
use sqlx::SqliteConnection;
use time::OffsetDateTime;

/// The facts of an event; empty at first.
pub(in crate::press) async fn of_event(db: &mut SqliteConnection, event_id: i64) -> Result<Facts> {
    let row = sqlx::query!(
        "select contact, phone, mail, why, area, arrival, interviews, visuals, decision, clothing, power, messages,
                version
         from press_facts where event_id = ?",
        event_id
    );
    let Some(row) = row.fetch_optional(&mut *db).await? else {
        return Ok(Facts { taught: talk::press_messages(db, event_id).await?, ..Facts::default() });
    };
    Ok(Facts {
        in_people: in_people(db, &row.contact).await?,
        contact: row.contact,
        phone: row.phone,
        mail: row.mail,
        why: row.why,
        area: row.area,
        arrival: row.arrival,
        interviews: row.interviews,
        visuals: row.visuals,
        decision: row.decision,
        clothing: row.clothing,
        power: row.power,
        messages: serde_json::from_str(&row.messages)?,
        taught: talk::press_messages(db, event_id).await?,
        version: row.version,
    })
}

/// The name of the contact, as in "Jun Castellane, information officer".
fn name_of(contact: &str) -> &str {
    contact.split(',').next().unwrap_or_default().trim()
}

/// The email in People of the one person with the contact's name; empty if they have none
/// that works. None if no one has the name, or several people do.
pub(super) async fn in_people(db: &mut SqliteConnection, contact: &str) -> Result<Option<String>> {
    let name = name_of(contact);
    let mails = sqlx::query_scalar!(
        r#"select case when refused_at is null then mail else '' end as "mail!: String" from person
           where name = ? collate nocase and forgotten_at is null and merged_into is null limit 2"#,
        name
    );
    let mut mails = mails.fetch_all(db).await?;
    Ok(mails.pop().filter(|_| mails.is_empty()))
}

fn snapshot(facts: &Facts) -> Value {
    let mut journaled: Map<String, Value> =
        FIELDS.iter().map(|field| (field.label.to_lowercase(), Value::from((field.of)(facts).as_str()))).collect();
    journaled.insert("messages".to_owned(), Value::from(facts.messages.join(" / ")));
    Value::Object(journaled)
}

/// Saves the facts and cancels waiting emails that say otherwise. False if someone else
/// has changed them.
pub async fn save(tx: &mut Tx, actor: Actor, event_id: i64, new: &Facts, now: OffsetDateTime) -> Result<bool> {
    let old = of_event(tx, event_id).await?;
    if old.version != new.version {
        return Ok(false);
    }
    let messages = serde_json::to_string(&new.messages)?;
    sqlx::query!(
        "insert into press_facts (event_id, contact, phone, mail, why, area, arrival, interviews, visuals, decision,
                                  clothing, power, messages)
         values (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
         on conflict (event_id) do update
         set contact = excluded.contact, phone = excluded.phone, mail = excluded.mail, why = excluded.why,
             area = excluded.area, arrival = excluded.arrival, interviews = excluded.interviews,
             visuals = excluded.visuals, decision = excluded.decision, clothing = excluded.clothing,
             power = excluded.power, messages = excluded.messages, version = version + 1",
        event_id,
        new.contact,
        new.phone,
        new.mail,
        new.why,
        new.area,
        new.arrival,
        new.interviews,
        new.visuals,
        new.decision,
        new.clothing,
        new.power,
        messages
    )
    .execute(&mut **tx)
    .await?;
    let printed = of_event(tx, event_id).await?;
    papers::cancel_outdated(tx, event_id, &printed, now).await?;
    let entry = Entry {
        actor,
        verb: "changed",
        subject: "press facts",
        subject_id: Some(event_id),
        event_id: Some(event_id),
        title: "Press facts",
        before: Some(snapshot(&old)),
        after: Some(snapshot(new)),
    };
    record(tx, now, entry);
    Ok(true)
}
