//! What the journal keeps about people.

use crate::db::journal::{Actor, Entry};
use crate::people::names::split;
use crate::people::person::{Channel, Details};
use serde_json::{Value, json};

pub(super) fn entry<'a>(actor: Actor, verb: &'static str, id: i64, title: &'a str) -> Entry<'a> {
    Entry { actor, verb, subject: "person", subject_id: Some(id), event_id: None, title, before: None, after: None }
}

pub(super) fn snapshot(details: &Details) -> Value {
    json!({
        "name": details.name,
        "surname": details.surname,
        "form of address": details.address_form,
        "said": details.said,
        "organization": details.organization,
        "office": details.office,
        "jurisdiction": details.jurisdiction,
        "mail": details.mail,
        "phone": details.phone,
        "reached by": details.channel.as_str(),
        "notes": details.notes,
        "access needs": details.access_needs,
        "announcements": if details.no_mail { "none" } else { "yes" },
    })
}

/// A snapshot, read back. Older ones have no surname, and spell the organization with an s.
pub(super) fn read_snapshot(told: &Value) -> Details {
    let text = |field: &str| told[field].as_str().unwrap_or_default().to_owned();
    let name = text("name");
    Details {
        surname: told["surname"].as_str().unwrap_or(split(&name).1).to_owned(),
        name,
        address_form: text("form of address"),
        said: text("said"),
        organization: told["organization"].as_str().or(told["organisation"].as_str()).unwrap_or_default().to_owned(),
        office: text("office"),
        jurisdiction: text("jurisdiction"),
        mail: text("mail"),
        phone: text("phone"),
        channel: text("reached by").parse().unwrap_or(Channel::Mail),
        notes: text("notes"),
        access_needs: text("access needs"),
        no_mail: told["announcements"] == "none",
    }
}
