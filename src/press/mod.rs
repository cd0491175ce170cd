//! Press: what we tell which outlets and when, what they say, who is coming and what
//! ran.

mod coverage;
mod day;
mod editor;
mod facts;
mod home;
mod lines;
mod log;
mod matching;
mod outlet_status;
mod outlets;
mod papers;
mod people;
mod timeline;

use crate::state::App;
use axum::Router;

pub use coverage::{NewStory, add as add_story};
pub use facts::{Facts, coverage_facts, coverage_lines, messages_changed, reword, save as save_facts};
pub use home::countdown_items;
pub use log::{Channel, NewEntry, Outcome, add as add_entry};
pub use outlets::{Contact, OutletDetails, OutletKind, add as add_outlet, add_contact, contacts, list_outlet};
pub use papers::{
    Approved, PaperKind, Reader, approve, keep_open_readings, mark_old_papers, moved, new_paper, note_sent,
    paper_letter, public_router, version,
};
pub use people::{Handed, forget, hand_back, hand_over};

/// Everything under an event's Press.
pub fn router() -> Router<App> {
    home::router()
        .merge(outlets::router())
        .merge(facts::router())
        .merge(log::router())
        .merge(papers::router())
        .merge(day::router())
        .merge(coverage::router())
}
