use super::searching::{LOOKS, search};
use super::*;
use crate::people::{Details, Person};
use std::collections::HashSet;

fn person(id: i64, name: &str, organization: &str, mail: &str, phone: &str) -> Person {
    let details = Details {
        organization: organization.to_owned(),
        mail: mail.to_owned(),
        phone: phone.to_owned(),
        ..Details::of_name(name)
    };
    Person { id, details, refused: String::new(), version: 1 }
}

fn found(people: &[Person]) -> Vec<String> {
    let pairs = pairs(people, &HashSet::new(), || false).unwrap();
    let reasons = |pair: &Pair| pair.reasons.iter().map(|reason| reason.as_str()).collect::<Vec<_>>().join(" ");
    pairs.iter().map(|pair| format!("{}-{} {}", pair.one, pair.other, reasons(pair))).collect()
}

#[test]
fn one_person_in_different_spellings_is_found() {
    for other in [
        "Okafor, Priya",
        "PRIYA OKAFOR",
        "Dr. Priya Okafor",
        "P. Okafor",
        "Okafor P",
        "Prya Okafor",
        "Priya Okafar",
        "Priya N. Okafor",
        "Príya Okáfor",
    ] {
        let people =
            [person(1, "Priya Okafor", "Alder Bend Hardware", "", ""), person(2, other, "alder bend hardware", "", "")];
        assert_eq!(found(&people).len(), 1, "{other}");
    }
}

#[test]
fn two_people_are_not_taken_for_one() {
    for (one, other) in [
        ("Priya Okafor", "Priya Okonkwo"),
        ("Ana Ruiz", "Ana Marsh"),
        ("Jun Castellane", "Jan Castel"),
        ("Dele Aldous", "Wren Ibarra"),
        ("P. Okafor", "Q. Okafor"),
        ("Ana", "Ana Ruiz"),
    ] {
        let people = [person(1, one, "Alder Bend Hardware", "", ""), person(2, other, "Alder Bend Hardware", "", "")];
        assert_eq!(found(&people), Vec::<String>::new(), "{one}, {other}");
    }
}

#[test]
fn the_reason_is_named() {
    let people = [
        person(1, "Ana Ruiz", "", "ana@example.org", "(312) 555-0117"),
        person(2, "A. Ruiz", "", "", "+1 312 555 0117"),
        person(3, "Odette Marsh", "", "ANA@example.org", ""),
    ];
    assert_eq!(found(&people), ["1-2 same-phone names-alike", "1-3 same-mail different-names"]);
}

#[test]
fn an_office_with_one_phone_is_not_full_of_duplicates() {
    let names =
        ["Ana Ruiz", "Odette Marsh", "Dele Aldous", "Wren Ibarra", "Jun Castellane", "Tomás Brandt", "Ivo Lund"];
    let people: Vec<Person> =
        (1..).zip(names).map(|(id, name)| person(id, name, "County", "desk@example.org", "555-0100")).collect();
    assert_eq!(found(&people), Vec::<String>::new());
}

#[test]
fn a_pair_marked_as_two_people_is_not_shown_again() {
    let people = [person(1, "Ana Ruiz", "", "", ""), person(2, "Ana Ruiz", "", "", "")];
    assert_eq!(pairs(&people, &HashSet::new(), || false).unwrap().len(), 1);
    assert_eq!(pairs(&people, &HashSet::from([(1, 2)]), || false).unwrap(), []);
}

#[test]
fn twenty_thousand_rows_need_few_comparisons() {
    let syllables = ["ba", "de", "ki", "lo", "mu", "ra", "se", "ti", "vo", "zu", "an", "el"];
    let word = |n: usize| [n, n / 12, n / 144].map(|n| syllables[n % 12]).concat();
    let mixed = |n: usize| format!("{} {}", word(n * 7 % 900), word(n * 13 % 1_400));
    let alike = |n: usize| format!("Person {n}");
    let same = |_: usize| "Guest".to_owned();
    // Twelve single letters, a few of them different in each.
    let letters = |n: usize| {
        let letter = |at: usize| char::from(b'a' + u8::try_from((at * 3 + n / (at + 1)) % 26).unwrap());
        (0..12).flat_map(|at| [letter(at), ' ']).collect::<String>()
    };
    for name in [&mixed as &dyn Fn(usize) -> String, &alike, &same, &letters] {
        let one = |n: usize| {
            let (organization, mail) = (format!("Organization {}", n % 300), format!("p{n}@example.org"));
            person(i64::try_from(n).unwrap(), &name(n), &organization, &mail, &format!("555-{n:05}"))
        };
        let people: Vec<Person> = (0..20_000).map(one).collect();
        let (_, compared) = search(&people, &HashSet::new(), || false).unwrap();
        // Every row with every other would be 200 million. The benchmark says how long this takes.
        assert!(compared <= 20_000 * LOOKS / 2, "{}: {compared}", name(1));
        assert_eq!(pairs(&people, &HashSet::new(), || true), None, "it stops when asked to");
    }
}
