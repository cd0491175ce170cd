//! A release or advisory as one person gets it by email.

use super::changes::{Change, changes_say};
use super::kind::PaperKind;
use super::layout::{Layout, Printed};
use super::version::Version;
use crate::asks::{self, Sender};
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::Person;
use crate::web::link::Opens;
use time::{Duration, OffsetDateTime};

/// A results release is news for this long.
const STAYS_NEWS: Duration = Duration::days(14);

/// What a letter needs of an approved version.
#[derive(Debug, Clone)]
pub struct Approved {
    pub id: i64,
    pub kind: PaperKind,
    pub number: i64,
    pub headline: String,
    pub text: String,
    pub embargo: String,
    pub approved_at: OffsetDateTime,
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
            approved_at: version.approved_at,
        }
    }

    /// "media advisory v1"
    pub(super) fn called(&self) -> String {
        format!("{} v{}", self.kind.label(), self.number)
    }
}

/// An announcement to one person, who can unsubscribe.
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

/// Why it is sent.
#[derive(Debug, Clone, Default)]
pub(super) struct Sending {
    /// What has changed since the version they have; nothing if they have none.
    pub changes: Vec<Change>,
    /// How many emails with it were stopped before they left.
    pub attempts: i64,
}

impl Sending {
    /// People with an older version first see what has changed.
    fn words(&self, version: &Approved, hold: &str) -> Vec<String> {
        if self.changes.is_empty() {
            return Vec::new();
        }
        let name = version.kind.label();
        let corrects = format!("This corrects the {name} we sent you: {}.", changes_say(&self.changes));
        vec![corrects, "Here is the full text as it is now.".to_owned(), hold.to_owned()]
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
    let approved_on = event.details.zone.wall(version.approved_at).date();
    let printed = Printed { headline: &version.headline, text: &version.text, embargo: &version.embargo };
    let layout = Layout::of(version.kind, printed, approved_on);
    let lead = if is_correction { "CORRECTION" } else { &layout.hold };
    let mut words = sending.words(version, &layout.hold);
    words.push(format!("{heading}, {}", layout.dated));
    words.extend(Some(layout.contact).filter(|contact| !contact.is_empty()));
    words.push(layout.headline);
    words.extend(layout.paragraphs);
    words.push("###".to_owned());
    let foot = format!("You get this because you are one of our contacts at {outlet}.");
    let unsubscribe = Opens::Announcements.mark(person.id, 1);
    let parts = Parts {
        hello: asks::greeted(person),
        lead,
        words: &words,
        from: &sender.name,
        phone: &sender.phone,
        department: &sender.department,
        foot: &foot,
        foot_link: Some(("Unsubscribe", unsubscribe)),
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
        // A text with a date is not sent once the date has changed.
        facts_revision: (!is_after).then_some(event.facts_revision),
        // Nobody gets a version twice. An email that was stopped doesn't count.
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
