//! A paper as one person gets it.

use super::marks::{Change, changes_say};
use super::{PaperKind, Version};
use crate::asks::{self, Sender};
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::Person;
use crate::web::link::Opens;
use time::{Duration, OffsetDateTime};

/// A release after the day is news for so long.
const STAYS_NEWS: Duration = Duration::days(14);

/// What a letter says of an approved version.
#[derive(Debug, Clone)]
pub struct Approved {
    pub id: i64,
    pub kind: PaperKind,
    pub number: i64,
    pub headline: String,
    pub text: String,
    pub embargo: String,
}

impl Approved {
    pub(super) fn of(version: &Version) -> Self {
        Self {
            id: version.id,
            kind: version.kind,
            number: version.number,
            headline: version.headline.clone(),
            text: version.text.clone(),
            embargo: version.embargo.clone(),
        }
    }
}

/// An announcement to this person alone, which they can unsubscribe from.
///
/// # Errors
/// When a template can't be filled.
pub fn paper_letter(
    version: &Approved,
    event: &Event,
    to: (&Person, &str),
    sender: &Sender,
    now: OffsetDateTime,
) -> Result<Letter> {
    letter(version, event, to, (sender, &Sending::default()), now)
}

/// What a paper is sent for.
#[derive(Debug, Clone, Default)]
pub(super) struct Sending {
    /// What was another in the version that they have; nothing if they have none.
    pub changes: Vec<Change>,
    /// So many mails with it were stopped before they left.
    pub attempts: i64,
}

impl Sending {
    /// Whoever has an older version must see first what was wrong in it.
    fn words(&self, version: &Approved) -> Vec<String> {
        if self.changes.is_empty() {
            return Vec::new();
        }
        let corrects = format!("This corrects the {} that we sent you: {}.", version.kind, changes_say(&self.changes));
        let hold = if version.embargo.is_empty() { version.kind.heading() } else { &version.embargo };
        vec![corrects, "The whole text as it is now:".to_owned(), hold.to_owned()]
    }
}

pub(super) fn letter(
    version: &Approved,
    event: &Event,
    (person, outlet): (&Person, &str),
    (sender, sending): (&Sender, &Sending),
    now: OffsetDateTime,
) -> Result<Letter> {
    let heading = version.kind.heading();
    let is_correction = !sending.changes.is_empty();
    let lead = match (is_correction, version.embargo.is_empty()) {
        (true, _) => "CORRECTION",
        (false, true) => heading,
        (false, false) => &version.embargo,
    };
    let mut words = sending.words(version);
    words.push(version.headline.clone());
    words.extend(version.text.split("\n\n").map(|part| part.trim().to_owned()).filter(|part| !part.is_empty()));
    words.push("###".to_owned());
    let foot = format!("You get this because we know you at {outlet}.");
    let unsubscribe = Opens::Announcements.mark(person.id, 1);
    let parts = Parts {
        hello: asks::greeted(person),
        lead,
        words: &words,
        from: &sender.name,
        phone: &sender.phone,
        department: &sender.department,
        foot: &foot,
        foot_link: Some(("No more announcements", unsubscribe)),
        ..Parts::default()
    };
    let burn = event.details.zone.instant(event.details.burn_on, event.details.burn_time);
    let is_after = version.kind == PaperKind::AfterTheDay;
    let again = if sending.attempts == 0 { String::new() } else { format!("/{}", sending.attempts) };
    let subject = format!("{heading}: {}", version.headline);
    Ok(Letter {
        kind: Kind::Announcement,
        event_id: Some(event.id),
        person_id: Some(person.id),
        request_id: None,
        // What names a date is not sent once the date is another.
        facts_revision: (!is_after).then_some(event.facts_revision),
        // One version goes to nobody twice; a mail that was stopped gave them nothing.
        dedup: format!("paper/{}/{}{again}", version.id, person.id),
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: if is_correction { format!("CORRECTION: {subject}") } else { subject },
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: if is_after {
            now + STAYS_NEWS
        } else {
            burn.unwrap_or(now + Duration::DAY).max(now + Duration::HOUR)
        },
    })
}
