//! Mail on its way out: what a letter says, the outbox that keeps it, and what
//! sends it. Knows no slice.

pub mod ics;
mod letter;
mod message;
pub mod outbox;
mod sender;
mod transport;

pub use letter::{Body, Calendar, Item, KINDS, Kind, Letter, METHODS, Mailbox, Method, Parts, body};
pub use message::{Built, build};
pub use outbox::{
    Line, Mail, MailState, Ready, cancel_for_event, cancel_for_request, cancel_these, forget, note_past, of_person,
    of_request, open_wish, queue, told_since,
};
pub use sender::{Mailer, Pace, Refusal, Refuse, Trouble, is_night, look_after, pass, watch_clock};
pub use transport::Patience;
