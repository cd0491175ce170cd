//! Mail on its way out: what a letter says, the outbox that keeps it, and what
//! sends it. Knows no slice.

mod letter;
mod message;
pub mod outbox;
mod sender;
mod transport;

pub use letter::{Body, Calendar, KINDS, Kind, Letter, METHODS, Mailbox, Method, Parts, body};
pub use message::{Built, build};
pub use outbox::{
    Line, Mail, MailState, cancel_for_event, cancel_for_request, of_person, of_request, queue, told_since,
};
pub use sender::{Mailer, Pace, Refusal, Refuse, Trouble, is_night, look_after, pass, watch_clock};
pub use transport::Patience;
