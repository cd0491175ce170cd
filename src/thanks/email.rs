//! The letter as an email.

use super::Day;
use super::letters::{Written, signature};
use super::reader::Reader;
use crate::asks::Sender;
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use time::{Duration, OffsetDateTime};

/// How long we try to send an email. After that someone has to look into it.
const TRIED_FOR: Duration = Duration::days(14);

/// The letter as an email. `number` is how often this reader was thanked before.
///
/// # Errors
/// When a template can't be filled.
pub(super) fn email(
    event: &Event,
    written: &Written,
    reader: &Reader,
    (day, sender): (&Day, &Sender),
    number: usize,
    now: OffsetDateTime,
) -> Result<Letter> {
    let words: Vec<String> = Some(written.result.clone()).into_iter().filter(|words| !words.is_empty()).collect();
    let from = signature(day, sender);
    let parts = Parts {
        hello: &reader.hello,
        dear: if reader.is_official { &reader.dear } else { "" },
        lead: &written.lead,
        facts: &written.facts,
        words: &words,
        from: &from,
        phone: &sender.phone,
        department: &sender.department,
        ..Parts::default()
    };
    Ok(Letter {
        kind: Kind::Notice,
        event_id: Some(event.id),
        person_id: Some(reader.whom.person_id),
        request_id: None,
        // What has happened stays true, even if the date changes.
        facts_revision: None,
        dedup: format!("thanks/{}/{}/{number}", event.id, reader.whom.key()),
        to: Mailbox { name: reader.name.clone(), address: reader.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: format!("Thank you from {}", sender.department),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: now + TRIED_FOR,
    })
}
