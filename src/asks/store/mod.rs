//! All SQL of questions and answers.

mod answers;
mod asking;
mod changes;
mod feeds;
mod journal;
mod lapsing;
mod links;
mod opened;
mod reading;
mod rows;

pub use answers::add_answer;
pub use asking::{ask, ask_again, ask_for};
pub use changes::withdraw;
pub use lapsing::lapse;
pub use reading::{find, of_event, of_person, of_request_in};

pub(super) use answers::add_late;
pub(super) use changes::{reopen, reword, set_closing, set_facts};
pub(super) use feeds::{FeedOf, feed_number, opened_feed, renew_event_feed};
pub(super) use journal::entry;
pub(super) use links::keep_link;
pub(super) use opened::{Opened, opened};
pub(super) use reading::to_person;
