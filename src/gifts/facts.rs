//! What a page says about one gift.

use super::{Gift, GiftStatus, Recognition, Returned, What};
use crate::accounts::{Private, User};
use crate::web::words::{self, Reader};
use time::Date;

/// Its title on the list and the page; with the amount only for those who may see it.
pub(super) fn title(gift: &Gift, with_amount: bool) -> String {
    let says = match &gift.details.what {
        What::Money { amount, purpose } if with_amount && purpose.is_empty() => amount.to_string(),
        What::Money { amount, purpose } if with_amount => format!("{amount} for {purpose}"),
        what => what.says(),
    };
    words::capital(&says)
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
