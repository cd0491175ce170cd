//! Officials and sponsors: who is invited, the order of introductions, who speaks for
//! how long, and who is here.

mod adding;
mod attending;
mod called;
mod calling;
mod candidates;
mod countdown_items;
mod day;
mod editing;
mod facts;
mod follow;
mod form;
mod groups;
mod guest;
mod guest_page;
mod history;
mod index;
mod inviting;
mod next_step;
mod order;
mod page;
mod person_references;
mod place_form;
mod placing;
mod print;
mod program;
mod record;
mod removing;
mod routes;
mod settings;
mod settings_page;
mod signing;
mod snapshot;
mod status;
mod store;

pub use attending::{Attending, attending};
pub use countdown_items::countdown_items;
pub use follow::{follow, reword};
pub use guest::{Day, Details, Guest, SIDES, Side};
pub use history::HISTORY;
pub use inviting::{with_facts, words_of};
pub use person_references::PERSON_REFERENCES;
pub use program::{
    Following, GIVES, Gives, PARTS, Part, Program, ProgramItem, ReadFollowing, Timeline, TimelinePart, timeline,
};
pub use routes::router;
pub use settings::{GuestSettings, InvitationLead, LEVELS, Level, OFFICE_LEVELS, Office, SponsorLevel};
pub use status::GuestStatus;
pub use store::{NewGuest, add, of_event, put_program, rang, save_settings, set_place, settings, tick};
