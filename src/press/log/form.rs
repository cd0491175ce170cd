//! The form that logs a contact.

use super::{Channel, Entry, NewEntry, Outcome};
use crate::events::Event;
use crate::press::outlets::Contact;
use crate::web::fold::Fold;
use crate::web::form::{self, Mistakes};
use crate::web::words;
use serde::Deserialize;
use time::OffsetDateTime;

/// What someone types about one contact with an outlet.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub(in crate::press) struct LogForm {
    /// The number of a contact.
    pub contact: String,
    pub channel: String,
    pub outcome: String,
    pub words: String,
    pub follow_up_on: String,
    /// The number of a person.
    pub follow_up_by: String,
    pub promised: String,
    pub on: String,
    pub at: String,
    /// The number of a version that was sent.
    pub version: String,
}

impl LogForm {
    pub fn of(entry: &Entry, contacts: &[Contact], event: &Event) -> Self {
        let wall = event.details.zone.wall(entry.at);
        let is_contact =
            |contact: &&Contact| (contact.outlet_id, contact.person_id) == (entry.outlet_id, entry.person_id);
        let number = |id: Option<i64>| id.map(|id| id.to_string()).unwrap_or_default();
        Self {
            contact: number(contacts.iter().find(is_contact).map(|contact| contact.id)),
            channel: entry.channel.to_string(),
            outcome: entry.outcome.to_string(),
            words: entry.words.clone(),
            follow_up_on: entry.follow_up_on.map(words::iso).unwrap_or_default(),
            follow_up_by: number(entry.follow_up_by.as_ref().map(|(id, _)| *id)),
            promised: entry.promised.clone(),
            on: words::iso(wall.date()),
            at: words::iso_time(wall.time()),
            version: number(entry.version_id),
        }
    }

    /// The part with what is rarely needed.
    pub fn more(&self, mistakes: &Mistakes) -> Fold {
        let fields = [
            ("promised", &self.promised),
            ("follow_up_by", &self.follow_up_by),
            ("version", &self.version),
            ("on", &self.on),
            ("at", &self.at),
        ];
        // Someone who corrects an entry should see its date.
        let is_again = !self.on.trim().is_empty();
        Fold::of(fields.map(|(name, text)| (name, !text.trim().is_empty())), mistakes, is_again)
    }

    /// The entry it stands for. `owner` gives who is responsible for an outlet, `known`
    /// which versions there are.
    pub fn read(
        &self,
        event: &Event,
        contacts: &[Contact],
        known: &[i64],
        owner: impl Fn(i64) -> Option<i64>,
        now: OffsetDateTime,
    ) -> Result<(NewEntry, Contact), Mistakes> {
        let mut mistakes = Mistakes::default();
        let contact = contacts.iter().find(|contact| contact.id.to_string() == self.contact);
        let contact = mistakes.note("contact", contact.ok_or("Choose who you contacted.".to_owned()));
        let channel = mistakes.note("channel", self.channel.parse::<Channel>());
        let outcome = mistakes.note("outcome", self.outcome.parse::<Outcome>());
        let words = mistakes.note("words", form::paragraph(&self.words, 1_000));
        if words.as_deref() == Some("") {
            mistakes.add("words", "Say in a few words what was said or sent.");
        }
        let promised = mistakes.note("promised", form::optional_line(&self.promised, 200));
        let follow_up_on = optional(&self.follow_up_on, form::day);
        let follow_up_on = mistakes.note("follow_up_on", follow_up_on);
        let at = mistakes.note("at", self.moment(event, now));
        let version = if self.version.is_empty() { Ok(None) } else { Ok(self.version.parse::<i64>().ok()) };
        let version = version.and_then(|version: Option<i64>| match version {
            Some(id) if !known.contains(&id) => Err("Choose one of the releases in the list.".to_owned()),
            version => Ok(version),
        });
        let version_id = mistakes.note("version", version);
        if let (Some(Some(on)), Some(at)) = (follow_up_on, at)
            && on < event.details.zone.wall(at).date()
        {
            mistakes.add("follow_up_on", "This is before the contact itself. Choose a later date.");
        }
        match (contact, channel, outcome, words, promised, follow_up_on, at, version_id, mistakes.is_empty()) {
            (
                Some(contact),
                Some(channel),
                Some(outcome),
                Some(words),
                Some(promised),
                Some(follow_up_on),
                Some(at),
                Some(version_id),
                true,
            ) => {
                let by = self.follow_up_by.parse().ok().or_else(|| owner(contact.outlet_id));
                let entry = NewEntry {
                    event_id: event.id,
                    outlet_id: contact.outlet_id,
                    person_id: contact.person_id,
                    channel,
                    outcome,
                    words,
                    promised,
                    follow_up_on,
                    follow_up_by: by.filter(|_| follow_up_on.is_some()),
                    version_id,
                    mail_id: None,
                    at,
                    corrects: None,
                };
                Ok((entry, contact.clone()))
            }
            _ => Err(mistakes),
        }
    }

    /// When it was; now, if nothing was typed.
    fn moment(&self, event: &Event, now: OffsetDateTime) -> Result<OffsetDateTime, String> {
        if self.on.trim().is_empty() && self.at.trim().is_empty() {
            return Ok(now);
        }
        let wall = event.details.zone.wall(now);
        let on = if self.on.trim().is_empty() { wall.date() } else { form::day(&self.on)? };
        let at = if self.at.trim().is_empty() { wall.time() } else { form::time_of_day(&self.at)? };
        let at = event
            .details
            .zone
            .instant(on, at)
            .ok_or("This time does not exist on that day. Check the time.".to_owned())?;
        if at > now { Err("This is in the future. Give the time when it happened.".to_owned()) } else { Ok(at) }
    }
}

fn optional<T>(text: &str, read: impl Fn(&str) -> Result<T, String>) -> Result<Option<T>, String> {
    if text.trim().is_empty() { Ok(None) } else { read(text).map(Some) }
}
