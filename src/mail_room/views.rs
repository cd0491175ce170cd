//! Email as pages show it.

use crate::mail::{Line, MailState, Mailbox, Plain, plainly};
use crate::web::words::{self, Reader};
use crate::zone::Zone;
use time::OffsetDateTime;

/// The address that the outbox gives messages to people whose data was erased.
const ERASED: &str = "forgotten@invalid";

/// What a page calls a status. A message that the email server took isn't called
/// delivered: we never learn whether it arrived.
pub(super) fn state(state: MailState, stays_here: bool) -> &'static str {
    if state == MailState::Sent && stays_here { "saved to a file" } else { state.label() }
}

/// What a page says if no message has this status.
pub(super) fn nothing(state: MailState) -> &'static str {
    match state {
        MailState::Waiting | MailState::Sending => "No email is waiting to go out.",
        MailState::Sent => "No email has gone out yet.",
        MailState::Failed => "No email has failed.",
        MailState::Uncertain => "No email is uncertain.",
        MailState::Cancelled => "No email was canceled.",
        MailState::Expired => "No email ran out of time.",
    }
}

/// The status of one message, in a sentence.
pub(super) fn sentence(of: MailState, stays_here: bool) -> &'static str {
    match of {
        MailState::Waiting => "Waiting to go out",
        MailState::Sending => "Being sent",
        MailState::Sent if stays_here => "Saved to a file, because email is off",
        MailState::Sent => "Sent: the email server took it",
        MailState::Failed => "Failed. It won't be tried again unless you send it again.",
        MailState::Uncertain => "Uncertain: the email server may or may not have it",
        MailState::Cancelled => "Canceled. It was not sent.",
        MailState::Expired => "Not sent in time. It won't go out unless you send it again.",
    }
}

/// What became of a message, in plain words first. Why it was canceled is in someone's
/// own words.
pub(super) fn outcome(state: MailState, words: String) -> Plain {
    if state == MailState::Cancelled { Plain { means: words, ..Plain::default() } } else { plainly(&words) }
}

/// The label of the time at which a message was settled.
pub(super) fn settled(state: MailState) -> &'static str {
    match state {
        MailState::Sent => "Sent",
        MailState::Failed => "Failed",
        MailState::Cancelled => "Canceled",
        MailState::Waiting | MailState::Sending | MailState::Uncertain | MailState::Expired => "Ended",
    }
}

/// "Wren Ibarra, wren@example.org".
pub(super) fn mailbox(mailbox: &Mailbox) -> String {
    match mailbox.name.as_str() {
        _ if mailbox.address == ERASED => "someone whose data was erased".to_owned(),
        "" => mailbox.address.clone(),
        name => format!("{name}, {}", mailbox.address),
    }
}

/// A message in the list.
pub(super) struct Shown {
    pub id: i64,
    pub subject: String,
    pub to: String,
    pub kind: &'static str,
    pub kind_says: &'static str,
    pub words: Plain,
    /// Only for messages that are waiting or being sent.
    pub note: &'static str,
    pub when: String,
}

impl Shown {
    pub fn of(line: Line, zone: &Zone, now: OffsetDateTime) -> Self {
        let note = match line.state {
            MailState::Sending => "being sent",
            MailState::Waiting if line.at > now && line.attempts > 0 => "next try",
            MailState::Waiting if line.at > now => "goes out",
            MailState::Waiting => "due since",
            _ => "",
        };
        let when = if line.state == MailState::Sending {
            String::new()
        } else {
            Reader::App.near_moment(zone.wall(line.at), zone.wall(now).date())
        };
        Self {
            id: line.id,
            subject: line.subject,
            to: mailbox(&line.to),
            kind: line.kind.as_str(),
            kind_says: line.kind.label(),
            words: outcome(line.state, line.words),
            note,
            when,
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
