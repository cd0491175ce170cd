//! Mail on its way out: what a letter says, the outbox that keeps it, and what
//! sends it. Knows no slice.

pub mod ics;
mod letter;
mod outbox;

pub use letter::{Body, Calendar, Item, KINDS, Kind, Letter, METHODS, Mailbox, Method, Parts, body};
pub use outbox::{cancel_for_request, cancel_older, forget, queue};
