//! What the journal says about a record.

use crate::db::journal::{Actor, Entry};
use crate::permit_records::{Details, PermitId, Sending, rule_says};
use crate::web::words::{self, Reader};
use serde_json::{Value, json};
use time::Date;

/// The record as the journal keeps it.
pub(super) fn snapshot(details: &Details) -> Value {
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
        "notice rule": rule_says(&details.rule),
        "asked by": learned.map(|learned| learned.by.clone()),
        "asked on": day(learned.and_then(|learned| learned.on)),
        "granted": day(details.granted_on),
        "expires": day(details.expires_on),
        "conditions": details.conditions,
        "notes": details.notes,
    })
}

/// A change to a record, without what it was and is.
pub(super) fn entry<'a>(actor: Actor, verb: &'static str, which: PermitId, title: &'a str) -> Entry<'a> {
    Entry {
        actor,
        verb,
        subject: "permit",
        subject_id: Some(which.id),
        event_id: Some(which.event_id),
        title,
        before: None,
        after: None,
    }
}

/// One sending as the journal keeps it.
pub(super) fn sent_snapshot(sending: &Sending) -> Value {
    json!({
        "sent": Reader::App.day(sending.sent_on),
        "received": sending.received_on.map(|on| Reader::App.day(on)),
        "dates on it": sending.names.iter().map(|day| Reader::App.day(*day)).collect::<Vec<_>>().join(", "),
        "place on it": sending.site,
        "time on it": words::iso_time(sending.burn_time),
    })
}
