use super::*;
use time::macros::date;

const TODAY: Date = date!(2026 - 11 - 25);

fn typed() -> GiftForm {
    GiftForm { what: "sheets of gypsum board".to_owned(), quantity: "12".to_owned(), ..GiftForm::fresh("7", TODAY) }
}

#[test]
fn a_form_reads_back_as_it_was_typed() {
    let full = GiftForm {
        state: "received".to_owned(),
        received_on: "2026-11-24".to_owned(),
        taken_by: "Tomás Brandt".to_owned(),
        in_return: "something".to_owned(),
        return_what: "Six reserved seats".to_owned(),
        return_worth: "60.00".to_owned(),
        recognition: "agreed".to_owned(),
        credited_as: "Walls by Bend Lumber Yard".to_owned(),
        agreed_by: "Gideon Astley".to_owned(),
        agreed_on: "2026-11-02".to_owned(),
        worth: "310.00".to_owned(),
        basis: "giver's word".to_owned(),
        value_on: "2026-11-02".to_owned(),
        value_by: "Gideon Astley".to_owned(),
        promised_by: "2026-11-30".to_owned(),
        ..typed()
    };
    let details = full.read(TODAY).unwrap();
    let (person, organization) = ("Gideon Astley".to_owned(), "Bend Lumber Yard".to_owned());
    let gift = Gift { id: 1, event_id: 1, person, organization, details: details.clone(), version: 0 };
    let again = GiftForm::of(&gift, TODAY);
    for field in FORM {
        assert_eq!((field.of)(&again), (field.of)(&full), "{}", field.name);
    }
    assert_eq!((again.in_name.as_str(), again.basis.as_str()), (full.in_name.as_str(), full.basis.as_str()));
    assert_eq!(again.read(TODAY), Ok(details));
}

#[test]
fn goods_are_described_without_a_value() {
    for (what, quantity) in [("boards, worth a lot", "1"), ("boards for $80", "1"), ("boards", "80 dollars")] {
        let form = GiftForm { what: what.to_owned(), quantity: quantity.to_owned(), ..typed() };
        let mistakes = form.read(TODAY).unwrap_err();
        assert_eq!(mistakes.count(), 1, "{what}");
    }
    let mistakes = GiftForm { amount: "80".to_owned(), ..typed() }.read(TODAY).unwrap_err();
    assert!(!mistakes.of("amount").is_empty());
}

#[test]
fn what_was_agreed_received_or_given_in_return_is_said_in_full() {
    let form = GiftForm {
        state: "received".to_owned(),
        received_on: "2026-11-26".to_owned(),
        in_return: "something".to_owned(),
        recognition: "agreed".to_owned(),
        promised_by: "2026-11-01".to_owned(),
        worth: "5".to_owned(),
        ..typed()
    };
    let mistakes = form.read(TODAY).unwrap_err();
    for field in [
        "received_on",
        "taken_by",
        "return_what",
        "return_worth",
        "credited_as",
        "agreed_by",
        "agreed_on",
        "promised_by",
        "value_on",
        "value_by",
    ] {
        assert!(!mistakes.of(field).is_empty(), "{field}");
    }
    assert_eq!(mistakes.count(), 10);
}
