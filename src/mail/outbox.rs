//! The outbox in the store: all SQL about email.

mod announcement;
mod cancel;
mod check;
mod claims;
mod due;
mod erase;
mod gone;
mod lists;
mod manual;
mod message;
mod past;
mod queue;
mod settling;

use crate::error::{Error, Result};
use crate::named::named;
use anyhow::anyhow;
use std::str::FromStr;
use time::OffsetDateTime;

pub use announcement::{announcement_link, open_wish};
pub use cancel::{
    cancel_answered, cancel_by_key, cancel_for_event, cancel_for_request, cancel_these, keep_for_event, supersede,
};
pub use check::{PreSendCheck, check_before_sending};
pub use claims::{claim, free, is_due};
pub use due::{oldest_due, refused_by_policy, stuck_since};
pub use erase::{forget, forget_by_key};
pub use gone::{may_have_gone, waits, was_only_waiting};
pub use lists::{Line, counts, list, of_person, of_request};
pub use manual::{Hold, cancel, hold, hold_all, hold_by_command, hold_copy, note_test, release, try_again};
pub use message::{Mail, find};
pub use past::{note_past, note_past_of};
pub use queue::{Ready, queue};
pub use settling::{Again, Settled, expire, has_expired, pull_in, settle, wait};

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
