//! Receipts that were given, as pages show them.

use super::store::Given;
use crate::events::Event;
use crate::mail::MailState;
use crate::web::words::{self, Reader};
use time::Date;

/// A receipt that was given, and what happened to it.
#[derive(Debug, Clone)]
pub(super) struct Receipted {
    pub gift_id: i64,
    pub given: Given,
    /// The state of its email, if it was emailed.
    pub mail: Option<MailState>,
}

impl Receipted {
    /// Did it go out, as far as is known?
    pub fn status(&self) -> bool {
        !matches!(self.mail, Some(MailState::Failed | MailState::Cancelled | MailState::Expired))
    }

    /// Its status for `data-` marks: the state of its email, or that there was none.
    pub fn state(&self) -> &'static str {
        self.mail.map_or("given", MailState::as_str)
    }

    pub fn says(&self, event: &Event, today: Date) -> String {
        let on = Reader::App.near_day(event.details.zone.wall(self.given.at).date(), today);
        match self.mail {
            None => format!("receipt on paper {on}"),
            Some(MailState::Waiting | MailState::Sending) => "receipt email waiting to go out".to_owned(),
            Some(MailState::Sent) => format!("receipt emailed {on}"),
            Some(MailState::Uncertain) => format!("receipt emailed {on}, may not have arrived"),
            Some(MailState::Failed) => format!("receipt email failed {on}"),
            Some(MailState::Cancelled) => format!("receipt email canceled {on}"),
            Some(MailState::Expired) => format!("receipt email from {on} not sent in time"),
        }
    }
}

#[derive(Debug)]
pub(super) struct ReceiptLine {
    pub says: String,
    /// Who gave it, and when.
    pub detail: String,
    /// The same for `data-` marks: way, state and date.
    pub way: String,
    pub state: &'static str,
    pub on: String,
    pub mail: Option<i64>,
    pub status: bool,
}

impl ReceiptLine {
    pub fn of(receipt: &Receipted, event: &Event, today: Date) -> Self {
        let at = event.details.zone.wall(receipt.given.at);
        let by = receipt.given.by.as_ref().map(|by| format!("{by}, ")).unwrap_or_default();
        Self {
            says: receipt.says(event, today),
            detail: format!("{by}{}", Reader::App.moment(at)),
            way: receipt.given.way.clone(),
            state: receipt.state(),
            on: words::iso(at.date()),
            mail: receipt.given.mail_id,
            status: receipt.status(),
        }
    }
}
