//! The outbox in the store: all SQL about email.

mod claims;
mod lists;
mod manual;
mod queue;

use crate::error::{Error, Result};
use crate::named::named;
use anyhow::anyhow;
use std::str::FromStr;
use time::OffsetDateTime;

pub use claims::{
    Again, Night, PreSendCheck, Settled, check_before_sending, claim, expire, free, has_expired, is_due, open_wish,
    pull_in, settle, wait, zones,
};
pub use lists::{Line, Mail, counts, find, list, of_person, of_request, oldest_due, refused_by_policy, stuck_since};
pub use manual::{Hold, cancel, hold, hold_all, hold_by_command, hold_copy, note_test, release, try_again};
pub use queue::{
    Ready, announcement_link, cancel_by_key, cancel_for_event, cancel_for_request, cancel_these, forget, forget_by_key,
    keep_for_event, may_have_gone, note_past, note_past_of, queue, supersede, waits, was_only_waiting,
};

named! {
    /// What has become of a message so far.
    MailState, "Choose a message status.", MAIL_STATES: [
        Waiting = "waiting",
        Sending = "sending",
        // The relay accepted it, which doesn't mean that it arrived.
        Sent = "sent",
        Failed = "failed",
        // The relay may have accepted it; no one knows.
        Uncertain = "uncertain",
        Cancelled = "cancelled",
        Expired = "expired",
    ]
}

impl MailState {
    /// As people read it.
    #[must_use]
    pub fn label(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Sending => "being sent",
            Self::Sent => "sent",
            Self::Failed => "failed",
            Self::Uncertain => "uncertain",
            Self::Cancelled => "canceled",
            Self::Expired => "not sent in time",
        }
    }
}

fn known<T: FromStr>(text: &str) -> Result<T> {
    text.parse().map_err(|_| Error::Internal(anyhow!("an unknown word about email in the store: {text}")))
}

fn instant(at: i64) -> Result<OffsetDateTime> {
    Ok(OffsetDateTime::from_unix_timestamp(at)?)
}
