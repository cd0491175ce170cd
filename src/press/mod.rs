//! Press: what we tell which outlets and when, what they say, who is coming and what
//! ran.

mod countdown_items;
mod coverage;
mod day;
mod editor;
mod facts;
mod history;
mod home;
mod log;
mod matching;
mod outlet_status;
mod outlets;
mod papers;
mod person_references;
mod reach;
mod routes;
mod snapshot;
mod timeline;

pub use countdown_items::{countdown_items, moves};
pub use coverage::{NewStory, add as add_story};
pub use facts::{Facts, coverage_facts, coverage_lines, messages_changed, reword, save as save_facts};
pub use history::HISTORY;
pub use log::{Channel, NewEntry, Outcome, add as add_entry};
pub use outlets::{Contact, OutletDetails, OutletKind, add as add_outlet, add_contact, contacts, list_outlet};
pub use papers::{
    Approved, PaperKind, Reader, Seen, approve, keep_open_readings, mark_old_papers, new_paper, note_sent,
    paper_letter, public_router, version,
};
pub use person_references::PERSON_REFERENCES;
pub use routes::router;
