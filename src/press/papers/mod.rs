//! Media advisories and news releases. Their texts refer to the event's facts by
//! marks. Someone else approves one, which freezes it with its facts. It is emailed
//! to each contact separately, and corrected when a fact changes.

mod approvers;
mod approving;
mod before_sending;
mod changes;
mod check;
mod corrections;
mod countdown_items;
mod dateline;
mod editing;
mod embargo;
mod event_papers;
mod filled;
mod first_text;
mod form;
mod holders;
mod journaled;
mod kind;
mod layout;
mod letter;
mod line;
mod list;
mod mailing;
mod marks;
mod measure;
mod old_texts;
mod old_words;
mod page;
mod paper;
mod paper_facts;
mod printing;
pub(super) mod readings;
mod refusals;
mod routes;
mod sending;
mod snapshot;
mod store;
#[cfg(test)]
mod testing;
mod text;
mod version;

pub use approving::{Reader, Seen, approve};
pub(super) use countdown_items::{due, moves};
pub(super) use holders::cancel_outdated;
pub use kind::PaperKind;
pub use letter::{Approved, paper_letter};
pub(super) use line::PaperLine;
pub use mailing::note_sent;
pub use old_texts::mark_old_papers;
pub(super) use paper::Paper;
pub(super) use paper_facts::PaperFacts;
pub use readings::{keep_open_readings, public_router};
pub(super) use routes::router;
pub(super) use snapshot::known;
pub use store::{new_paper, version};
pub(super) use store::{of_event, versions_of_event};
