//! Mail in the words of a page.

use crate::mail::{Line, MailState, Mailbox};
use crate::web::words;
use crate::zone::Zone;
use time::OffsetDateTime;

/// What a page calls a state. What the relay took is not called delivered: from
/// there on nobody tells us.
pub(super) fn state(state: MailState, stays_here: bool) -> &'static str {
    match state {
        MailState::Sent if stays_here => "written to a file",
        MailState::Waiting => "waiting",
        MailState::Sending => "being sent",
        MailState::Sent => "accepted",
        MailState::Failed => "failed",
        MailState::Uncertain => "uncertain",
        MailState::Cancelled => "cancelled",
        MailState::Expired => "expired",
    }
}

/// "Accepted by the relay", and so on, for one message.
pub(super) fn sentence(of: MailState, stays_here: bool) -> &'static str {
    match of {
        MailState::Waiting => "Waits to be sent",
        MailState::Sending => "Is being sent",
        MailState::Sent if stays_here => "Written to a file; it did not leave the house",
        MailState::Sent => "Accepted by the relay",
        MailState::Failed => "Failed; it is not tried again by itself",
        MailState::Uncertain => "Uncertain: the relay may have taken it or not",
        MailState::Cancelled => "Cancelled; it was not sent",
        MailState::Expired => "Expired; it was not sent in time",
    }
}

/// "Wren Ibarra, wren@example.org".
pub(super) fn mailbox(mailbox: &Mailbox) -> String {
    if mailbox.name.is_empty() { mailbox.address.clone() } else { format!("{}, {}", mailbox.name, mailbox.address) }
}

/// A message in the list.
pub(super) struct Shown {
    pub id: i64,
    pub subject: String,
    pub to: String,
    pub kind: &'static str,
    pub words: String,
    pub when: String,
    /// Only of what waits.
    pub note: &'static str,
}

impl Shown {
    pub fn of(line: Line, zone: &Zone, now: OffsetDateTime) -> Self {
        let note = match line.state {
            MailState::Sending => "being sent",
            MailState::Waiting if line.at > now && line.attempts > 0 => "tried again",
            MailState::Waiting if line.at > now => "goes",
            MailState::Waiting => "due since",
            _ => "",
        };
        Self {
            id: line.id,
            subject: line.subject,
            to: mailbox(&line.to),
            kind: line.kind.as_str(),
            words: line.words,
            when: words::moment(zone.wall(line.at)),
            note,
        }
    }
}

/// "3 minutes", "5 hours", "2 days".
pub(super) fn span(from: OffsetDateTime, now: OffsetDateTime) -> String {
    let minutes = usize::try_from((now - from).whole_minutes()).unwrap_or(0);
    match minutes {
        0 => "less than a minute".to_owned(),
        1..120 => words::count(minutes, "minute", "minutes"),
        120..2_880 => words::count(minutes / 60, "hour", "hours"),
        _ => words::count(minutes / 1_440, "day", "days"),
    }
}
