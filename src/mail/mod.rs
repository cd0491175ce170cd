//! Outgoing email: what a letter says, the outbox that holds it, and the code that
//! sends it. Depends on no slice.

pub mod ics;
mod letter;
mod message;
pub mod outbox;
mod reply;
mod sender;
mod transport;

pub use letter::{Body, Calendar, Item, KINDS, Kind, Letter, METHODS, Mailbox, Method, Parts, body};
pub use message::{Built, build};
pub use outbox::{
    Line, Mail, MailState, Ready, cancel_by_key, cancel_for_event, cancel_for_request, cancel_these, forget,
    forget_by_key, keep_for_event, may_have_gone, note_past, note_past_of, of_person, of_request, open_wish, queue,
    supersede, waits, was_only_waiting,
};
pub use reply::{Plain, plainly};
pub use sender::{
    Mailer, Pace, Refusal, Refuse, Trouble, goes_out_at, is_night, look_after, night_note, pass, watch_clock,
};
pub use transport::Patience;
