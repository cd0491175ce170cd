//! The gift pages.

use super::form::{GiftForm, ReceivedForm};
use super::list::Group;
use super::receipted::ReceiptLine;
use super::report::Totals;
use super::{Gift, GiftStatus, Missing, Receipt, What};
use crate::events::Event;
use crate::people::choosing::{Adding, Chooser};
use crate::people::{Name, Person};
use crate::web::fold::Fold;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use time::{Date, OffsetDateTime};

#[derive(Template)]
#[template(path = "gifts/index.html")]
pub(super) struct Index {
    pub page: Page,
    pub event_id: i64,
    /// None for those who may not see amounts.
    pub totals: Option<Totals>,
    pub groups: Vec<Group>,
    pub without_receipt: usize,
}

#[derive(Template)]
#[template(path = "gifts/report.html")]
pub(super) struct Report {
    pub page: Page,
    pub event_line: String,
    pub printed: String,
    pub totals: Totals,
    pub lines: Vec<ReportLine>,
}

#[derive(Debug)]
pub(super) struct ReportLine {
    pub what: String,
    pub giver: String,
    pub status: String,
    pub worth: String,
    pub basis: String,
}

impl ReportLine {
    pub fn of(gift: &Gift) -> Self {
        let status = match &gift.details.status {
            GiftStatus::Received { on, .. } => format!("received {}", Reader::App.day(*on)),
            other => other.state().to_string(),
        };
        let (worth, basis) = match &gift.details.what {
            What::Money { amount, .. } => (amount.to_string(), "money".to_owned()),
            What::Goods { value: None, .. } => (String::new(), "no value yet".to_owned()),
            What::Goods { value: Some(value), .. } => (
                value.worth.to_string(),
                format!("{} on {}, {}", value.basis.label(), Reader::App.day(value.on), value.by),
            ),
        };
        Self { what: words::capital(&gift.details.what.says()), giver: gift.giver_in_full(), status, worth, basis }
    }
}

#[derive(Template)]
#[template(path = "gifts/gift.html")]
pub(super) struct GiftPage {
    pub page: Page,
    pub gift: Gift,
    pub title: String,
    pub facts: Vec<(&'static str, String)>,
    /// The value of a gift in kind; none for money and for those who may not see amounts.
    pub value: Option<String>,
    pub is_late: bool,
    pub receipts: Vec<ReceiptLine>,
    /// The receipt that went out differs from what it would say now.
    pub is_outdated: bool,
    pub form: ReceivedForm,
    pub mistakes: Mistakes,
    pub history: Vec<HistoryLine>,
}

impl GiftPage {
    fn is_promised(&self) -> bool {
        self.gift.details.status == GiftStatus::Promised
    }

    fn is_receipted(&self) -> bool {
        self.receipts.iter().any(|receipt| receipt.status)
    }
}

#[derive(Template)]
#[template(path = "gifts/edit.html")]
pub(super) struct Edit {
    pub page: Page,
    pub heading: &'static str,
    pub action: String,
    pub form: GiftForm,
    /// What the form holds before anyone fills it in.
    pub usual: GiftForm,
    pub mistakes: Mistakes,
    /// Someone sent the form and sees it again.
    pub is_again: bool,
    pub givers: Chooser,
    /// A donor who isn't in People yet.
    pub adding: Adding,
    /// Names to suggest for people in the department.
    pub names: Vec<Name>,
}

impl Edit {
    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let (form, usual) = (&self.form, &self.usual);
        Fold::compared(names, |name| form.value(name), |name| usual.value(name), &self.mistakes, self.is_again)
    }
}

#[derive(Template)]
#[template(path = "gifts/receipt.html")]
pub(super) struct ReceiptPage {
    pub page: Page,
    pub gift: Gift,
    pub title: String,
    pub department: String,
    pub date: String,
    /// Lines of the address.
    pub to: Vec<String>,
    /// How the receipt begins.
    pub dear: String,
    /// None, with the reason in `missing`.
    pub receipt: Option<Receipt>,
    pub missing: Option<Missing>,
    /// It says that only part can be deducted.
    pub is_part_deductible: bool,
    pub signed: String,
    /// The title of whoever signs; may be empty.
    pub signed_as: String,
    pub phone: String,
    /// The donor's email; empty if there is none.
    pub mail: String,
    pub given: Vec<ReceiptLine>,
}

/// The lines of an address on paper.
pub(super) fn address(gift: &Gift, person: Option<&Person>) -> Vec<String> {
    let office = person.map(|person| person.details.office.clone()).unwrap_or_default();
    let name = person.map_or_else(|| gift.person.clone(), |person| person.details.in_full());
    let lines = [name, office, gift.organization.clone()];
    lines.into_iter().filter(|line| !line.is_empty()).collect()
}

/// The form for a gift received today.
pub(super) fn received_today(who: &str, today: Date) -> ReceivedForm {
    ReceivedForm { received_on: words::iso(today), taken_by: who.to_owned() }
}

/// "Wed, Nov 25, 2026, 09:00", in the event's time zone.
pub(super) fn moment(event: &Event, at: OffsetDateTime) -> String {
    Reader::App.moment(event.details.zone.wall(at))
}
