//! The outbox in the store: all SQL about mail.

mod claims;
mod hands;
mod lists;
mod queue;

use crate::error::{Error, Result};
use crate::named::named;
use anyhow::anyhow;
use std::str::FromStr;
use time::OffsetDateTime;

pub use claims::{
    Again, Look, Night, Settled, claim, expire, free, has_expired, is_due, look, open_wish, pull_in, settle, wait,
    zones,
};
pub use hands::{Hold, cancel, hold, hold_all, hold_by_command, hold_copy, note_test, release, try_again};
pub use lists::{Line, Mail, counts, find, list, of_person, of_request, oldest_due, refused_by_policy, stuck_since};
pub use queue::{
    Ready, announcement_link, cancel_by_key, cancel_for_event, cancel_for_request, cancel_these, forget, forget_by_key,
    may_have_gone, note_past, note_past_of, queue, supersede, waits, was_only_waiting,
};

named! {
    /// How far a message is.
    MailState, "Choose a state of mail.", MAIL_STATES: [
        Waiting = "waiting",
        Sending = "sending",
        // The relay took it; that is not yet an arrival.
        Sent = "sent",
        Failed = "failed",
        // The relay may have taken it; nobody knows.
        Uncertain = "uncertain",
        Cancelled = "cancelled",
        Expired = "expired",
    ]
}

fn known<T: FromStr>(text: &str) -> Result<T> {
    text.parse().map_err(|_| Error::Internal(anyhow!("an unknown word of mail in the store: {text}")))
}

fn instant(at: i64) -> Result<OffsetDateTime> {
    Ok(OffsetDateTime::from_unix_timestamp(at)?)
}
