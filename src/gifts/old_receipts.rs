//! Receipts from before they stored what they were made from, when they were compared by
//! their words.

use super::receipt::is_part_deductible;
use super::{Gift, GiftStatus, Returned, What, receipt, store};
use crate::db::Tx;
use crate::error::Result;
use crate::web::words;

/// Stores what the receipts for an event's gifts were made from, if they say what they
/// would have said about the gift as it is. Any other stays out of date.
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
mod tests;
