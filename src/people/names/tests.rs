use super::parts::joined;
use super::*;
use crate::people::{Details, fold};
use proptest::prelude::*;

#[test]
fn only_two_plain_words_are_split() {
    for (name, surname) in [
        ("Ray Ortiz", "Ortiz"),
        ("Tomás Łukasz", "Łukasz"),
        ("R. Ortiz", "Ortiz"),
        ("Anne-Marie O'Neil", "O'Neil"),
        ("Ben McAllister", "McAllister"),
    ] {
        assert_eq!(split(name).1, surname, "{name}");
    }
    for name in [
        "Cher",
        "Maria de la Cruz",
        "Mary Ann Holt",
        "Ray Ortiz Jr.",
        "Ortiz, Ray",
        "Ortiz R.",
        "Chief Ortiz",
        "Dr. Keyes",
        "de Groot",
        "Van Buren",
        "Ortiz Jr.",
        "Keyes MD",
        "Person 12",
        "News Desk",
        "Ray  Ortiz",
        "Ray\u{a0}J. Ortiz",
        "Ray (Sr)",
        "Ana/Ivo Ruiz",
        ". Ortiz",
        "",
    ] {
        assert_eq!(split(name), (name, ""), "{name}");
    }
}

#[test]
fn lists_show_the_surname_first_and_sort_by_it() {
    let name = |given: &str, surname: &str| Details::of_parts(given, surname);
    for (details, listed) in [
        (name("Ray", "Ortiz"), "Ortiz, Ray"),
        (name("Ray", "Ortiz Jr."), "Ortiz, Ray, Jr."),
        (name("Ray J.", "Ortiz, III"), "Ortiz, Ray J., III"),
        (name("Maria", "de la Cruz"), "de la Cruz, Maria"),
        (name("Cher", ""), "Cher"),
        (name("", "Vance"), "Vance"),
    ] {
        assert_eq!(details.listed(), listed);
    }
    let mut all = [
        name("Ana", "Ortiz Lopez"),
        name("Zoe", "Ortiz"),
        name("Ray", "Ortíz Jr."),
        name("Ray", "ORTIZ-BELL"),
        name("Cher", ""),
        name("Ivo", "Adair"),
    ];
    all.sort_by_cached_key(Details::sorts_as);
    let names: Vec<String> = all.iter().map(Details::listed).collect();
    let sorted = ["Adair, Ivo", "Cher", "Ortíz, Ray, Jr.", "Ortiz, Zoe", "Ortiz Lopez, Ana", "ORTIZ-BELL, Ray"];
    assert_eq!(names, sorted);
}

#[test]
fn a_letter_begins_with_a_title_or_the_full_name() {
    let person = |given: &str, surname: &str, office: &str, form: &str| Details {
        office: office.to_owned(),
        address_form: form.to_owned(),
        ..Details::of_parts(given, surname)
    };
    for (details, dear) in [
        (person("Marguerite", "Vance", "Mayor", ""), "Dear Mayor Vance:"),
        (person("Yusra", "Halloran", "State Senator, District 12", ""), "Dear Senator Halloran:"),
        (person("Ambrose", "Keyes", "", "Mr."), "Dear Mr. Keyes:"),
        (person("Ambrose", "Keyes", "", ""), "Dear Ambrose Keyes:"),
        (person("Ambrose", "Keyes Jr.", "Mayor", ""), "Dear Mayor Keyes:"),
        (person("Ambrose", "Keyes Jr.", "", ""), "Dear Ambrose Keyes Jr.:"),
        (person("Marguerite", "Vance", "Mayor", "Dr."), "Dear Dr. Vance:"),
        (person("Marguerite", "Vance", "Former mayor", ""), "Dear Marguerite Vance:"),
        (person("Nell", "Harrow", "Chief of staff", ""), "Dear Nell Harrow:"),
        (person("Maria de la Cruz", "", "Mayor", ""), "Dear Mayor Maria de la Cruz:"),
        (person("Chief Ortiz", "", "Fire Chief", ""), "Dear Chief Ortiz:"),
        (person("", "Vance", "Mayor", ""), "Dear Mayor Vance:"),
        (person("Cher", "", "", "Ms."), "Dear Ms. Cher:"),
    ] {
        assert_eq!(details.salutation(), dear);
    }
    assert_eq!(person("Marguerite", "Vance", "Mayor", "").in_full(), "The Honorable Marguerite Vance");
    assert_eq!(person("Hon. Marguerite Vance", "", "Mayor", "").in_full(), "Hon. Marguerite Vance");
    assert_eq!(person("Priya", "Okafor", "Owner", "").in_full(), "Priya Okafor");
}

#[test]
fn a_friendly_message_greets_by_the_given_name_and_officials_formally() {
    for (given, surname, called) in [
        ("Ray", "Ortiz", "Ray"),
        ("Ray J.", "Ortiz", "Ray"),
        ("Mary Ann", "Holt", "Mary Ann"),
        ("Dr. Priya", "Okafor", "Priya"),
        ("", "Vance", "Vance"),
        ("Cher", "", "Cher"),
        ("Maria de la Cruz", "", "Maria"),
        ("Coach Keller", "", "Coach Keller"),
        ("Okafor, Priya", "", "Okafor, Priya"),
    ] {
        let details = Details::of_parts(given, surname);
        assert_eq!((details.called(), details.dear_official().as_str()), (called, ""));
    }
    let mayor = Details { office: "Mayor".to_owned(), ..Details::of_parts("Marguerite", "Vance") };
    assert_eq!(mayor.dear_official(), "Dear Mayor Vance:");
}

#[test]
fn the_parts_in_a_file_count_and_the_full_name_adds_to_them() {
    for (name, given, surname, form, parts) in [
        ("Ray Ortiz", "", "", "", ("Ray", "Ortiz")),
        ("Ray J. Ortiz", "Ray", "Ortiz", "", ("Ray J.", "Ortiz")),
        ("Ortiz, Ray", "Ray", "Ortiz", "", ("Ray", "Ortiz")),
        ("", "Ray", "Ortiz", "", ("Ray", "Ortiz")),
        ("Dr. Priya Okafor", "Priya", "Okafor", "Dr.", ("Priya", "Okafor")),
        ("Dr. Keyes", "Dr. Keyes", "", "Dr.", ("Dr. Keyes", "")),
        ("Sky Blue", "Sky Blue", "", "", ("Sky Blue", "")),
        ("Vance", "", "Vance", "", ("", "Vance")),
        // The surname first, as in Hungary and China.
        ("Nagy Ilona", "Ilona", "Nagy", "", ("Nagy Ilona", "")),
        ("Maria de la Cruz", "Maria", "de la Cruz", "", ("Maria", "de la Cruz")),
    ] {
        assert_eq!(agreed(name, given, surname, form), parts, "{name}");
    }
}

#[test]
fn another_name_keeps_the_surname_it_ends_with() {
    let maria = Details::of_parts("Maria", "de la Cruz");
    assert_eq!(maria.clone().renamed("Ana Maria de la Cruz").surname, "de la Cruz");
    assert_eq!(maria.clone().renamed("Maria Ruiz").surname, "Ruiz");
    assert_eq!(maria.renamed("Maria Ruiz Holt").surname, "");
    let whole = Details::of_parts("Sky Blue", "");
    assert_eq!(whole.renamed("Sky Blue").surname, "", "what someone decided stays");
}

proptest! {
    #[test]
    fn the_parts_of_a_name_make_the_name(name in "[^\\s][\\PC ]{0,30}[^\\s]|[A-Z][a-z.]{0,8} [A-Z][a-z.]{0,8}") {
        let (given, surname) = split(&name);
        prop_assert_eq!(joined(given, surname), name.as_str());
        let details = Details::of_name(&name);
        prop_assert_eq!(details.given_name(), given);
        prop_assert_eq!(&details.surname, surname);
    }

    #[test]
    fn no_letter_is_lost_in_a_list(given in "[A-Z][a-z]{0,6}( [A-Z]\\.)?", surname in "([a-z]{2,3} )?[A-Z][a-z]{1,8}(,? (Jr|Sr)\\.| III)?") {
        let details = Details::of_parts(&given, &surname);
        prop_assert_eq!(details.given_name(), given.as_str());
        let letters = |text: &str| {
            let mut letters: Vec<char> = text.chars().filter(|c| c.is_alphabetic()).collect();
            letters.sort_unstable();
            letters
        };
        prop_assert_eq!(letters(&details.listed()), letters(&details.name));
        prop_assert_eq!(letters(&details.sorts_as()), letters(&fold(&details.name)));
    }
}
