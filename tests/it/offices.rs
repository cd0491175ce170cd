//! Offices by their usual forms, and who is in their own jurisdiction.

use crate::support::{Answer, TestApp, dump};
use burnday::accounts;
use burnday::calc::homes::Home;
use std::process::Command;

async fn add(test: &TestApp, name: &str, office: &str, jurisdiction: &str) -> String {
    let fields = [("side", "official"), ("name", name), ("office", office), ("jurisdiction", jurisdiction)];
    let answer = test.olga().await.post("/events/1/guests/new", &fields).await;
    assert_eq!(answer.status, 303, "{}", answer.body);
    answer.location().to_owned()
}

async fn our_home(test: &TestApp, fields: &[(&str, &str)]) {
    let mut olga = test.olga().await;
    let mut form = olga.get("/settings/department").await.form();
    for (name, value) in fields {
        form = form.with(name, value);
    }
    let answer = olga.submit("/settings/department", &form).await;
    assert_eq!(answer.status, 303, "{}", answer.body);
}

#[tokio::test]
async fn a_guest_finds_the_office_by_its_usual_form() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for (number, (office, place, level, address)) in [
        ("Congresswoman", "United States representative", "federal", "The Honorable"),
        ("Chief of the Fire Department", "Visiting fire chief", "regional", "Chief"),
        ("County Commissioner", "Commissioner", "regional", "The Honorable"),
        ("Superintendent", "Superintendent of schools", "local", ""),
        ("Alder County Sheriff", "Sheriff", "regional", "Sheriff"),
        ("Alderman, Ward 3", "Council member", "local", "The Honorable"),
    ]
    .into_iter()
    .enumerate()
    {
        let guest = add(&test, &format!("Guest Number {number}"), office, "").await;
        assert!(olga.get(&guest).await.all("[data-missing=office]").is_empty(), "{office}");
        let edit = olga.get(&format!("{guest}/edit")).await;
        assert!(edit.text("#office option[selected]").ends_with(place), "{office}: {}", edit.text("#office"));
        assert_eq!(edit.text("#level option[selected]"), level, "{office}");
        assert_eq!(edit.value("address"), address, "{office}");
    }
    assert!(olga.get("/events/1/guests").await.all("[data-missing=office]").is_empty());
}

#[tokio::test]
async fn an_office_that_isnt_known_says_so_with_the_nearest_and_is_chosen_in_two_presses() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let guest = add(&test, "Ada Quill", "Fire Comissioner", "Alder County").await;
    let rep = add(&test, "Ben Rowe", "Rep.", "").await;
    let poet = add(&test, "Cy Lark", "Poet laureate", "").await;
    let nearest = |page: &Answer| page.attributes("[data-missing=office] a[data-office]", "data-office");
    for (guest, office, offered) in [
        (&guest, "Fire Comissioner", vec!["Commissioner"]),
        (&rep, "Rep.", vec!["United States representative", "State representative"]),
        (&poet, "Poet laureate", vec![]),
    ] {
        let page = olga.get(guest).await;
        let told = page.text("[data-missing=office]");
        assert_eq!(nearest(&page), offered, "{office}");
        assert!(told.contains(office) && offered.iter().all(|name| told.contains(name)), "{told}");
    }
    let page = olga.get(&guest).await;
    let list = olga.get("/events/1/guests").await.text("[data-missing=office]");
    assert!(list.contains("Ada Quill") && list.contains("Ben Rowe") && list.contains("Cy Lark"), "{list}");

    let choose = page.attributes("[data-missing=office] a", "href")[0].clone();
    let form = olga.get(&choose).await;
    assert!(form.text("#office option[selected]").ends_with("Commissioner"));
    assert_eq!(olga.submit(&format!("{guest}/edit"), &form.form()).await.status, 303);
    assert!(olga.get(&guest).await.all("[data-missing=office]").is_empty());
    let edit = olga.get(&format!("{guest}/edit")).await;
    assert_eq!(
        (edit.text("#level option[selected]").as_str(), edit.value("address").as_str()),
        ("regional", "The Honorable")
    );
    // Looking alone changes nothing.
    olga.get(&format!("{rep}/edit?office=3")).await;
    assert!(!olga.get(&rep).await.all("[data-missing=office]").is_empty());
}

/// The mayor is first in the mayor's own town (protocol manual of Guam, section
/// 2.1.2; R. Hickey, greatplacesdirectory.com/news/44).
#[tokio::test]
async fn the_mayor_is_first_at_home_and_no_other_mayor_is() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let visitor = add(&test, "Gwen Achebe", "Mayor", "Northbend").await;
    let senator = add(&test, "Yusra Halloran", "State Senator", "District 12").await;
    let mayor = add(&test, "Marguerite Vance", "Mayor", "City of Alder Bend").await;
    // The department's location isn't set: as before, and the pages say so.
    assert!(!olga.get("/events/1/guests").await.all("[data-missing=home]").is_empty());
    let (told, lacks) = (olga.get("/settings").await.text("[data-missing=home]"), Home::default().lacks());
    assert!(lacks.len() == 3 && lacks.iter().all(|part| told.contains(part)), "{told}");
    let names = |page: &Answer| page.all(".list .t a");
    let before = names(&olga.get("/events/1/guests").await);
    assert!(before[0].contains("Halloran"), "{before:?}");

    let home = [("city", "Alder Bend"), ("county", "Alder County"), ("state", "IA"), ("senate_district", "12")];
    our_home(&test, &home).await;
    assert!(olga.get("/settings").await.all("[data-missing=home]").is_empty());
    let page = olga.get("/events/1/guests").await;
    assert!(page.all("[data-missing=home]").is_empty());
    let order = names(&page);
    assert!(order[0].contains("Vance") && order[1].contains("Halloran") && order[2].contains("Achebe"), "{order:?}");
    for (guest, home) in [(&mayor, "host"), (&visitor, "visiting"), (&senator, "own")] {
        let page = olga.get(guest).await;
        assert_eq!([page.mark("[data-home]", "home"), page.mark("[data-home]", "by")], [home, "jurisdiction"]);
    }
    // The same mayor is a visitor where the department is another city's.
    our_home(&test, &[("city", "Northbend")]).await;
    let order = names(&olga.get("/events/1/guests").await);
    assert!(order[0].contains("Achebe") && order[2].contains("Vance"), "{order:?}");
}

#[tokio::test]
async fn where_the_department_is_can_be_said_at_set_up_and_stays_when_something_is_wrong() {
    let test = TestApp::empty().await;
    let link = test.app.db.write(|tx| Box::pin(async move { accounts::set_up_link(tx, crate::support::NOW).await }));
    let link = format!("/set-up/{}", link.await.unwrap().unwrap().reveal());
    let mut stranger = test.stranger();
    let form = stranger.get(&link).await.form().with("department", "Alder Bend Fire District");
    let form = form.with("zone", "America/Chicago");
    let form = form.with("name", "Olga Wren").with("mail", "olga@example.org").with("city", "Alder Bend");
    let form = form.with("county", "Alder County").with("state", "Iowa").with("congress_district", "4");
    let wrong = stranger.submit(&link, &form.clone().with("password", "short")).await;
    assert_eq!((wrong.status, wrong.value("city").as_str()), (422, "Alder Bend"));
    let long = "x".repeat(101);
    let wrong =
        stranger.submit(&link, &form.clone().with("password", "four quiet grey herons").with("county", &long)).await;
    assert_eq!((wrong.status, wrong.value("county")), (422, long));
    assert!(!wrong.text("#county-mistake").is_empty());
    let done = stranger.submit(&link, &form.with("password", "four quiet grey herons")).await;
    assert_eq!(done.status, 303, "{}", done.body);
    let home = accounts::department(test.app.db.read()).await.unwrap().unwrap().home;
    assert_eq!(
        (home.city.as_str(), home.county.as_str(), home.congress_district.as_str()),
        ("Alder Bend", "Alder County", "4")
    );
}

#[tokio::test]
async fn two_who_change_where_the_department_is_see_both_texts() {
    let test = TestApp::set_up().await;
    let mut olga = test.olga().await;
    let form = olga.get("/settings/department").await.form();
    our_home(&test, &[("city", "Alder Bend"), ("other_places", "Oxbow\nDistrict 9")]).await;
    let late = olga.submit("/settings/department", &form.with("city", "Northbend")).await;
    assert_eq!(late.status, 409);
    assert!(late.says("Alder Bend") && late.says("Northbend"), "{}", late.body);
    let page = olga.get("/settings/department").await;
    assert_eq!(page.text("#other_places"), "Oxbow District 9");
    assert!(test.dump().contains("Alder Bend"), "the journal keeps it");
}

/// Runs SQL on a store file.
fn sql(path: &std::path::Path, text: &str) {
    let file = tempfile::NamedTempFile::new().unwrap();
    std::fs::write(file.path(), text).unwrap();
    let read = format!(".read {}", file.path().display());
    let shell = Command::new("sqlite3").arg("-bail").arg(path).arg(read).output().unwrap();
    assert!(shell.status.success(), "{}", String::from_utf8_lossy(&shell.stderr));
}

/// The statements of the migrations with numbers from one to another.
fn migrations(from: &str, below: &str) -> String {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations");
    let mut files: Vec<_> = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    let name = |path: &std::path::PathBuf| path.file_name().unwrap().to_str().unwrap().to_owned();
    let wanted = files.into_iter().filter(|path| name(path).as_str() >= from && name(path).as_str() < below);
    wanted.map(|path| std::fs::read_to_string(path).unwrap()).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_store_in_use_keeps_its_places_and_a_list_that_was_changed() {
    let folder = tempfile::tempdir().unwrap();
    let (path, own) = (folder.path().join("old.db"), folder.path().join("own.db"));
    for store in [&path, &own] {
        sql(store, &migrations("0001", "0070"));
        sql(store, "insert into department (id, name, zone, phone) values (1, 'Alder Bend', 'America/Chicago', '')");
    }
    sql(&path, "update guest_habit set places = 'Alder Bend' || char(10) || 'District 12'");
    sql(
        &own,
        "update guest_habit set version = 2; update office set name = 'High sheriff', place = 0 where place = 15",
    );
    for store in [&path, &own] {
        sql(store, &migrations("0070", "0072"));
    }
    let old = dump(&path);
    assert!(old.contains("District 12"), "the places moved to the department");
    assert!(old.contains("13,'Sheriff'") && old.contains("14,'Superintendent of schools'"), "{old}");
    assert!(old.contains("15,'Visiting fire chief'"), "{old}");
    let own = dump(&own);
    assert!(!own.contains("'Sheriff'") && own.contains("0,'High sheriff'") && own.contains("13,'Visiting fire chief'"));
}
