use super::*;
use crate::gates::usual::usual;
use time::OffsetDateTime;

fn gate(details: &Details) -> Gate {
    Gate { id: 1, event_id: 1, details: details.clone(), adopted: None, version: 1 }
}

#[test]
fn what_the_form_shows_reads_back_the_same() {
    for details in usual() {
        assert_eq!(&GateForm::of(&gate(details)).read(None).unwrap(), details);
    }
    let adopted = Some(crate::gates::gate::Adopted { by: "Dele Aldous".to_owned(), at: OffsetDateTime::UNIX_EPOCH });
    assert!(Gate { adopted, ..gate(&usual()[0]) }.is_adopted());
}

#[test]
fn what_is_wrong_is_said_at_its_field() {
    let number = GateForm {
        name: "Wind".to_owned(),
        reader: "weather watcher".to_owned(),
        measure: "wind speed".to_owned(),
        red: "15".to_owned(),
        ..GateForm::fresh()
    };
    assert!(number.read(None).is_ok());
    let choice =
        |choices: &str| GateForm { measure: "choice".to_owned(), choices: choices.to_owned(), ..number.clone() };
    assert_eq!(choice("good: dry\nHold: damp\nno burn: soaked").read(None).unwrap().choices.len(), 3);
    let wrong: [(GateForm, &str); 9] = [
        (GateForm { name: String::new(), ..number.clone() }, "name"),
        (GateForm { red: String::new(), ..number.clone() }, "red"),
        (GateForm { red: "fast".to_owned(), ..number.clone() }, "red"),
        (GateForm { red: "1e9".to_owned(), ..number.clone() }, "red"),
        (GateForm { amber: "20".to_owned(), ..number.clone() }, "amber"),
        (GateForm { fresh: "0".to_owned(), ..number.clone() }, "fresh"),
        (GateForm { decisions: vec!["never".to_owned()], ..number.clone() }, "decisions"),
        (choice("good: dry\ngood: damp"), "choices"),
        (choice("good: dry\nsoaked"), "choices"),
    ];
    for (form, field) in wrong {
        let mistakes = form.read(None).unwrap_err();
        assert!(!mistakes.of(field).is_empty() && mistakes.count() == 1, "{field}: {form:?}");
    }
    let low = GateForm { worse: WORSE[1].to_owned(), amber: "20".to_owned(), ..number };
    assert_eq!(low.read(None).unwrap().worse, Worse::Below);
}
