use super::super::Cents;
use super::super::testing::{received, value};
use super::*;

fn text(what: What, returned: Returned) -> String {
    old_text(&received(what, returned), "Alder Bend Fire District").unwrap()
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
    let goods =
        What::Goods { description: "folding chairs".to_owned(), quantity: "40".to_owned(), value: Some(value(98_765)) };
    assert_eq!(
        text(goods, Returned::Nothing),
        format!(
            "{BEGIN}Given: folding chairs\nQuantity: 40\nGiven in return: No goods or services were given in \
             return for this gift.\nA receipt describes what was given and puts no value on it; that is for the \
             giver to do."
        )
    );
}
