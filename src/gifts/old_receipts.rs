//! Receipts from before they stored what they were made from, when they were compared by
//! their words.

use super::receipt::is_part_deductible;
use super::{Gift, GiftStatus, Returned, What, receipt, store};
use crate::db::Tx;
use crate::error::Result;
use crate::web::words;

/// Stores what the receipts for an event's gifts were made from, if they say what they
/// would have said about the gift as it is. Any other stays out of date.
///
/// # Errors
/// The store's.
pub async fn read_old_receipts(tx: &mut Tx, event_id: i64, department: &str) -> Result<()> {
    let gifts = store::of_event(tx, event_id).await?;
    for (gift_id, given) in store::receipts(tx, event_id).await? {
        let Some(gift) = gifts.iter().find(|gift| gift.id == gift_id) else { continue };
        let Ok(receipt) = receipt(gift, department) else { continue };
        if given.made_from.is_none() && old_text(gift, department) == Some(given.text) {
            store::put_made_from(tx, given.id, &receipt.made_from).await?;
        }
    }
    Ok(())
}

/// The text of a gift's receipt as it was then. None if there was none yet.
fn old_text(gift: &Gift, department: &str) -> Option<String> {
    let GiftStatus::Received { on, .. } = &gift.details.status else { return None };
    let day = words::old_day(*on);
    let mut lines = vec![
        format!("Thank you for your gift, which we received on {day}."),
        format!("Received by: {department}"),
        format!("Given by: {}", gift.giver_in_full()),
        format!("Received on: {day}"),
    ];
    let (first, second) = match &gift.details.what {
        What::Money { amount, purpose } => (format!("Amount: {amount}"), ("For", purpose)),
        What::Goods { description, quantity, value: _ } => (format!("Given: {description}"), ("Quantity", quantity)),
    };
    lines.push(first);
    if !second.1.is_empty() {
        lines.push(format!("{}: {}", second.0, second.1));
    }
    lines.push(match &gift.details.returned {
        Returned::Unsaid => return None,
        Returned::Nothing => "Given in return: No goods or services were given in return for this gift.".to_owned(),
        Returned::Something { what, estimate } => {
            format!("Given in return: {what}. We estimate that this is worth {estimate}.")
        }
    });
    if is_part_deductible(gift) {
        lines.push(
            "For federal income tax, no more can be deducted than the part of this gift that is above the worth of \
             what was given in return."
                .to_owned(),
        );
    } else if let What::Goods { .. } = gift.details.what {
        lines.push(
            "A receipt describes what was given and puts no value on it; that is for the giver to do.".to_owned(),
        );
    }
    Some(lines.join("\n"))
}

#[cfg(test)]
mod tests {
    use super::super::{Basis, Cents, Credit, Details, InName, Recognition, Value};
    use super::*;
    use time::macros::date;

    fn text(what: What, returned: Returned) -> String {
        let credit = Credit {
            recognition: Recognition::Open,
            credited_as: String::new(),
            agreed_by: String::new(),
            agreed_on: None,
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
        let gift = Gift { id: 3, event_id: 1, person, organization, details, version: 1 };
        old_text(&gift, "Alder Bend Fire District").unwrap()
    }

    const BEGIN: &str = "Thank you for your gift, which we received on Thu 5 Nov 2026.\nReceived by: Alder Bend Fire \
                         District\nGiven by: Bend Lumber Yard (Gideon Astley)\nReceived on: Thu 5 Nov 2026\n";

    #[test]
    fn a_receipt_is_known_in_its_old_words() {
        let money = |cents| What::Money { amount: Cents::new(cents), purpose: "the programme".to_owned() };
        assert_eq!(
            text(money(125_000), Returned::Nothing),
            format!(
                "{BEGIN}Amount: $1,250.00\nFor: the programme\nGiven in return: No goods or services were given in \
                 return for this gift."
            )
        );
        let seats = Returned::Something { what: "Six reserved seats".to_owned(), estimate: Cents::new(6_000) };
        assert_eq!(
            text(money(7_501), seats),
            format!(
                "{BEGIN}Amount: $75.01\nFor: the programme\nGiven in return: Six reserved seats. We estimate that \
                 this is worth $60.00.\nFor federal income tax, no more can be deducted than the part of this gift \
                 that is above the worth of what was given in return."
            )
        );
        let value = Value {
            worth: Cents::new(98_765),
            basis: Basis::FairMarket,
            on: date!(2026 - 11 - 05),
            by: "Priya Okafor".to_owned(),
        };
        let goods =
            What::Goods { description: "folding chairs".to_owned(), quantity: "40".to_owned(), value: Some(value) };
        assert_eq!(
            text(goods, Returned::Nothing),
            format!(
                "{BEGIN}Given: folding chairs\nQuantity: 40\nGiven in return: No goods or services were given in \
                 return for this gift.\nA receipt describes what was given and puts no value on it; that is for the \
                 giver to do."
            )
        );
    }
}
