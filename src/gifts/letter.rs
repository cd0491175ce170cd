//! The receipt as an email.

use super::{Gift, Receipt};
use crate::asks::{Sender, greeted};
use crate::error::Result;
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::Person;
use crate::web::words;
use time::{Duration, OffsetDateTime};

/// How long we try to send a receipt. After that someone has to look into it.
const TRIED_FOR: Duration = Duration::days(14);

/// The receipt as an email. It goes out at most once a day for each gift, plus once for
/// each time it failed.
///
/// # Errors
/// When a template can't be filled.
pub fn letter(
    gift: &Gift,
    receipt: &Receipt,
    (person, sender): (&Person, &Sender),
    failed: usize,
    now: OffsetDateTime,
) -> Result<Letter> {
    let facts: Vec<(String, String)> =
        receipt.facts.iter().map(|(label, text)| ((*label).to_owned(), text.clone())).collect();
    let parts = Parts {
        hello: greeted(person),
        dear: &person.details.salutation(),
        lead: &receipt.lead,
        facts: &facts,
        words: &receipt.words,
        from: &sender.name,
        title: &sender.title,
        phone: &sender.phone,
        department: &sender.department,
        ..Parts::default()
    };
    Ok(Letter {
        kind: Kind::Notice,
        event_id: Some(gift.event_id),
        person_id: Some(person.id),
        request_id: None,
        facts_revision: None,
        dedup: format!("receipt/{}/{}/{}/{failed}", gift.id, gift.version, words::iso(now.date())),
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: format!("Receipt for your gift to {}", sender.department),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: now + TRIED_FOR,
    })
}
