use super::*;

fn details(name: &str, phone: &str, mail: &str) -> Details {
    Details { phone: phone.to_owned(), mail: mail.to_owned(), ..Details::of_name(name) }
}

#[test]
fn two_of_the_same_name_are_one_person_if_one_can_reach_both_the_same_way() {
    let known = details("Tomás Brandt", "(312) 555-0117", "tomas@example.org");
    for (name, phone, mail, is_one) in [
        ("tomas brandt", "", "TOMAS@example.org", true),
        ("Tomás Brandt", "+1 312 555 0117", "", true),
        ("Tomás Brandt", "", "", false),
        ("Tomás Brandt", "312-555-0118", "t@example.org", false),
        ("Ana Ruiz", "312-555-0117", "tomas@example.org", false),
    ] {
        assert_eq!(is_same(&known, &details(name, phone, mail)), is_one, "{name} {phone} {mail}");
    }
    assert!(!is_same(&details("Ana Ruiz", "", ""), &details("Ana Ruiz", "", "")), "neither has any");
}

#[test]
fn what_is_known_stays_and_what_is_missing_is_filled_in() {
    let known = details("Ana Ruiz", "555-0117", "");
    let new = Details { organization: "Bend High".to_owned(), ..details("Ana Ruiz", "555-0118", "ana@example.org") };
    let after = completed(&known, &new);
    assert_eq!((after.phone.as_str(), after.mail.as_str()), ("555-0117", "ana@example.org"));
    assert_eq!(after.organization, "Bend High");
    let said = was_known(&known, &new);
    assert!(said.contains(&words::phone("555-0117")), "the phone differs: {said}");
    assert!(!said.contains("email") && !said.contains("organization"), "these were filled in: {said}");
}
