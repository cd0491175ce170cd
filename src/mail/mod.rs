//! Outgoing email: what a letter says, the outbox that holds it, and the code that
//! sends it. Depends on no slice.

pub mod ics;
mod letter;
mod mailer;
mod message;
mod night;
pub mod outbox;
mod outside;
mod reply;
mod sender;
mod transport;
mod waits;
mod watch;

pub use letter::{Body, Calendar, Item, KINDS, Kind, Letter, METHODS, Mailbox, Method, Parts, body};
pub use mailer::{Mailer, Pace, Trouble};
pub use message::{Built, build};
pub use night::{goes_out_at, is_night, night_note};
pub use outbox::{
    Line, Mail, MailState, Ready, cancel_answered, cancel_by_key, cancel_for_event, cancel_for_request, cancel_these,
    forget, forget_by_key, keep_for_event, may_have_gone, note_past, note_past_of, of_person, of_request, open_wish,
    queue, supersede, waits, was_only_waiting,
};
pub use outside::{About, Check, Outside, ReadZones, Refusal, Refuse, Zones};
pub use reply::{Plain, plainly};
pub use sender::pass;
pub use transport::Patience;
pub use watch::{look_after, unwell, watch_clock};
