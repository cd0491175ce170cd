//! The receipt for a gift.
//!
//! It states what IRS Publication 1771, "Charitable Contributions: Substantiation and
//! Disclosure Requirements", requires of a written acknowledgment: the name of the
//! organization; the amount of money, or a description of other gifts without their
//! value; and whether anything was given in return, with a good-faith estimate of its
//! value. The same publication requires that donors who pay more than $75 and get
//! something in return are told which part may be deducted. Whether a department's
//! receipts count for taxes is up to its finance office; nothing here says so.

use super::{Cents, Gift, GiftStatus, Returned, What};
use crate::web::words::{self, Reader};
use std::collections::BTreeMap;
use time::Date;

/// A payment above this amount, with something given in return, needs the sentence about
/// what may be deducted (Publication 1771, "quid pro quo contributions").
const TOLD_ABOVE: Cents = Cents::new(7_500);

/// What a receipt says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Receipt {
    pub lead: String,
    /// Lines with a label and a text.
    pub facts: Vec<(&'static str, String)>,
    pub words: Vec<String>,
    pub made_from: MadeFrom,
}

/// The values a receipt is made from, by name. Once they change, a receipt that was given is
/// out of date; once the words around them change, it isn't.
pub type MadeFrom = BTreeMap<String, String>;

/// Why a receipt can't be given yet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    NotReceived,
    ReturnUnsaid,
}

impl Missing {
    /// Its name in `data-` marks: what is missing.
    #[must_use]
    pub fn as_str(self) -> &'static str {
        match self {
            Self::NotReceived => "gift",
            Self::ReturnUnsaid => "return",
        }
    }

    #[must_use]
    pub fn says(self) -> &'static str {
        match self {
            Self::NotReceived => "This gift hasn't been received. Record that first.",
            Self::ReturnUnsaid => "A receipt must say whether anything was given in return. Edit the gift first.",
        }
    }
}

impl Receipt {
    /// All of it as text, as stored.
    #[must_use]
    pub fn text(&self) -> String {
        let facts = self.facts.iter().map(|(label, text)| format!("{label}: {text}"));
        let all = std::iter::once(self.lead.clone()).chain(facts).chain(self.words.iter().cloned());
        all.collect::<Vec<_>>().join("\n")
    }
}

/// The receipt for a received gift. Our internal estimate of a gift's value is never on
/// it.
///
/// # Errors
/// When something it must say is missing.
pub fn receipt(gift: &Gift, department: &str) -> Result<Receipt, Missing> {
    let GiftStatus::Received { on, .. } = &gift.details.status else { return Err(Missing::NotReceived) };
    let lead = format!("Thank you for your gift, which we received on {}.", Reader::Public.day(*on));
    let mut facts = vec![
        ("Received by", department.to_owned()),
        ("Given by", gift.giver_in_full()),
        ("Received on", Reader::Public.day(*on)),
    ];
    facts.extend(given(&gift.details.what));
    facts.push(("Given in return", returned(&gift.details.returned)?));
    Ok(Receipt { lead, facts, words: told_of_tax(gift), made_from: made_from(gift, *on, department) })
}

fn made_from(gift: &Gift, on: Date, department: &str) -> MadeFrom {
    let cents = |amount: &Cents| amount.get().to_string();
    let (kind, what, how_much) = match &gift.details.what {
        What::Money { amount, purpose } => ("money", purpose.clone(), cents(amount)),
        What::Goods { description, quantity, value: _ } => ("goods", description.clone(), quantity.clone()),
    };
    let (returned, worth) = match &gift.details.returned {
        Returned::Unsaid | Returned::Nothing => (String::new(), String::new()),
        Returned::Something { what, estimate } => (what.clone(), cents(estimate)),
    };
    let values = [
        ("department", department.to_owned()),
        ("donor", gift.giver().to_owned()),
        ("person", gift.person.clone()),
        ("received on", words::iso(on)),
        ("kind", kind.to_owned()),
        ("what", what),
        ("how much", how_much),
        ("in return", returned),
        ("worth in return", worth),
    ];
    values.map(|(name, value)| (name.to_owned(), value)).into()
}

fn given(what: &What) -> Vec<(&'static str, String)> {
    match what {
        What::Money { amount, purpose } => {
            let mut facts = vec![("Amount", amount.to_string())];
            facts.extend(Some(("For", purpose.clone())).filter(|(_, purpose)| !purpose.is_empty()));
            facts
        }
        What::Goods { description, quantity, value: _ } => {
            let mut facts = vec![("Given", description.clone())];
            facts.extend(Some(("Quantity", quantity.clone())).filter(|(_, quantity)| !quantity.is_empty()));
            facts
        }
    }
}

fn returned(returned: &Returned) -> Result<String, Missing> {
    match returned {
        Returned::Unsaid => Err(Missing::ReturnUnsaid),
        Returned::Nothing => Ok("No goods or services were provided in exchange for this gift.".to_owned()),
        Returned::Something { what, estimate } => {
            Ok(format!("{what}. Our good-faith estimate of its value is {estimate}."))
        }
    }
}

/// Must the receipt say that only part of this payment may be deducted?
pub(super) fn is_part_deductible(gift: &Gift) -> bool {
    let What::Money { amount, .. } = &gift.details.what else { return false };
    *amount > TOLD_ABOVE && matches!(gift.details.returned, Returned::Something { .. })
}

fn told_of_tax(gift: &Gift) -> Vec<String> {
    match gift.details.what {
        What::Money { .. } if is_part_deductible(gift) => {
            vec![
                "For federal income tax, you can deduct no more than the part of this gift that exceeds the value of \
                 what you received in return."
                    .to_owned(),
            ]
        }
        What::Money { .. } => Vec::new(),
        What::Goods { .. } => {
            vec![
                "This receipt describes your gift and puts no value on it. Deciding its value is up to you.".to_owned(),
            ]
        }
    }
}

#[cfg(test)]
mod tests;
