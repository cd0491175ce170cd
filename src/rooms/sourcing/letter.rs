//! The email that asks for items.

use super::needs::{Need, needs};
use crate::asks::{Request, Sender, greeted};
use crate::error::Result;
use crate::events::{Event, LIVE_BURN};
use crate::mail::{self, Kind, Letter, Mailbox, Parts};
use crate::people::Person;
use crate::rooms::snapshot::RoomSnapshot;
use crate::web::link::Opens;
use crate::web::words::{self, Reader};
use time::OffsetDateTime;

pub(super) const NEEDED: &str =
    "Everything else in the rooms must match. We still need the items listed here. Can you give any of them?";

pub(super) const LAST: &str = "Whatever you give will burn or get wet, so you won't get it back.";

/// What is asked for, of whom, and in whose name.
#[derive(Clone)]
pub(super) struct Asked {
    /// The keys of the chosen needs.
    pub needs: Vec<String>,
    /// People with an email.
    pub people: Vec<Person>,
    pub sender: Sender,
    pub written: String,
}

impl Asked {
    /// The chosen needs that are still there.
    pub fn chosen<'a>(&self, snapshot: &'a RoomSnapshot) -> Vec<Need<'a>> {
        needs(snapshot).into_iter().filter(|need| self.needs.contains(&need.key())).collect()
    }
}

/// What is needed, for someone who knows nothing about the rooms.
pub(super) fn fact(need: &Need) -> (String, String) {
    let described = need.described();
    let described = if described.is_empty() { String::new() } else { format!(", {described}") };
    (words::capital(need.what()), format!("{} for {}{described}", need.quantity, need.room))
}

fn lead(event: &Event, sender: &Sender) -> String {
    format!(
        "{} will hold a live burn on {}. {LIVE_BURN} {NEEDED}",
        sender.department,
        Reader::Public.day(event.details.burn_on)
    )
}

/// One email to one person about everything we ask for.
pub(super) fn letter(
    snapshot: &RoomSnapshot,
    asked: &Asked,
    person: &Person,
    request: Option<&Request>,
    now: OffsetDateTime,
) -> Result<Letter> {
    let (event, sender) = (&snapshot.event, &asked.sender);
    let on = Reader::Public.day(event.details.burn_on);
    let needs = asked.chosen(snapshot);
    let facts: Vec<(String, String)> = needs.iter().map(fact).collect();
    let lead = lead(event, sender);
    let last = format!(
        "{LAST} Please use “Answer” to tell us what you can give and when we can pick it up, or that you can't."
    );
    let words: Vec<String> =
        [asked.written.as_str(), &last].into_iter().filter(|words| !words.is_empty()).map(str::to_owned).collect();
    let dear = person.details.dear_official();
    let parts = Parts {
        hello: greeted(person),
        dear: &dear,
        title: if dear.is_empty() { "" } else { &sender.title },
        lead: &lead,
        facts: &facts,
        words: &words,
        press: Some((
            "Answer",
            Opens::Question.mark(request.map_or(0, |asked| asked.id), request.map_or(1, |asked| asked.link_number)),
        )),
        from: &sender.name,
        phone: &sender.phone,
        department: &sender.department,
        ..Parts::default()
    };
    let keys: Vec<String> = needs.iter().map(|need| format!("{}x{}", need.key(), need.quantity)).collect();
    Ok(Letter {
        kind: Kind::Ask,
        event_id: Some(event.id),
        person_id: Some(person.id),
        request_id: request.map(|asked| asked.id),
        facts_revision: Some(event.facts_revision),
        dedup: format!("donation-request/{}/{}/{}/{}", event.id, person.id, keys.join("+"), words::iso(now.date())),
        to: Mailbox { name: person.details.name.clone(), address: person.details.mail.clone() },
        reply_to: Mailbox { name: sender.name.clone(), address: sender.mail.clone() },
        subject: format!("Can you give something for the live burn on {on}?"),
        body: mail::body(&parts)?,
        calendars: Vec::new(),
        in_reply_to: None,
        urgent: false,
        due_at: now,
        not_after: now + time::Duration::days(14),
    })
}
