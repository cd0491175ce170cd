//! The list of gifts.

use super::facts::title;
use super::receipted::Receipted;
use super::{Gift, GiftState, GiftStatus, Recognition};
use crate::accounts::{Private, User};
use crate::events::Event;
use crate::web::words::{self, Reader};
use time::Date;

/// A gift on one line.
#[derive(Debug)]
pub(super) struct Line {
    pub id: i64,
    pub title: String,
    pub href: String,
    pub beneath: String,
    /// The status of its receipt; empty if it needs none yet.
    pub receipt: String,
    /// The same for `data-` marks.
    pub receipt_state: &'static str,
    /// Whether it is here, and the date it is due; may be empty.
    pub state: GiftState,
    pub due_on: String,
    pub when: String,
    pub sign: &'static str,
    pub says: &'static str,
    pub is_late: bool,
}

/// Gifts with the same status.
#[derive(Debug)]
pub(super) struct Group {
    pub heading: &'static str,
    pub lines: Vec<Line>,
}

fn credit(gift: &Gift) -> String {
    let credit = &gift.details.credit;
    match credit.recognition {
        Recognition::Agreed => format!("credited as “{}”", credit.credited_as),
        Recognition::Open => "recognition not agreed yet".to_owned(),
        Recognition::Unwanted => "doesn't want to be named".to_owned(),
    }
}

fn line(gift: &Gift, receipt: Option<&Receipted>, user: &User, event: &Event, today: Date) -> Line {
    let is_late = gift.is_late(today);
    let day = |on| Reader::App.near_day(on, today);
    let (sign, says, when) = match (&gift.details.status, gift.details.promised_by) {
        (GiftStatus::Received { on, .. }, _) => ("done", "received", format!("received {}", day(*on))),
        (GiftStatus::NotComing, _) => ("dropped", "not coming", "not coming".to_owned()),
        (GiftStatus::Promised, Some(by)) if is_late => ("late", "late", format!("overdue since {}", day(by))),
        (GiftStatus::Promised, Some(by)) => ("todo", "promised", format!("by {}", day(by))),
        (GiftStatus::Promised, None) => ("todo", "promised", "no date agreed".to_owned()),
    };
    let (receipt, receipt_state) = match receipt {
        Some(receipt) => (receipt.says(event, today), receipt.state()),
        None if gift.is_received() => ("no receipt yet".to_owned(), "none"),
        None => (String::new(), ""),
    };
    let beneath = match gift.details.status {
        GiftStatus::NotComing => gift.giver_in_full(),
        _ => format!("{} · {}", gift.giver_in_full(), credit(gift)),
    };
    Line {
        id: gift.id,
        title: title(gift, user.sees(Private::Money)),
        href: gift.href(),
        beneath,
        receipt,
        receipt_state,
        state: gift.details.status.state(),
        due_on: gift.details.promised_by.map(words::iso).unwrap_or_default(),
        when,
        sign,
        says,
        is_late,
    }
}

/// All gifts: promised ones first, with late ones on top.
pub(super) fn groups(gifts: &[Gift], receipts: &[Receipted], user: &User, event: &Event, today: Date) -> Vec<Group> {
    let headings =
        [(GiftState::Promised, "Promised"), (GiftState::Received, "Received"), (GiftState::NotComing, "Not coming")];
    let group = |(state, heading)| {
        let mut these: Vec<&Gift> = gifts.iter().filter(|gift| gift.details.status.state() == state).collect();
        let day = |gift: &Gift| match gift.details.status {
            GiftStatus::Received { on, .. } => Some(on),
            GiftStatus::Promised | GiftStatus::NotComing => gift.details.promised_by,
        };
        these.sort_by_key(|gift| (day(gift).is_none(), day(gift), gift.id));
        let receipt = |gift: &Gift| receipts.iter().find(|receipt| receipt.gift_id == gift.id);
        let lines = these.into_iter().map(|gift| line(gift, receipt(gift), user, event, today)).collect();
        Group { heading, lines }
    };
    headings.into_iter().map(group).filter(|group| !group.lines.is_empty()).collect()
}
