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
mod tests {
    use super::super::{Basis, Credit, Details, InName, Recognition, Value};
    use super::*;
    use proptest::prelude::*;
    use time::macros::date;

    fn gift(what: What, returned: Returned) -> Gift {
        let credit = Credit {
            recognition: Recognition::Agreed,
            credited_as: "Lumber by Bend Lumber Yard".to_owned(),
            agreed_by: "Gideon Astley".to_owned(),
            agreed_on: Some(date!(2026 - 11 - 02)),
            logo: String::new(),
        };
        let details = Details {
            person_id: 1,
            in_name: InName::Organization,
            what,
            promised_on: date!(2026 - 11 - 02),
            promised_by: None,
            status: GiftStatus::Received { on: date!(2026 - 11 - 05), taken_by: "Tomás Brandt".to_owned() },
            returned,
            credit,
            notes: String::new(),
        };
        let (person, organization) = ("Gideon Astley".to_owned(), "Bend Lumber Yard".to_owned());
        Gift { id: 3, event_id: 1, person, organization, details, version: 1 }
    }

    fn goods(worth: Option<i64>) -> What {
        let value = worth.map(|worth| Value {
            worth: Cents::new(worth),
            basis: Basis::FairMarket,
            on: date!(2026 - 11 - 05),
            by: "Priya Okafor".to_owned(),
        });
        What::Goods { description: "sheets of gypsum board".to_owned(), quantity: "12".to_owned(), value }
    }

    /// What it must state: IRS Publication 1771, "Written acknowledgment", the list of
    /// its parts.
    #[test]
    fn money_is_receipted_with_its_amount() {
        let what = What::Money { amount: Cents::new(125_000), purpose: "the program".to_owned() };
        let receipt = receipt(&gift(what, Returned::Nothing), "Alder Bend Fire District").unwrap();
        let text = receipt.text();
        for line in [
            "Received by: Alder Bend Fire District",
            "Given by: Bend Lumber Yard (Gideon Astley)",
            "Received on: Thursday, November 5, 2026",
            "Amount: $1,250.00",
            "For: the program",
        ] {
            assert!(text.lines().any(|other| other == line), "{line}: {text}");
        }
        assert!(text.lines().any(|line| line.starts_with("Given in return: No goods or services ")), "{text}");
    }

    #[test]
    fn goods_are_described_and_never_valued() {
        let receipt = receipt(&gift(goods(Some(98_765)), Returned::Nothing), "Alder Bend Fire District").unwrap();
        let text = receipt.text();
        assert!(text.contains("Given: sheets of gypsum board\nQuantity: 12\n"), "{text}");
        for amount in ["$", "987", "98765", "dollar", "USD", "cents"] {
            assert!(!text.contains(amount), "{amount}: {text}");
        }
    }

    #[test]
    fn a_receipt_is_made_from_all_that_it_says() {
        let made = |what, returned| receipt(&gift(what, returned), "Alder Bend Fire District").unwrap().made_from;
        let before = made(goods(None), Returned::Nothing);
        let more =
            What::Goods { description: "sheets of gypsum board".to_owned(), quantity: "14".to_owned(), value: None };
        let seats = Returned::Something { what: "Six reserved seats".to_owned(), estimate: Cents::new(6_000) };
        assert_ne!(made(more, Returned::Nothing), before);
        assert_ne!(made(goods(None), seats), before);
        assert_eq!(made(goods(Some(98_765)), Returned::Nothing), before, "but for its value");
    }

    /// The same publication, "Quid pro quo contributions": above $75.
    #[test]
    fn what_was_given_in_return_is_estimated_and_above_75_dollars_the_rest_is_told() {
        let returned = || Returned::Something { what: "Six reserved seats".to_owned(), estimate: Cents::new(6_000) };
        let text = |cents| {
            let what = What::Money { amount: Cents::new(cents), purpose: String::new() };
            receipt(&gift(what, returned()), "Alder Bend Fire District").unwrap().text()
        };
        assert!(text(7_500).contains("Given in return: Six reserved seats. ") && text(7_500).contains("$60.00"));
        assert!(!text(7_500).contains("deduct"));
        assert!(text(7_501).contains("deduct"));
        let goods = receipt(&gift(goods(Some(98_765)), returned()), "Alder Bend Fire District").unwrap().text();
        assert_eq!(goods.matches('$').count(), 1, "only the estimate of what was given in return: {goods}");
    }

    #[test]
    fn nothing_is_receipted_before_it_is_here_or_while_a_part_is_unsaid() {
        let unsaid = gift(goods(None), Returned::Unsaid);
        assert_eq!(receipt(&unsaid, "Alder Bend Fire District"), Err(Missing::ReturnUnsaid));
        let mut promised = gift(goods(None), Returned::Nothing);
        promised.details.status = GiftStatus::Promised;
        assert_eq!(receipt(&promised, "Alder Bend Fire District"), Err(Missing::NotReceived));
    }

    proptest! {
        #[test]
        fn a_receipt_for_goods_is_the_same_whatever_they_are_worth(worth in 1..=1_000_000_000_i64) {
            let with = receipt(&gift(goods(Some(worth)), Returned::Nothing), "Alder Bend Fire District").unwrap();
            let without = receipt(&gift(goods(None), Returned::Nothing), "Alder Bend Fire District").unwrap();
            prop_assert_eq!(&with, &without);
            prop_assert!(!with.text().contains('$'));
            prop_assert!(!with.text().contains(&Cents::new(worth).to_string()));
            // Shorter ones may be part of a date or a quantity.
            if worth >= 1_000_000 {
                prop_assert!(!with.text().contains(&worth.to_string()));
            }
        }

        #[test]
        fn a_receipt_for_money_holds_its_amount(cents in 1..=1_000_000_000_i64) {
            let amount = Cents::new(cents);
            let what = What::Money { amount, purpose: String::new() };
            let receipt = receipt(&gift(what, Returned::Nothing), "Alder Bend Fire District").unwrap();
            prop_assert!(receipt.facts.contains(&("Amount", amount.to_string())));
        }
    }
}
