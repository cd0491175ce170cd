//! People: search, import, merge, erase.

use crate::support::{Answer, Browser, NOW, TestApp};
use axum::body::Body;
use axum::http::Request;
use burnday::accounts::{self, Role};
use burnday::db::journal::{self, Actor};
use burnday::error::Error;
use burnday::people::{self, Details};
use std::collections::HashSet;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use time::Duration;

fn details(name: &str, organization: &str, mail: &str, phone: &str) -> Details {
    Details {
        organization: organization.to_owned(),
        mail: mail.to_owned(),
        phone: phone.to_owned(),
        ..Details::of_name(name)
    }
}

async fn add(test: &TestApp, details: Details) -> i64 {
    let add = test.app.db.write(move |tx| Box::pin(async move { people::add(tx, Actor::System, &details, NOW).await }));
    add.await.unwrap()
}

pub async fn names(browser: &mut Browser, q: &str) -> Vec<String> {
    browser.get(&format!("/people?q={}", burnday::web::query::query_escape(q))).await.all(".people .t > a")
}

fn upload(name: &str, bytes: &[u8]) -> Request<Body> {
    let mut body = format!(
        "--edge\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\n\
         Content-Type: application/octet-stream\r\n\r\n"
    )
    .into_bytes();
    body.extend(bytes);
    body.extend(b"\r\n--edge--\r\n");
    Request::post("/people/import/file")
        .header("content-type", "multipart/form-data; boundary=edge")
        .header("sec-fetch-site", "same-origin")
        .body(Body::from(body))
        .unwrap()
}

/// Uploads a file and returns the page that shows what is in it.
pub async fn look(browser: &mut Browser, name: &str, bytes: &[u8]) -> (String, Answer) {
    let answer = browser.send(upload(name, bytes)).await;
    assert_eq!(answer.status, 303, "{}", answer.body);
    let location = answer.location().to_owned();
    (location.split('=').nth(1).unwrap().to_owned(), browser.get(&location).await)
}

pub async fn keep(browser: &mut Browser, file: &str) -> Answer {
    browser.post("/people/import", &[("file", file), ("act", "keep")]).await
}

/// How often the journal has this verb about something with this title.
fn entries(test: &TestApp, verb: &str, title: &str) -> usize {
    let (verb, title) = (format!(",'{verb}',"), format!(",'{title}',"));
    rows(test, "journal").iter().filter(|row| row.contains(&verb) && row.contains(&title)).count()
}

/// Does a page of the journal have an entry by them about something with this title?
fn tells(page: &Answer, who: &str, title: &str) -> bool {
    page.all("main li").iter().any(|line| line.starts_with(who) && line.contains(title))
}

#[tokio::test]
async fn contact_details_are_for_people_who_need_them() {
    let test = TestApp::planned().await;
    let id = add(&test, details("Ana Ruiz", "", "ana@example.org", "555-0142")).await;
    let pages = ["/people", &format!("/people/{id}"), "/people/duplicates", "/people/export.csv", "/people/export.vcf"];
    let changing = ["/people/new", &format!("/people/{id}/edit"), "/people/import", &format!("/people/{id}/merge")];
    for (role, sees, keeps) in [
        (Role::EducationOfficer, 200, 200),
        (Role::InformationOfficer, 200, 200),
        (Role::SafetyOfficer, 200, 403),
        (Role::CrewLead, 200, 403),
        (Role::Timekeeper, 403, 403),
        (Role::Reader, 403, 403),
    ] {
        let mut browser = test.somebody(role).await;
        for page in pages {
            assert_eq!(browser.get(page).await.status, sees, "{role}: {page}");
        }
        for page in changing {
            assert_eq!(browser.get(page).await.status, keeps, "{role}: {page}");
        }
        assert_eq!(browser.send(upload("a.csv", b"Name\nA B\n")).await.status, if keeps == 200 { 303 } else { 403 });
        let links = browser.get("/").await;
        let page = browser.get(links.location()).await;
        assert_eq!(page.attributes(".me a", "href").contains(&"/people".to_owned()), sees == 200, "{role}");
        let journal = browser.get("/journal").await;
        assert!(tells(&journal, "Burnday", "Ana Ruiz"), "{}", journal.text("main"));
        assert_eq!(journal.says("ana@example.org"), sees == 200, "{role}");
    }
    assert_eq!(entries(&test, "added", "Ana Ruiz"), 1);
    let stranger = test.stranger().send(upload("a.csv", b"Name\nA B\n")).await;
    assert!(stranger.location().starts_with("/sign-in"));
}

#[tokio::test]
async fn someone_is_added_and_found_by_anything_known() {
    let test = TestApp::planned().await;
    let mut jun = test.somebody(Role::InformationOfficer).await;
    let form = jun.get("/people/new").await.form();
    let wrong =
        form.clone().with("given_name", "").with("mail", "nobody").with("phone", "call me").with("channel", "pigeon");
    let answer = jun.submit("/people/new", &wrong).await;
    assert_eq!(answer.status, 422);
    let fields = ["given_name", "mail", "phone", "channel"];
    assert_eq!(answer.mistakes(), fields);
    assert!(fields.iter().all(|field| !answer.mistake(field).is_empty()));
    assert_eq!(answer.value("mail"), "nobody");
    let right = form
        .with("given_name", "Tomás")
        .with("surname", "Łukasz")
        .with("address_form", "Mr.")
        .with("said", "TO-mash")
        .with("organization", "Café Alder & Söhne")
        .with("office", "Commissioner")
        .with("jurisdiction", "Alder County")
        .with("mail", "tomas@example.org")
        .with("phone", "(312) 555-0142")
        .with("notes", "Knows <b>everyone</b>.")
        .and("no_mail", "yes");
    let answer = jun.submit("/people/new", &right).await;
    assert_eq!(answer.status, 303);
    let page = jun.get(answer.location()).await;
    assert_eq!(page.status, 200);
    let who = page.fact("Who");
    for part in ["Commissioner", "Alder County", "Café Alder & Söhne"] {
        assert!(who.contains(part), "{part}: {who}");
    }
    assert_eq!(page.fact("Notes"), "Knows <b>everyone</b>.");
    assert_eq!((page.text("h1"), page.text("[data-listed]")), ("Tomás Łukasz".to_owned(), "Łukasz, Tomás".to_owned()));
    assert_eq!(page.fact("Form of address"), "Mr.");
    assert!(page.has("[data-warning~=no-announcements]"));
    assert!(page.all(".history li").iter().any(|line| line.contains("Tomás Łukasz")));
    assert_eq!(entries(&test, "added", "Tomás Łukasz"), 1);
    for q in [
        "tomas",
        "LUKASZ",
        "tomas lukasz",
        "Łukasz, Tomás",
        "łuk",
        "cafe sohne",
        "commissioner",
        "alder county",
        "tomas@",
        "555-0142",
        "3125550142",
    ] {
        assert_eq!(names(&mut jun, q).await, ["Łukasz, Tomás"], "{q}");
    }
    for q in ["tomasina", "%", "_", "tomas wren"] {
        assert_eq!(names(&mut jun, q).await, Vec::<String>::new(), "{q}");
    }
    assert!(jun.get("/people?q=%22%27%3Cb%3E&page=x").await.status < 500);
    let nobody = jun.get("/people?q=zzz").await;
    assert_eq!(nobody.mark("[data-found]", "found"), "0");
    assert!(nobody.text("[data-found]").contains("zzz"));
}

#[tokio::test]
async fn a_refused_email_is_shown_until_it_changes() {
    let test = TestApp::planned().await;
    let id = add(&test, details("Ana Ruiz", "", "ana@example.org", "")).await;
    sql(&test, &format!("update person set refused_at = 1, refused_why = '550 no such user' where id = {id}"));
    let mut olga = test.olga().await;
    assert!(olga.get("/people?q=ana").await.has(".people [data-warning~=refused]"));
    assert!(olga.get(&format!("/people/{id}")).await.says("550 no such user"));
    let form = olga.get(&format!("/people/{id}/edit")).await.form();
    olga.submit(&format!("/people/{id}/edit"), &form.with("mail", "ana.ruiz@example.org")).await;
    let page = olga.get("/people?q=ana").await;
    assert!(page.has(".people > li") && !page.has("[data-warning~=refused]"));
}

/// Runs a statement beside the app and returns what it finds.
fn sql(test: &TestApp, statement: &str) -> String {
    let path = test.folder.path().join(burnday::db::FILE);
    let done = std::process::Command::new("sqlite3").arg(path).arg(statement).output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    String::from_utf8(done.stdout).unwrap().trim().to_owned()
}

#[tokio::test]
async fn two_who_change_the_same_person_see_both_versions() {
    let test = TestApp::planned().await;
    let id = add(&test, details("Ana Ruiz", "", "", "")).await;
    let path = format!("/people/{id}/edit");
    let mut olga = test.olga().await;
    let form = olga.get(&path).await.form();
    assert_eq!(olga.submit(&path, &form.clone().with("phone", "555-0101")).await.status, 303);
    let answer = olga.submit(&path, &form.with("phone", "555-0102")).await;
    assert_eq!(answer.status, 409);
    assert!(answer.says("555-0101") && answer.says("555-0102"));
    let again =
        [("given_name", "Ana"), ("surname", "Ruiz"), ("phone", "555-0102"), ("version", &answer.value("version"))];
    assert_eq!(olga.post(&path, &again).await.status, 303);
    let history = olga.get(&format!("/people/{id}")).await.all(".history li");
    let changed = |line: &String| ["phone", "555-0101", "555-0102"].iter().all(|part| line.contains(part));
    assert_eq!(history.iter().filter(|line| changed(line)).count(), 1, "{history:?}");
}

#[tokio::test]
async fn a_file_is_previewed_then_imported_once_then_undone() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let file = "Full Name;Company;E-Mail;Telephone;Birthday\n\
                Ana Ruiz;Alder Bend Hardware;ana@example.org;555-0101;x\n\
                \"Marsh, Odette\";\"The \"\"Gazette\"\"\";;;\n";
    let (number, page) = look(&mut olga, "list.csv", file.as_bytes()).await;
    assert_eq!(page.status, 200);
    assert_eq!(page.mark("[data-file='list.csv']", "people"), "2");
    assert!(page.says("The \"Gazette\""));
    let chosen = page.attributes("select[name=column] option[selected]", "value");
    assert_eq!(chosen, ["name", "organization", "mail", "phone", ""]);
    assert_eq!(names(&mut olga, "ana ruiz").await, Vec::<String>::new());
    let waiting: Vec<_> = fs::read_dir(test.folder.path().join("incoming")).unwrap().map(Result::unwrap).collect();
    assert_eq!(waiting.len(), 1);
    assert_eq!(waiting[0].metadata().unwrap().permissions().mode() & 0o777, 0o600);

    let (first, second) = (keep(&mut olga, &number).await, keep(&mut olga, &number).await);
    assert_eq!((first.status, first.location()), (303, "/people"));
    assert_eq!(second.location(), "/people/import");
    assert_eq!(names(&mut olga, "ruiz").await, ["Ruiz, Ana"]);
    assert_eq!(names(&mut olga, "gazette").await, ["Marsh, Odette"]);
    assert_eq!(fs::read_dir(test.folder.path().join("incoming")).unwrap().count(), 0);
    assert!(tells(&olga.get("/journal").await, "Olga Wren", "list.csv"));
    assert_eq!(entries(&test, "brought in", "list.csv"), 1);

    let (undo, brought) = ([("import", number.as_str())], format!("[data-import='{number}']"));
    assert_eq!(olga.get("/people/import").await.mark(&brought, "state"), "done");
    for _ in 0..2 {
        olga.post("/people/import/undo", &undo).await;
        let page = olga.get("/people/import").await;
        assert!(!page.said().is_empty());
        assert_eq!(page.mark(&brought, "state"), "undone");
        assert_eq!(entries(&test, "took out again", "list.csv"), 1, "once");
    }
    assert_eq!(names(&mut olga, "ruiz").await, Vec::<String>::new());
    let people = |dump: &str| dump.lines().filter(|line| line.starts_with("INSERT INTO person")).count();
    assert_eq!(people(&before), people(&test.dump()));
}

#[tokio::test]
async fn two_clicks_at_once_import_a_file_once() {
    let test = TestApp::planned().await;
    let (mut one, mut other) = (test.olga().await, test.olga().await);
    let (number, _) = look(&mut one, "a.csv", b"Name\nAna Ruiz\n").await;
    let _ = tokio::join!(keep(&mut one, &number), keep(&mut other, &number));
    assert_eq!(names(&mut one, "ana ruiz").await, ["Ruiz, Ana"]);
}

#[tokio::test]
async fn an_import_stays_once_someone_in_it_was_used() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for (name, used) in [("Ana Ruiz", "task"), ("Ivo Lund", "change")] {
        let (number, _) = look(&mut olga, "a.csv", format!("Name\n{name}\nOther {used}\n").as_bytes()).await;
        keep(&mut olga, &number).await;
        let page = olga.get(&format!("/people?q={}", name.replace(' ', "+"))).await;
        let href = page.attributes(".people .t > a", "href")[0].clone();
        if used == "task" {
            let id = href.rsplit('/').next().unwrap();
            sql(&test, &format!("update task set owner_id = {id} where id = 1"));
        } else {
            let form = olga.get(&format!("{href}/edit")).await.form();
            assert_eq!(olga.submit(&format!("{href}/edit"), &form.with("notes", "Called.")).await.status, 303);
        }
        olga.post("/people/import/undo", &[("import", &number)]).await;
        let page = olga.get("/people/import").await;
        assert!(!page.said().is_empty(), "{used}");
        assert_eq!(page.mark(&format!("[data-import='{number}']"), "state"), "done", "{used}");
        let (given, surname) = name.split_once(' ').unwrap();
        assert_eq!(names(&mut olga, name).await, [format!("{surname}, {given}")]);
        assert_eq!(names(&mut olga, &format!("other {used}")).await.len(), 1);
    }
}

#[tokio::test]
async fn a_file_with_mistakes_adds_no_one_and_lists_each() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let file = format!(
        "Name,Mail,Phone,Notes\nAna Ruiz,ana@example.org,555-0101,\n,wren@example.org,,\nIvo Lund,ivo,none,\n\
         Odette Marsh,,,bad\u{0}cell\nDele Aldous,,,\"{}\"\nWren,,,,,more\n",
        "n".repeat(4_001)
    );
    let (number, page) = look(&mut olga, "a.csv", file.as_bytes()).await;
    let told = page.all(".note li");
    assert_eq!(page.attributes(".note li", "data-line"), ["3", "4", "4", "5", "6", "7"]);
    assert_eq!(page.attributes(".note li", "data-column"), ["1", "2", "3", "4", "4"]);
    assert!(!page.has("[data-line='7'][data-column]"), "the whole row");
    // The heading, and how long it is.
    let parts = [["Name", ""], ["Mail", ""], ["Phone", ""], ["Notes", ""], ["4001", "4000"], ["6", "4"]];
    for (line, parts) in told.iter().zip(parts) {
        assert!(parts.iter().all(|part| line.contains(part)), "{parts:?}: {line}");
    }
    insta::assert_snapshot!("people-file-problems", told.join("\n"));
    let answer = keep(&mut olga, &number).await;
    assert_eq!(answer.status, 422);
    assert_eq!(names(&mut olga, "ana ruiz").await, Vec::<String>::new());
}

#[tokio::test]
async fn columns_can_be_chosen_differently() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (number, page) = look(&mut olga, "a.csv", b"Wer,Wo,Name\nAna Ruiz,Alder Bend Hardware,Bakery\n").await;
    assert_eq!(page.status, 200);
    let chosen = [
        ("file", number.as_str()),
        ("column", "name"),
        ("column", "organization"),
        ("column", "office"),
        ("act", "look"),
    ];
    let answer = olga.post("/people/import", &chosen).await;
    let page = olga.get(answer.location()).await;
    let shown = page.attributes("select[name=column] option[selected]", "value");
    assert_eq!(shown, ["name", "organization", "office"]);
    let twice = [("file", number.as_str()), ("column", "name"), ("column", "name"), ("column", ""), ("act", "keep")];
    let answer = olga.post("/people/import", &twice).await;
    assert_eq!(answer.status, 422);
    assert_eq!(answer.mark("[data-wrong=columns]", "why"), "twice");
    assert!(answer.text("[data-wrong=columns]").contains("name"));
    let none = [("file", number.as_str()), ("column", ""), ("column", ""), ("column", ""), ("act", "keep")];
    let answer = olga.post("/people/import", &none).await;
    assert_eq!((answer.status, answer.mark("[data-wrong=columns]", "why").as_str()), (422, "no-name"));
    let mut last = chosen;
    last[4] = ("act", "keep");
    olga.post("/people/import", &last).await;
    assert_eq!(names(&mut olga, "ana hardware bakery").await, ["Ruiz, Ana"]);
}

#[tokio::test]
async fn every_encoding_reads_the_same() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let table = "Name\tOrganisation\nTomás Brandt\tCafé\n";
    let wide = |little: bool| -> Vec<u8> {
        let units = "\u{feff}".encode_utf16().chain(table.encode_utf16());
        units.flat_map(|unit| if little { unit.to_le_bytes() } else { unit.to_be_bytes() }).collect()
    };
    let old: Vec<u8> = table.chars().map(|letter| u8::try_from(u32::from(letter)).unwrap()).collect();
    let files = [table.as_bytes().to_vec(), format!("\u{feff}{table}").into_bytes(), wide(true), wide(false), old];
    for file in files {
        let (_, page) = look(&mut olga, "a.csv", &file).await;
        assert_eq!(page.status, 200);
        assert!(page.says("Tomás Brandt") && page.says("Café"));
        assert_eq!(page.attributes("select[name=column] option[selected]", "value"), ["name", "organization"]);
    }
}

#[tokio::test]
async fn a_file_that_cannot_be_read_is_explained_on_the_same_page() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let deep = "a".repeat(64 * 1024 + 1);
    // What it is, and what the answer has to name: where, how much, what works instead.
    let cases: [(&str, Vec<u8>, &[&str]); 9] = [
        ("spreadsheet", b"PK\x03\x04sheet".to_vec(), &["CSV"]),
        ("blank", b"   \n".to_vec(), &[]),
        ("heading alone", b"Name\n".to_vec(), &[]),
        ("open quotation mark", b"Name\n\"open\n".to_vec(), &["2", "1"]),
        ("large cell", format!("Name\n{deep}\n").into_bytes(), &["2", "1", "64 KB"]),
        ("many columns", ",".repeat(100).into_bytes(), &["101", "100"]),
        ("many people", "a\n".repeat(1_000_000).into_bytes(), &["20,000"]),
        ("open card", b"BEGIN:VCARD\nFN:Ana\n".to_vec(), &["1"]),
        ("half a letter", vec![0xff, 0xfe, 0x00], &["UTF-16LE", "CSV"]),
    ];
    let (mut told, mut seen) = (Vec::new(), HashSet::new());
    for (what, bytes, parts) in cases {
        let (_, page) = look(&mut olga, "a.csv", &bytes).await;
        assert_eq!(page.status, 422, "{what}");
        let wrong = page.text("[data-wrong=file]");
        assert!(!wrong.is_empty() && parts.iter().all(|part| wrong.contains(part)), "{what}: {wrong}");
        assert_eq!(page.all("input[type=file]").len(), 1);
        told.push(format!("{what} → {wrong}"));
        assert!(seen.insert(wrong), "{what} gets the same message as another");
    }
    insta::assert_snapshot!("people-file-refused", told.join("\n"));
}

#[tokio::test]
async fn a_file_that_is_too_large_is_refused_before_it_is_saved() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    // Below the limit of the request and above that of the file.
    let answer = olga.send(upload("a.csv", &vec![b'a'; 5 * 1024 * 1024 + 1])).await;
    assert_eq!(answer.status, 413);
    // Above both.
    let answer = olga.send(upload("a.csv", &vec![b'a'; 6 * 1024 * 1024])).await;
    assert_eq!(answer.status, 413);
    assert!(!answer.text("main h1").is_empty(), "a page explains it");
    let left = fs::read_dir(test.folder.path().join("incoming")).map_or(0, Iterator::count);
    assert_eq!(left, 0);
    // Other routes keep the smaller limit.
    let answer = olga.post_body("/people/new", &format!("notes={}", "x".repeat(300 * 1024))).await;
    assert_eq!(answer.status, 413);
}

#[tokio::test]
async fn a_file_waits_an_hour_for_the_person_who_sent_it() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (number, _) = look(&mut olga, "a.csv", b"Name\nAna Ruiz\n").await;
    let mut jun = test.somebody(Role::InformationOfficer).await;
    assert_eq!(jun.get(&format!("/people/import?file={number}")).await.status, 303);
    assert_eq!(keep(&mut jun, &number).await.status, 404);
    test.at(NOW + Duration::minutes(61));
    let page = olga.get(&format!("/people/import?file={number}")).await;
    assert_eq!(page.status, 422);
    assert!(page.has("[data-wrong=file]") && page.has("input[type=file]"), "it can be chosen again");
    assert_eq!(fs::read_dir(test.folder.path().join("incoming")).unwrap().count(), 0);
    look(&mut olga, "b.csv", b"Name\nAna Ruiz\n").await;
    burnday::directory::sweep(test.folder.path()).unwrap();
    assert!(!test.folder.path().join("incoming").exists());
}

#[tokio::test]
async fn people_already_here_can_be_left_out() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    add(&test, details("Tomás Brandt", "", "Tomas@example.org", "")).await;
    let file = b"Name,Mail\ntomas brandt,tomas@example.org\nIvo Lund,\n";
    let (number, page) = look(&mut olga, "a.csv", file).await;
    assert_eq!(page.mark("[data-known]", "known"), "1");
    let before = rows(&test, "person").len();
    olga.post("/people/import", &[("file", &number), ("act", "keep"), ("known", "out")]).await;
    assert!(!olga.get("/people").await.said().is_empty());
    assert_eq!(rows(&test, "person").len(), before + 1);
    assert_eq!(names(&mut olga, "brandt").await.len(), 1);
    assert_eq!(names(&mut olga, "ivo").await, ["Lund, Ivo"]);
}

#[tokio::test]
async fn cards_of_every_version_are_read() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    // RFC 6350, section 7.2.1, with folding from section 3.2 and escapes from 3.4; RFC 2426;
    // and a version 2.1 card with its encoding.
    let cards = "BEGIN:VCARD\r\nVERSION:4.0\r\nFN:Ana Ruiz\\, Dr.\r\nN:Ruiz;Ana;;Dr.;\r\nORG:Alder Bend\r\n  Hardware;Tools\r\n\
                 TEL;VALUE=uri:tel:+1-312-555-0101\r\nEMAIL;PREF=2:old@example.org\r\nNOTE:One\\nTwo\\;\r\nEND:VCARD\r\n\
                 BEGIN:VCARD\r\nVERSION:3.0\r\nN:Marsh;Odette;;;\r\nitem1.EMAIL;TYPE=INTERNET:odette@example.org\r\n\
                 TITLE:Editor\r\nEND:VCARD\r\n\
                 begin:vcard\nVERSION:2.1\nFN;CHARSET=UTF-8;ENCODING=QUOTED-PRINTABLE:Tom=C3=A1s Brandt\nend:vcard\n";
    let (number, page) = look(&mut olga, "a.vcf", cards.as_bytes()).await;
    assert_eq!(page.status, 200, "{}", page.text("main"));
    assert_eq!(page.all(".note li"), Vec::<String>::new());
    assert_eq!(keep(&mut olga, &number).await.location(), "/people");
    // The parts of the name count, and its prefix is how someone is addressed.
    assert_eq!(names(&mut olga, "ana ruiz, alder bend hardware, tools +1-312-555-0101").await, ["Ruiz, Ana"]);
    assert_eq!(names(&mut olga, "odette editor odette@example.org").await, ["Marsh, Odette"]);
    assert_eq!(names(&mut olga, "tomas brandt").await, ["Brandt, Tomás"]);
    let page = olga.get("/people?q=ana+ruiz").await.attributes(".people .t > a", "href")[0].clone();
    let ana = olga.get(&page).await;
    assert_eq!((ana.text("dd.lines"), ana.fact("Form of address")), ("One Two;".to_owned(), "Dr.".to_owned()));
    let (_, page) = look(&mut olga, "b.vcf", b"BEGIN:VCARD\nVERSION:3.0\nFN:Ivo\nEMAIL:nobody\nEND:VCARD\n").await;
    assert_eq!(page.attributes(".note li", "data-line"), ["1"]);
    assert_eq!(page.attributes(".note li", "data-column"), ["9"]);
    assert!(page.text(".note li").contains("mail"), "the column by its name");
}

#[tokio::test]
async fn an_exported_table_computes_nothing_and_comes_back_the_same() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let cells = ["=1+1", "+1 312 555 0142", "-x", "@x", "'=x", "''-x", "'plain", "a,b;c\"d"];
    for cell in cells {
        let person = Details { office: cell.to_owned(), notes: format!("{cell}\nnext line"), ..Details::of_name(cell) };
        add(&test, person).await;
    }
    let table = olga.get("/people/export.csv").await;
    assert_eq!(table.header("content-type"), "text/csv; charset=utf-8");
    assert!(table.header("content-disposition").contains("people.csv"));
    assert!(table.body.starts_with("\u{feff}Name,Given name,Surname,Form of address,Pronunciation,"));
    assert!(table.body.contains("\r\n'=1+1,'=1+1,,,,,'=1+1,") && table.body.contains("\r\n\"a,b;c\"\"d\","));
    for start in ["=", "+", "-", "@", "\t"] {
        assert!(!table.body.contains(&format!("\n{start}")) && !table.body.contains(&format!(",{start}")), "{start}");
        assert!(!table.body.contains(&format!("\"{start}")), "{start}");
    }
    let other = TestApp::planned().await;
    let mut olga = other.olga().await;
    let (number, _) = look(&mut olga, "people.csv", table.body.as_bytes()).await;
    assert_eq!(olga.post("/people/import", &[("file", &number), ("act", "keep"), ("known", "out")]).await.status, 303);
    assert_eq!(olga.get("/people/export.csv").await.body, table.body);
}

async fn two(test: &TestApp) -> (i64, i64) {
    let one = add(test, details("Priya Okafor", "Alder Bend Hardware", "", "555-0101 2")).await;
    let other = add(test, details("Okafor, P.", "Alder Bend Hardware", "priya@example.org", "")).await;
    (one, other)
}

#[tokio::test]
async fn a_pair_is_shown_with_its_reason_and_can_be_marked_as_two() {
    let test = TestApp::planned().await;
    let (one, other) = two(&test).await;
    let mut olga = test.olga().await;
    let page = olga.get("/people/duplicates").await;
    assert_eq!(page.attributes(".pairs > li > .who", "data-reasons"), ["names-alike same-organization"]);
    let pair = [("one", one.to_string()), ("other", other.to_string())];
    let pair: Vec<(&str, &str)> = pair.iter().map(|(name, id)| (*name, id.as_str())).collect();
    assert_eq!(olga.post("/people/duplicates/two", &pair).await.status, 303);
    olga.post("/people/duplicates/two", &pair).await;
    let page = olga.get("/people/duplicates").await;
    assert!(page.has("[data-empty=pairs]") && !page.said().is_empty());
    assert_eq!(rows(&test, "not_double").len(), 1);
    assert_eq!(entries(&test, "told apart", "Priya Okafor"), 1);
    assert!(tells(&olga.get("/journal").await, "Olga Wren", "Priya Okafor"));
    assert_eq!(olga.post("/people/duplicates/two", &[("one", "1"), ("other", "1")]).await.status, 404);
}

/// The rows of a table.
fn rows(test: &TestApp, table: &str) -> Vec<String> {
    let start = format!("INSERT INTO {table} ");
    test.dump().lines().filter(|line| line.starts_with(&start)).map(str::to_owned).collect()
}

#[tokio::test]
async fn a_merge_can_be_undone() {
    let test = TestApp::planned().await;
    let (one, other) = two(&test).await;
    sql(
        &test,
        &format!(
            "update task set owner_id = {other} where id in (3, 4);
             insert into request (event_id, person_id, kind, question, facts, words, closes_at, asked_at)
             values (1, {other}, 'guest', 'Will you come?', '[]', '', 1, 1)"
        ),
    );
    let mut olga = test.olga().await;
    let path = format!("/people/{one}/merge");
    let choose = olga.get(&path).await;
    assert!(choose.all("select[name=with] option").iter().any(|option| option.starts_with("Okafor, P.")));
    let page = olga.get(&format!("{path}?with={other}")).await;
    assert!(page.text("#same").contains("Alder Bend Hardware"), "{}", page.text("main"));
    let fields = [
        ("with", other.to_string()),
        ("version", page.value("version")),
        ("with_version", page.value("with_version")),
        ("name", "one".to_owned()),
        ("mail", "other".to_owned()),
        ("phone", "one".to_owned()),
    ];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let mut old = fields.clone();
    old[2] = ("with_version", "7");
    assert_eq!(olga.post(&path, &old).await.status, 409);
    let answer = olga.post(&path, &fields).await;
    assert_eq!(answer.location(), format!("/people/{one}"));
    let page = olga.get(answer.location()).await;
    assert_eq!((page.fact("Email").as_str(), page.fact("Phone").as_str()), ("priya@example.org", "555-0101 2"));
    assert!(page.all(".history li").iter().any(|line| line.contains("Okafor, P.")), "{}", page.text("main"));
    assert!(!page.says("undo"));
    let undo = page.attributes(".said input[name=entry]", "value")[0].clone();
    assert!(page.text(&format!("[data-merge='{undo}']")).contains("Okafor, P."));
    assert_eq!(olga.get(&format!("/people/{other}")).await.location(), format!("/people/{one}"));
    assert_eq!(olga.get(&format!("/people/{other}/edit")).await.status, 404);
    assert_eq!(names(&mut olga, "okafor").await, ["Okafor, Priya"]);
    let owned = |id: i64| rows(&test, "task").iter().filter(|row| row.contains(&format!(",{id},"))).count();
    assert!(owned(one) >= 2);
    assert!(rows(&test, "request")[0].starts_with(&format!("INSERT INTO request VALUES(1,1,{one},")));
    assert_eq!(olga.post(&path, &fields).await.status, 404);

    let separate = format!("/people/{one}/undo-merge");
    assert_eq!(olga.post(&separate, &[("entry", "1")]).await.status, 404);
    olga.post(&separate, &[("entry", &undo)]).await;
    let page = olga.get(&format!("/people/{one}")).await;
    assert!(!page.said().is_empty());
    // As before.
    assert_eq!((page.fact("Email").as_str(), page.fact("Phone").as_str()), ("", "555-0101 2"));
    assert!(!page.has("[data-merge]"));
    let apart = olga.get(&format!("/people/{other}")).await;
    assert_eq!((apart.fact("Email").as_str(), apart.fact("Phone").as_str()), ("priya@example.org", ""));
    assert_eq!(entries(&test, "separated", "Priya Okafor"), 1);
    assert!(rows(&test, "request")[0].starts_with(&format!("INSERT INTO request VALUES(1,1,{other},")));
    olga.post(&separate, &[("entry", &undo)]).await;
    assert!(!olga.get(&format!("/people/{one}")).await.said().is_empty());
    assert_eq!(entries(&test, "separated", "Priya Okafor"), 1, "once");
}

#[tokio::test]
async fn a_merge_whose_record_cannot_be_read_is_not_undone_by_halves() {
    let test = TestApp::planned().await;
    let (one, other) = two(&test).await;
    sql(&test, &format!("update task set owner_id = {other} where id = 3"));
    let mut olga = test.olga().await;
    let fields = [("with", other.to_string()), ("version", "1".to_owned()), ("with_version", "1".to_owned())];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let answer = olga.post(&format!("/people/{one}/merge"), &fields).await;
    let page = olga.get(answer.location()).await;
    let entry = page.attributes(".said input[name=entry]", "value")[0].clone();
    let separate = format!("/people/{one}/undo-merge");
    let tables = |test: &TestApp| [rows(test, "person"), rows(test, "task"), rows(test, "journal")];
    let record = sql(&test, &format!("select before from journal where id = {entry}"));
    // A part that should be a list, an older one, one that no one knows, and no record at all.
    for (path, value) in [
        ("'$.undo.\"task.owner_id\"'", "3"),
        ("'$.undo.loans'", "'x'"),
        ("'$.undo.boats'", "json('[3]')"),
        ("'$.undo'", "7"),
    ] {
        sql(&test, &format!("update journal set before = json_set(before, {path}, {value}) where id = {entry}"));
        let before = tables(&test);
        assert_eq!(olga.post(&separate, &[("entry", &entry)]).await.status, 500, "{path}");
        assert_eq!(tables(&test), before, "{path}");
        sql(&test, &format!("update journal set before = '{record}' where id = {entry}"));
    }
    assert_eq!(olga.post(&separate, &[("entry", &entry)]).await.status, 303);
    assert_eq!(sql(&test, "select owner_id from task where id = 3"), other.to_string());
}

#[tokio::test]
async fn an_account_moves_along_unless_both_have_one() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    test.somebody(Role::CrewLead).await;
    let account = accounts::find_by_mail(test.app.db.read(), "crew-lead@example.org").await.unwrap().unwrap();
    let form = |with: i64| [("with", with.to_string()), ("version", "1".to_owned()), ("with_version", "1".to_owned())];
    let both = form(account.person_id);
    let both: Vec<(&str, &str)> = both.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let answer = olga.post("/people/1/merge", &both).await;
    assert_eq!(answer.status, 422);
    assert_eq!(answer.mark("[data-refused]", "refused"), "both-sign-in");
    let id = add(&test, details("C. Lead", "", "", "")).await;
    assert_eq!(olga.post(&format!("/people/{id}/merge"), &both).await.status, 303);
    assert_eq!(accounts::find(test.app.db.read(), account.id).await.unwrap().unwrap().person_id, id);
    let page = olga.get(&format!("/people/{id}")).await;
    assert_eq!(page.fact("Account"), Role::CrewLead.as_str());
    let entry = page.attributes(".said input[name=entry]", "value")[0].clone();
    olga.post(&format!("/people/{id}/undo-merge"), &[("entry", &entry)]).await;
    let back = accounts::find(test.app.db.read(), account.id).await.unwrap().unwrap().person_id;
    assert_eq!(back, account.person_id);
    // An account that can no longer sign in stays where it is.
    let settings = format!("/settings/accounts/{}", account.id);
    let form = olga.get(&settings).await.form();
    olga.submit(&settings, &form.and("disabled", "yes")).await;
    let version = olga.get(&format!("/people/{}/edit", account.person_id)).await.value("version");
    let mut again = both.clone();
    again[2] = ("with_version", &version);
    assert_eq!(olga.post("/people/1/merge", &again).await.location(), "/people/1");
    assert_eq!(olga.get("/people/1").await.status, 200);
}

#[tokio::test]
async fn someone_erased_leaves_no_trace() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let odd = "Zeb \"Quill\" Vantongeren";
    let id = add(&test, details(odd, "", "zeb@example.org", "555-0177")).await;
    let double = add(&test, details("Vantongeren, Z.", "", "z.v@example.org", "")).await;
    let edit = format!("/people/{id}/edit");
    let form = olga.get(&edit).await.form();
    olga.submit(&edit, &form.with("notes", "Secretnote").with("access_needs", "Ramp")).await;
    let fields = [("with", double.to_string()), ("version", "2".to_owned()), ("with_version", "1".to_owned())];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    assert_eq!(olga.post(&format!("/people/{id}/merge"), &fields).await.status, 303);
    // They get a task, and the journal names them.
    let task = test.task("burn-permit").await;
    let edit = format!("/events/1/tasks/{task}/edit");
    let form = olga.get(&edit).await.form();
    assert_eq!(olga.submit(&edit, &form.with("person", odd).and("act", "save")).await.status, 303);
    sql(
        &test,
        &format!(
            "insert into request (id, event_id, person_id, kind, question, facts, words, closes_at, asked_at)
             values (5, 1, {double}, 'guest', 'Will you come?', '[]', 'Dear Secretword', 1, 1);
             insert into ask (id, request_id, for_on, date_revision) values (5, 5, '2027-06-05', 1);
             insert into answer (ask_id, said, note, access_needs, channel, at)
             values (5, 'yes', 'Secretanswer', 'Secretneed', 'link', 1);
             insert into mail (kind, person_id, dedup, to_name, to_address, reply_name, reply_address, subject, text, html,
                               message_id, state, due_at, not_after, next_try_at, created_at)
             values ('ask', {id}, 'a', 'Zeb', 'zeb@example.org', 'O', 'o@example.org', 'Come', 'Secrettext', 'Secrethtml',
                     'm1', 'waiting', 1, 1, 1, 1)"
        ),
    );
    let secrets = [
        "Zeb",
        "Vantongeren",
        "zeb@example.org",
        "z.v@example.org",
        "555-0177",
        "Secretnote",
        "Secretword",
        "Secretanswer",
        "Secretneed",
        "Secrettext",
        "Secrethtml",
    ];
    let before = test.dump();
    for secret in secrets {
        assert!(before.contains(secret), "{secret} was there");
    }
    let path = format!("/people/{id}/erase");
    let page = olga.get(&path).await;
    assert!(page.has("#goes li") && page.has("#stays li"));
    assert_eq!(olga.post(&path, &[("version", "1")]).await.status, 409);
    assert_eq!(olga.post(&path, &[("version", &page.value("version"))]).await.status, 303);
    let after = test.dump();
    for secret in secrets {
        assert!(!after.to_lowercase().contains(&secret.to_lowercase()), "{secret}");
    }
    let count =
        |dump: &str, table: &str| dump.lines().filter(|l| l.starts_with(&format!("INSERT INTO {table} "))).count();
    for table in ["person", "answer", "request", "mail", "task"] {
        assert_eq!(count(&before, table), count(&after, table), "{table}");
    }
    assert!(rows(&test, "mail")[0].contains("'cancelled'") && rows(&test, "answer")[0].contains("'yes'"));
    let called = sql(&test, &format!("select name from person where id = {id}"));
    assert!(called.contains(&id.to_string()), "{called}");
    assert_eq!(entries(&test, "forgot", &called), 1);
    assert!(tells(&olga.get("/journal").await, "Olga Wren", &called));
    assert_eq!(olga.get(&format!("/people/{id}")).await.status, 404);
    assert!(olga.get(&format!("/events/1/tasks/{task}")).await.says(&called));
}

#[tokio::test]
async fn someone_who_signs_in_is_not_erased_until_disabled() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    test.somebody(Role::Reader).await;
    let account = accounts::find_by_mail(test.app.db.read(), "reader@example.org").await.unwrap().unwrap();
    let path = format!("/people/{}/erase", account.person_id);
    assert_eq!(olga.get(&path).await.all("form[action$=erase]").len(), 0);
    assert_eq!(olga.post(&path, &[("version", "1")]).await.status, 422);
    let settings = format!("/settings/accounts/{}", account.id);
    let form = olga.get(&settings).await.form();
    assert_eq!(olga.submit(&settings, &form.and("disabled", "yes")).await.status, 303);
    assert_eq!(olga.post(&path, &[("version", "1")]).await.status, 303);
    let dump = test.dump();
    assert!(!dump.contains("reader@example.org") && !dump.contains("Somebody, reader"));
}

#[tokio::test]
async fn an_erasure_that_fails_takes_no_entry_of_another_write_with_it() {
    let test = TestApp::planned().await;
    let db = &test.app.db;
    // The first holds the writer until the other two wait for one commit.
    let slow = db.write(|_| {
        Box::pin(async {
            tokio::time::sleep(std::time::Duration::from_millis(200)).await;
            Ok(())
        })
    });
    let kept = add(&test, details("Ana Ruiz", "", "", ""));
    let failing = db.write(|tx| {
        Box::pin(async move {
            journal::forget(tx, "person", &[1], &people::erased(1)).await?;
            Err::<(), _>(Error::NotFound)
        })
    });
    let (slow, _, failed) = tokio::join!(slow, kept, failing);
    slow.unwrap();
    assert!(failed.is_err());
    assert_eq!(entries(&test, "added", "Ana Ruiz"), 1);
    assert!(tells(&test.olga().await.get("/journal").await, "Burnday", "Ana Ruiz"));
}
