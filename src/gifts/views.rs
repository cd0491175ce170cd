//! The gift pages and their lines.

use super::form::{GiftForm, ReceivedForm};
use super::report::Totals;
use super::store::Given;
use super::{Gift, GiftState, GiftStatus, Missing, Receipt, Recognition, Returned, What};
use crate::accounts::{Private, User};
use crate::events::Event;
use crate::mail::MailState;
use crate::people::choosing::{Adding, Chooser};
use crate::people::{Name, Person};
use crate::web::fold::Fold;
use crate::web::form::Mistakes;
use crate::web::history::HistoryLine;
use crate::web::page::Page;
use crate::web::words::{self, Reader};
use askama::Template;
use time::{Date, OffsetDateTime};

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

fn credit(gift: &Gift) -> String {
    let credit = &gift.details.credit;
    match credit.recognition {
        Recognition::Agreed => format!("credited as “{}”", credit.credited_as),
        Recognition::Open => "recognition not agreed yet".to_owned(),
        Recognition::Unwanted => "doesn't want to be named".to_owned(),
    }
}

/// Its title on the list and the page; with the amount only for those who may see it.
pub(super) fn title(gift: &Gift, with_amount: bool) -> String {
    let says = match &gift.details.what {
        What::Money { amount, purpose } if with_amount && purpose.is_empty() => amount.to_string(),
        What::Money { amount, purpose } if with_amount => format!("{amount} for {purpose}"),
        what => what.says(),
    };
    words::capital(&says)
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

/// The facts on a gift's page.
pub(super) fn facts(gift: &Gift, user: &User, today: Date) -> Vec<(&'static str, String)> {
    let details = &gift.details;
    let day = |on: Date| Reader::App.near_day(on, today);
    let mut facts = vec![("Donor", gift.giver_in_full())];
    let mut add = |label, text: String| {
        if !text.is_empty() {
            facts.push((label, text));
        }
    };
    add("Promised", format!("on {}", day(details.promised_on)));
    add("Due", details.promised_by.map(|by| format!("by {}", day(by))).unwrap_or_default());
    if let GiftStatus::Received { on, taken_by } = &details.status {
        let by = if taken_by.is_empty() { String::new() } else { format!(", by {taken_by}") };
        add("Received", format!("on {}{by}", day(*on)));
    }
    add("Recognition", credited(gift, today));
    add("Logo", details.credit.logo.clone());
    if !user.sees(Private::Money) {
        return facts;
    }
    add(
        "Given in return",
        match &details.returned {
            Returned::Unsaid => "not said yet".to_owned(),
            Returned::Nothing => "nothing".to_owned(),
            Returned::Something { what, estimate } => format!("{what}, estimated at {estimate}"),
        },
    );
    add("Notes", details.notes.clone());
    facts
}

fn credited(gift: &Gift, today: Date) -> String {
    let credit = &gift.details.credit;
    let by = if credit.agreed_by.is_empty() { String::new() } else { format!(" with {}", credit.agreed_by) };
    let on = credit.agreed_on.map(|on| format!(" on {}", Reader::App.near_day(on, today))).unwrap_or_default();
    match credit.recognition {
        Recognition::Agreed => format!("“{}”, agreed{by}{on}", credit.credited_as),
        Recognition::Open => "not agreed yet".to_owned(),
        Recognition::Unwanted => "doesn't want to be named".to_owned(),
    }
}

/// The value of a gift in kind, on one line; none for money.
pub(super) fn value(gift: &Gift, today: Date) -> Option<String> {
    let What::Goods { value, .. } = &gift.details.what else { return None };
    Some(value.as_ref().map_or("not estimated yet".to_owned(), |value| {
        let on = Reader::App.near_day(value.on, today);
        format!("{}, {} on {on}, estimated by {}", value.worth, value.basis.label(), value.by)
    }))
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
