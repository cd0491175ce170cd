//! Who has which version of a paper: it was mailed to them, or somebody wrote
//! down that they were given it.

mod store;

pub(in crate::press) use store::cancel_outdated;
pub(super) use store::{attempts, note_correction, note_mailed, of_event, sent_to};

/// Somebody at an outlet with the newest version that they got of a paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Holder {
    pub person_id: i64,
    pub person: String,
    pub outlet_id: i64,
    pub outlet: String,
    pub paper_id: i64,
    pub version_id: i64,
}
