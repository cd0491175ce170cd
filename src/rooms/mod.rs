//! The two rooms, item by item: what is in both, what is missing, and what should not
//! burn.

mod adding;
mod audit;
mod build;
mod collecting;
mod countdown_items;
mod counts;
mod deciding;
mod drawn;
mod edit;
mod edit_page;
mod form;
mod grades;
mod hazard;
mod history;
mod index;
mod measures;
mod page;
mod pair_lines;
mod person_references;
mod room;
mod routes;
mod sentences;
mod size;
mod snapshot;
mod sourcing;
mod store;
mod template;
mod thing;
mod thing_page;
mod tolerance;
mod verdict;
mod warning_lines;
mod warnings;

pub use countdown_items::{countdown_items, moves};
pub use drawn::{Frame, Measured, Place, measured, place, place_usual, set_frame};
pub use hazard::{HAZARDS, Hazard};
pub use history::HISTORY;
pub use measures::{feet, length, number, plain_number};
pub use person_references::PERSON_REFERENCES;
pub use room::{ROOMS, Room};
pub use routes::router;
pub use size::{Length, Size, UNITS, Unit};
pub use sourcing::offered;
pub use store::{
    DONATION_REPLIES, DonationReply, NewDonationRequest, RoomSettings, Ruling, add, add_donation_request, of_event,
    rule, set_photo,
};
pub use thing::{Details, KINDS, Kind, SOURCES, STATES, Source, Thing, ThingState};
pub use thing_page::files_router;
