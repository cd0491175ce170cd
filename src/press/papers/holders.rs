//! Who has which version of a release: it was emailed to them, or someone logged that
//! they got it.

mod store;

use crate::press::outlets::Contact;

pub(in crate::press) use store::cancel_outdated;
pub(super) use store::{attempts, note_correction, note_mailed, of_event, sent_to};

/// A contact and the newest version they have of a release.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Holder {
    pub person_id: i64,
    pub person: String,
    pub outlet_id: i64,
    pub outlet: String,
    pub paper_id: i64,
    pub version_id: i64,
}

impl Holder {
    /// Someone who has nothing yet.
    pub fn of(contact: &Contact) -> Self {
        Self {
            person_id: contact.person_id,
            person: contact.name.clone(),
            outlet_id: contact.outlet_id,
            outlet: contact.outlet.clone(),
            paper_id: 0,
            version_id: 0,
        }
    }
}
