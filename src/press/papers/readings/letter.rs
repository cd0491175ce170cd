//! The email that asks someone to read a text.

use super::OPEN_FOR;
use crate::asks::{self, Sender};
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::Person;
use crate::press::papers::kind::PaperKind;
use crate::web::link::Opens;
use crate::web::words;
use time::OffsetDateTime;

/// With a link to the question with this number.
pub(super) fn letter(
    asked: i64,
    event: &Event,
    kind: PaperKind,
    (person, sender): (&Person, &Sender),
    now: OffsetDateTime,
) -> Result<Letter> {
    let lead = format!("Please read our {} before we send it to the media.", kind.label());
    let expires = now + OPEN_FOR;
    let until = words::Reader::Public.moment(event.details.zone.wall(expires));
    let after = format!(
        "Open the page to read the text. There you can approve it or tell us what to change. The link works until \
         {until}."
    );
    let event_facts = [("Event".to_owned(), event.details.name.clone())];
    let parts = Parts {
        hello: asks::greeted(person),
        lead: &lead,
        facts: &event_facts,
        press: Some(("Read the text", Opens::PaperReading.mark(asked, 1))),
        after: &after,
        from: &sender.name,
        phone: &sender.phone,
        department: &sender.department,
        ..Parts::default()
    };
    Ok(Letter {
        kind: Kind::Notice,
        event_id: Some(event.id),
        person_id: Some(person.id),
        request_id: None,
        facts_revision: Some(event.facts_revision),
        dedup: format!("paper-reading/{asked}"),
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: format!("Please read: {}", kind.label()),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: expires,
    })
}
