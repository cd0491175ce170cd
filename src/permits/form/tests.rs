use super::*;
use time::macros::date;

const TODAY: Date = date!(2026 - 11 - 29);

fn known() -> PermitForm {
    let text = str::to_owned;
    PermitForm {
        title: text("Burn permit"),
        authority: text("County fire warden"),
        rule: text("days before"),
        days: text("10"),
        basis: text("working"),
        counted: text("received"),
        delivery: text("3"),
        dates: text("both"),
        learned_by: text("Priya Okafor"),
        learned_on: text("2026-11-20"),
        granted_on: text("2026-11-28"),
        expires_on: text("2027-01-05"),
        conditions: text("Hose line charged.\nNo one inside after ignition."),
        ..PermitForm::fresh("7")
    }
}

#[test]
fn a_form_reads_back_as_it_was_typed() {
    let details = known().read(TODAY).unwrap();
    let permit = Permit {
        id: 1,
        event_id: 1,
        key: None,
        details,
        person_id: None,
        sendings: vec![],
        read_back: None,
        version: 0,
    };
    let again = PermitForm::of(&permit);
    for field in FORM {
        assert_eq!((field.of)(&again), (field.of)(&known()), "{}", field.name);
    }
    assert_eq!(again.read(TODAY), Ok(permit.details));
}

#[test]
fn a_rule_is_kept_whole_or_not_at_all() {
    let days_alone = PermitForm {
        rule: "days before".to_owned(),
        title: "Burn permit".to_owned(),
        days: "10".to_owned(),
        ..PermitForm::fresh("7")
    };
    let mistakes = days_alone.read(TODAY).unwrap_err();
    for field in ["basis", "counted", "dates", "learned_by", "learned_on"] {
        assert!(!mistakes.of(field).is_empty(), "{field}");
    }
    let forgotten = PermitForm { rule: "not yet asked".to_owned(), ..known() }.read(TODAY).unwrap_err();
    assert!(!forgotten.of("rule").is_empty());
    let sent = PermitForm { counted: "sent".to_owned(), ..known() }.read(TODAY).unwrap_err();
    assert!(!sent.of("delivery").is_empty());
    let future = PermitForm { learned_on: "2026-12-01".to_owned(), ..known() }.read(TODAY).unwrap_err();
    assert!(!future.of("learned_on").is_empty());
    let short = PermitForm { expires_on: "2026-11-01".to_owned(), ..known() }.read(TODAY).unwrap_err();
    assert!(!short.of("expires_on").is_empty());
}
