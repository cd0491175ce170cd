//! Given name, surname and form of address: lists sort by the surname, and letters use both.

use crate::directory::{keep, look, names};
use crate::support::{NOW, TestApp};
use burnday::accounts::Role;
use burnday::db::journal::Actor;
use burnday::guests::{Details as Guest, Level, Side};
use burnday::people::{self, Details};

/// Someone with a surname of three words, as lists show them.
const MARIA: &str = "de la Cruz, Maria";

async fn add(test: &TestApp, details: Details) -> i64 {
    let add = test.app.db.write(move |tx| Box::pin(async move { people::add(tx, Actor::System, &details, NOW).await }));
    add.await.unwrap()
}

/// What the store holds about someone.
async fn known(test: &TestApp, id: i64) -> Details {
    people::find(&mut test.app.db.read().acquire().await.unwrap(), id).await.unwrap().unwrap().details
}

fn parts(details: &Details) -> (&str, &str, &str) {
    (details.given_name(), &details.surname, &details.address_form)
}

#[tokio::test]
async fn lists_are_in_the_order_of_surnames() {
    let test = TestApp::planned().await;
    for (given, surname) in [("Zoe", "Adair"), ("Ana", "Ruiz"), ("Maria", "de la Cruz"), ("Cher", "")] {
        add(&test, Details::of_parts(given, surname)).await;
    }
    let mut olga = test.olga().await;
    let all = ["Adair, Zoe", "Cher", MARIA, "Ruiz, Ana", "Wren, Olga"];
    assert_eq!(names(&mut olga, "").await, all);
    // They are found as a list shows them and as a sentence does.
    for q in [MARIA, "maria cruz"] {
        assert_eq!(names(&mut olga, q).await, [MARIA], "{q}");
    }
    let offered = olga.get("/events/1/replies/new").await.all("#whom ul:not([data-chosen]) bdi");
    assert_eq!(offered, ["Zoe Adair", "Cher", "Maria de la Cruz", "Ana Ruiz", "Olga Wren"]);
    let typed: Vec<String> = serde_json::from_str(&olga.get("/people/names?q=a").await.body).unwrap();
    assert_eq!(typed, ["Zoe Adair", "Maria de la Cruz", "Ana Ruiz", "Olga Wren"]);
    let table = olga.get("/people/export.csv").await.body;
    let order: Vec<&str> = table.lines().skip(1).map(|line| line.split(',').next().unwrap()).collect();
    assert_eq!(order, ["Zoe Adair", "Cher", "Maria de la Cruz", "Ana Ruiz", "Olga Wren"]);
}

#[tokio::test]
async fn the_form_asks_where_a_surname_begins_until_someone_says() {
    let test = TestApp::planned().await;
    let id = add(&test, Details::of_name("Maria de la Cruz")).await;
    let path = format!("/people/{id}/edit");
    let mut olga = test.olga().await;
    let page = olga.get(&path).await;
    assert!(page.has("[data-asks=surname]"));
    assert_eq!((page.value("given_name"), page.value("surname")), ("Maria de la Cruz".to_owned(), String::new()));
    let form = page.form().with("given_name", "Maria").with("surname", "de la Cruz").with("address_form", "Ms.");
    assert_eq!(olga.submit(&path, &form).await.status, 303);
    assert_eq!(parts(&known(&test, id).await), ("Maria", "de la Cruz", "Ms."));
    let page = olga.get(&path).await;
    assert!(!page.has("[data-asks=surname]") && page.value("surname") == "de la Cruz");
    assert!(olga.get(&format!("/people/{id}")).await.says("Maria de la Cruz"));

    // Nobody is asked about a single name, and none is made of two.
    let single = page.form().with("given_name", "Cher").with("surname", "").with("address_form", "");
    assert_eq!(olga.submit(&path, &single).await.status, 303);
    assert!(!olga.get(&path).await.has("[data-asks=surname]"));
    assert_eq!(parts(&known(&test, id).await), ("Cher", "", ""));

    // What is wrong is said beside the field, and what was typed stays.
    let form = olga.get(&path).await.form();
    for (given, surname, wrong) in [("", " ", "given_name"), ("Ana", "x@example.org", "surname")] {
        let refused = olga.submit(&path, &form.clone().with("given_name", given).with("surname", surname)).await;
        assert_eq!((refused.status, refused.mistakes()), (422, vec![wrong.to_owned()]));
        assert_eq!(refused.value("surname"), surname);
    }
    let long = form.clone().with("given_name", &"a".repeat(60)).with("surname", &"b".repeat(60));
    assert_eq!(olga.submit(&path, &long).await.mistakes(), ["surname"], "both together are too long");
    assert_eq!(test.somebody(Role::CrewLead).await.submit(&path, &form).await.status, 403);
    assert!(test.stranger().submit(&path, &form).await.location().starts_with("/sign-in"));
}

#[tokio::test]
async fn two_who_change_a_surname_see_both_and_a_merge_keeps_the_parts_together() {
    let test = TestApp::planned().await;
    let whole = add(&test, Details::of_name("Maria de la Cruz")).await;
    let split =
        add(&test, Details { address_form: "Dr.".to_owned(), ..Details::of_parts("Maria", "de la Cruz") }).await;
    let mut olga = test.olga().await;
    let path = format!("/people/{split}/edit");
    let form = olga.get(&path).await.form();
    assert_eq!(olga.submit(&path, &form.clone().with("address_form", "Ms.")).await.status, 303);
    let stale = olga.submit(&path, &form.with("surname", "Cruz").with("given_name", "Maria de la")).await;
    assert_eq!(stale.status, 409);
    for shown in ["de la Cruz", "Maria de la", "Ms.", "Dr."] {
        assert!(stale.all("main td").iter().any(|cell| cell == shown), "{shown}: {}", stale.text("main"));
    }

    let merge = format!("/people/{whole}/merge");
    let page = olga.get(&format!("{merge}?with={split}")).await;
    let checked = page.attributes("input[name=name][checked]", "value");
    assert_eq!(checked, ["other"], "the one that says where the surname begins");
    assert!(!page.has("input[name=surname]"), "one choice for the whole name");
    assert_eq!(olga.submit(&merge, &page.form_at("main form[method=post]")).await.status, 303);
    assert_eq!(parts(&known(&test, whole).await), ("Maria", "de la Cruz", "Ms."));
    let entry = olga.get(&format!("/people/{whole}")).await.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{whole}/undo-merge"), &[("entry", &entry)]).await.status, 303);
    assert_eq!(parts(&known(&test, whole).await), ("Maria de la Cruz", "", ""));
    assert_eq!(parts(&known(&test, split).await), ("Maria", "de la Cruz", "Ms."));
    assert_eq!(names(&mut olga, "maria").await, [MARIA, "Maria de la Cruz"]);
}

#[tokio::test]
async fn an_account_with_another_name_is_listed_by_it() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/settings/accounts/1").await.form();
    assert_eq!(olga.submit("/settings/accounts/1", &form.with("name", "Olga Adair")).await.status, 303);
    assert_eq!(parts(&known(&test, 1).await), ("Olga", "Adair", ""));
    assert_eq!(names(&mut olga, "olga").await, ["Adair, Olga"]);
}

#[tokio::test]
async fn an_erased_person_leaves_no_surname() {
    let test = TestApp::planned().await;
    let details = Details { address_form: "Baroness".to_owned(), ..Details::of_parts("Zeb", "Vantongeren") };
    let id = add(&test, details).await;
    let mut olga = test.olga().await;
    assert_eq!(olga.post(&format!("/people/{id}/erase"), &[("version", "1")]).await.status, 303);
    let after = test.dump();
    assert!(!after.contains("Vantongeren") && !after.contains("Baroness") && after.contains(&people::erased(id)));
}

#[tokio::test]
async fn files_bring_the_parts_of_a_name() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let table = "First name;SURNAME;Name prefix;E-mail\nMaria;de la Cruz;Ms.;maria@example.org\nCher;;;\n;Vance;;\n";
    let cards = "BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Ray J. Ortiz\r\nN:Ortiz;Ray;J.;Mr.;Jr.\r\nEND:VCARD\r\n\
                 BEGIN:VCARD\r\nVERSION:3.0\r\nFN:Ivo Lund\r\nEND:VCARD\r\n";
    for (name, file) in [("a.csv", table), ("b.vcf", cards)] {
        let (number, page) = look(&mut olga, name, file.as_bytes()).await;
        assert_eq!((page.status, page.all(".note li")), (200, Vec::new()));
        assert_eq!(keep(&mut olga, &number).await.location(), "/people");
    }
    let people = people::everyone(&mut test.app.db.read().acquire().await.unwrap()).await.unwrap();
    let all: Vec<_> = people.iter().map(|person| parts(&person.details)).collect();
    let expected = [
        ("Cher", "", ""),
        ("Maria", "de la Cruz", "Ms."),
        ("Ivo", "Lund", ""),
        ("Ray J.", "Ortiz Jr.", "Mr."),
        ("", "Vance", ""),
        ("Olga", "Wren", ""),
    ];
    assert_eq!(all, expected);
}

#[tokio::test]
async fn letters_begin_as_someone_asked_or_with_an_official_title() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for (given, surname, office, form, dear) in [
        ("Marguerite", "Vance", "Mayor", "", "Mayor Vance"),
        ("Yusra", "Halloran", "State senator", "", "Senator Halloran"),
        ("Ambrose", "Keyes", "", "Mr.", "Mr. Keyes"),
        ("Ambrose", "Keyes", "", "", "Ambrose Keyes"),
        ("Maria de la Cruz", "", "", "", "Maria de la Cruz"),
    ] {
        let details = Details {
            office: office.to_owned(),
            address_form: form.to_owned(),
            jurisdiction: if office.is_empty() { String::new() } else { "Alder Bend".to_owned() },
            ..Details::of_parts(given, surname)
        };
        let person = add(&test, details).await;
        let guest = test.guest(person, Guest::of(Side::Official, Level::Local)).await;
        let letter = olga.get(&format!("/events/1/guests/letters?guest={guest}")).await;
        assert_eq!(letter.text("[data-dear]"), format!("Dear {dear}:"));
    }
}
