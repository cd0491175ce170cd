//! The presenter's talk: what people should learn, what is said when, whether it fits the
//! pinned plan's fires, and the talk practiced against one of them.

mod budget;
mod countdown_items;
mod cue_cards;
mod drawing;
mod history;
mod lesson;
mod line;
mod line_form;
mod lines;
mod mends;
mod messages;
mod objective;
mod objective_form;
mod objectives;
mod pace;
mod page;
mod parts;
mod person_references;
mod practice;
mod print;
mod routes;
mod says;
mod settings;
mod shown_line;
mod snapshot;
mod starter;
mod store;
mod summary;
mod timeline;

pub use countdown_items::countdown_items;
pub use history::HISTORY;
pub use line::{LOOKS, Looks, MOST_LINES, TalkLine};
pub use messages::{MessagesChanged, press_messages};
pub use objective::{OBJECTIVES, Objective};
pub use person_references::PERSON_REFERENCES;
pub use routes::router;
pub use settings::Settings;
pub use store::{add_line, add_objective, objectives, start};
pub use timeline::before_lighting;
