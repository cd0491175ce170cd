//! The follow-ups that are due on the front page.

use crate::accounts::{Private, User};
use crate::people::Person;
use crate::press::log::{Entry, open_follow_ups};
use crate::press::outlets::Contact;
use crate::press::reach::Reach;
use crate::press::snapshot::PressSnapshot;
use crate::press::timeline;
use crate::web::words::{self, Reader};
use time::Date;

/// A follow-up that is due, as a page shows it.
#[derive(Debug)]
pub(super) struct DueLine {
    /// The contact to log next.
    pub contact: String,
    pub person: String,
    pub outlet: String,
    pub phone: String,
    pub words: String,
    pub due: String,
    pub due_on: String,
    pub is_late: bool,
    pub who: String,
    pub against: String,
}

/// The follow-ups due today or before.
pub(super) fn due(known: &PressSnapshot, today: Date, user: &User, people: &[Person]) -> Vec<DueLine> {
    let line = |(entry, on): (&Entry, Date)| {
        let is_theirs =
            |contact: &&Contact| (contact.outlet_id, contact.person_id) == (entry.outlet_id, entry.person_id);
        let contact = known.contacts.iter().find(is_theirs);
        let outlet = known.outlet(entry.outlet_id);
        let person = people.iter().find(|person| person.id == entry.person_id);
        DueLine {
            contact: contact.map(|contact| contact.id.to_string()).unwrap_or_default(),
            person: entry.person.clone(),
            outlet: entry.outlet.clone(),
            words: user.shown(Private::Notes, &entry.words),
            phone: Reach::of(person, user).phone,
            due: Reader::App.near_day(on, today),
            due_on: words::iso(on),
            is_late: on < today,
            who: entry.follow_up_by.as_ref().map(|(_, name)| name.clone()).unwrap_or_default(),
            // If it is late, what matters is whether they are open today.
            against: outlet.map(|outlet| timeline::against(outlet, on.max(today), today)).unwrap_or_default(),
        }
    };
    open_follow_ups(&known.entries).into_iter().filter(|(_, on)| *on <= today).map(line).collect()
}
