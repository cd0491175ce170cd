//! Questions to people, each for one date, and their answers. Every part of the app
//! that needs a reply from someone asks through here.

mod answer;
mod answer_form;
mod answer_page;
mod answering;
mod asking;
mod before_sending;
mod calendar;
mod calendar_link;
mod calls;
mod changes;
mod closings;
mod deputy;
mod feed;
mod found;
mod history;
mod hours;
mod kind;
mod letters;
mod lines;
mod link;
mod list;
mod live_burn;
mod new_question;
mod offer;
mod pressing;
mod recording;
mod request;
mod request_page;
mod routes;
mod same_hours;
mod sender;
mod sending;
mod statement;
mod store;
mod telling;
mod texting;
mod unlisted;
mod views;

use statement::store as noted;

pub use answer::{Answer, Given, SAID, Said, WAYS, Way};
pub use answer_form::{BY_HAND, SPEAKS, reached as deputy_reached};
pub use answering::{Confirm, answer, note_sent, send_question, take_back};
pub use asking::{Asked, AskingPart, Choosing, FACTS, Preview, QuestionForm, Recipient};
pub use before_sending::against_sending;
pub use changes::{Before, Count, before_change, refresh, refresh_all, reword, reword_all, tell_changes, tell_next};
pub use closings::{Closings, ReadClosings, ReadCoverage};
pub use deputy::{letters_after_change as deputy_letters_after_change, tell as tell_deputies};
pub use history::HISTORY;
pub use hours::Hours;
pub use kind::{KINDS, Kind};
pub use letters::{asking, confirming, day_says, said_to};
pub use lines::facts;
pub use link::router as public_router;
pub use list::Ledgers;
pub use live_burn::about;
pub use new_question::NewQuestion;
pub use offer::{
    Follows, MOST_SENT as MOST_OFFERED, Made, Offered, forget as forget_offers, offers, router as offer_router,
};
pub use request::{AS_ALTERNATE, Ask, Request};
pub use routes::router;
pub use sender::{Sender, Signer, greeted};
pub use sending::{Parties, Sending};
pub use statement::{Change, Known, StatedDate, Statement};
pub use store::{
    add_answer, ask, ask_again, ask_for, find, forget, hand_back, hand_over, lapse, of_event, of_person, of_request_in,
};
pub use unlisted::{Unlisted, unlisted};
pub use views::STATES;
