//! Emailing call sheets, each of them once.

use super::store::{self, SentSheet, note_sheet};
use super::{Sheet, of_all};
use crate::asks::{self, Sender};
use crate::crew::snapshot::CrewSnapshot;
use crate::db::Tx;
use crate::error::Result;
use crate::events::Event;
use crate::mail::{self, Letter, MailState, Mailbox, Parts};
use crate::people::Person;
use crate::web::link::{LinkKey, Opens};
use crate::web::words;
use time::{Duration, OffsetDateTime};

impl SentSheet {
    /// Has it gone out, may it have, or will it?
    pub(super) fn goes_out(&self) -> bool {
        matches!(self.state, MailState::Waiting | MailState::Sending | MailState::Sent | MailState::Uncertain)
    }

    pub(super) fn is(&self, sheet: &Sheet) -> bool {
        self.made_from.as_deref() == Some(sheet.made_from.as_str())
    }
}

/// The newest of the emails to someone that counts.
pub(super) fn newest(sent: &[SentSheet]) -> Option<&SentSheet> {
    sent.iter().rev().find(|one| one.goes_out())
}

/// Emails their current call sheet to everyone who said yes, or to one of them. Those who
/// have it already don't get it again. Returns how many get one.
pub(super) async fn mail_all(
    tx: &mut Tx,
    event: &Event,
    person: Option<i64>,
    (sender, key): (&Sender, &LinkKey),
    now: OffsetDateTime,
) -> Result<usize> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    let reached = |sheet: Sheet| {
        let person = snapshot.people.get(&sheet.person_id).filter(|person| person.has_mail())?;
        snapshot.has_said_yes(person.id, event.details.burn_on).then_some((sheet, person))
    };
    let sheets: Vec<(Sheet, &Person)> = of_all(&snapshot, person, now).into_iter().filter_map(reached).collect();
    cancel_outdated(tx, event, &sheets, now).await?;
    let sent = store::sent(tx, event.id).await?;
    let mut written = 0;
    for (sheet, person) in sheets {
        let theirs = sent.get(&person.id).map(Vec::as_slice).unwrap_or_default();
        if newest(theirs).is_some_and(|last| last.is(&sheet)) {
            continue;
        }
        let link = crate::crew::store::add_link(tx, (event.id, person.id), key).await?;
        // A sheet that changes back goes out again, after the one in between.
        let after = theirs.last().map_or(0, |last| last.mail_id);
        let dedup = format!("call-sheet/{}/{}/{}/{after}", event.id, person.id, sheet.made_from);
        let letter = letter(event, (&sheet, person), sender, link, dedup, now)?;
        if mail::queue(tx, &letter, now).await?.is_some() {
            note_sheet(tx, &letter.dedup, &sheet.made_from).await?;
            written += 1;
        }
    }
    Ok(written)
}

/// Cancels the waiting emails of those whose newest one isn't today's sheet. What they got
/// before may be today's again.
async fn cancel_outdated(tx: &mut Tx, event: &Event, sheets: &[(Sheet, &Person)], now: OffsetDateTime) -> Result<()> {
    let sent = store::sent(tx, event.id).await?;
    for (sheet, person) in sheets {
        let theirs = sent.get(&person.id).map(Vec::as_slice).unwrap_or_default();
        if newest(theirs).is_some_and(|last| !last.is(sheet)) {
            let start = format!("call-sheet/{}/{}/", event.id, person.id);
            mail::cancel_by_key(tx, &start, "A newer call sheet replaces this one.", now).await?;
        }
    }
    Ok(())
}

fn letter(
    event: &Event,
    (sheet, person): (&Sheet, &Person),
    sender: &Sender,
    link: i64,
    dedup: String,
    now: OffsetDateTime,
) -> Result<Letter> {
    let (facts, lead) = (sheet.facts(), format!("Here is your call sheet for {}.", sheet.day));
    let phone = words::phone(&sender.phone);
    let parts = Parts {
        hello: asks::greeted(person),
        dear: &person.details.dear_official(),
        lead: &lead,
        facts: &facts,
        press: Some(("See your current call sheet or change your answer", Opens::CallSheet.mark(link, 1))),
        from: &sender.name,
        phone: &phone,
        department: &sender.department,
        ..Parts::default()
    };
    let until = event.details.zone.instant(event.details.burn_on, event.details.burn_time);
    Ok(Letter {
        kind: mail::Kind::Notice,
        event_id: Some(event.id),
        person_id: Some(person.id),
        request_id: None,
        facts_revision: Some(event.facts_revision),
        dedup,
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: format!("Your call sheet for {}", sheet.day),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: until.unwrap_or(now + Duration::DAY).max(now + Duration::HOUR),
    })
}
