//! Choosing people out of many, on pages that stay small no matter how many there are.

use crate::crew;
use crate::support::routes::all;
use crate::support::{Answer, Browser, Filled, OFFICER, TestApp};
use burnday::accounts::Role;
use std::fs;
use std::process::Command;

const MANY: usize = 20_000;

impl TestApp {
    /// Adds this many people, Person 1 of Organization 1 and so on, in one statement beside
    /// the app, like an import.
    fn fill_with(&self, many: usize) {
        self.sql(&format!(
            "insert into organization (name, created_at)
                 with recursive n (i) as (select 1 union all select i + 1 from n where i < 2000)
                 select 'Organization ' || i, 0 from n;
             insert into person (name, organization_id, mail, phone, search, created_at)
                 with recursive n (i) as (select 1 union all select i + 1 from n where i < {many})
                 select 'Person ' || i, o.id, 'p' || i || '@example.org', '555-01' || (10 + i % 90),
                        'person ' || i || char(10) || char(10) || 'organization ' || (1 + i % 2000) || char(10) || char(10)
                            || char(10) || 'p' || i || '@example.org' || char(10) || '555-01' || (10 + i % 90) || char(10)
                            || '55501' || (10 + i % 90), 0
                 from n join organization o on o.name = 'Organization ' || (1 + i % 2000);"
        ));
    }

    fn number_of(&self, name: &str) -> String {
        let path = self.folder.path().join(burnday::db::FILE);
        let sql = format!("select id from person where name = '{name}'");
        let shell = Command::new("sqlite3").arg("-readonly").arg(path).arg(sql).output().unwrap();
        String::from_utf8(shell.stdout).unwrap().trim().to_owned()
    }
}

/// The people who can be checked, and those who are.
fn offered(page: &Answer) -> (Vec<String>, Vec<String>) {
    let names = |list: &str| page.all(&format!("#whom {list} bdi"));
    (names("ul:not([data-chosen])"), names("[data-chosen]"))
}

const NEW: &str = "/events/1/replies/new";

#[tokio::test]
async fn no_page_grows_with_the_number_of_people() {
    const MOST_BYTES: usize = 200_000;
    /// Time zones are the longest list. People take a page or two.
    const MOST_ROWS: usize = 110;
    let test = TestApp::walked().await;
    test.fill_with(MANY);
    let task = test.task("burn-permit").await;
    let mut olga = test.olga().await;
    let (mut looked_at, mut listed) = (0, 0);
    for route in all().iter().filter(|route| route.gets && !route.path.starts_with("/static")) {
        let path = route.at(1, task);
        let page = olga.get(&path).await;
        let opens_nothing = route.path.contains("{secret}") && page.status == 404;
        assert!(opens_nothing || matches!(page.status, 200 | 303 | 307), "{path}: {}", page.status);
        if page.status != 200 || !page.header("content-type").starts_with("text/html") {
            continue;
        }
        assert!(page.body.len() < MOST_BYTES, "{path}: {} bytes", page.body.len());
        let rows = page.all("main li, main tr, main option").iter().filter(|row| row.contains("Person ")).count();
        assert!(rows <= MOST_ROWS, "{path} lists {rows} people");
        let options =
            page.attributes("datalist option", "value").iter().filter(|name| name.starts_with("Person ")).count();
        assert!(options <= MOST_ROWS, "{path} offers {options} people");
        looked_at += 1;
        listed += usize::from(rows + options > 0);
    }
    assert!(looked_at > 60 && listed >= 8, "{looked_at} pages, {listed} of them with people");
    for path in ["/people", "/people?q=person&page=150", "/people?q=555-0117"] {
        let page = olga.get(path).await;
        assert!(page.body.len() < MOST_BYTES && page.all(".people > li").len() <= 100, "{path}");
    }
    assert_eq!(olga.get("/people?q=p19999@example.org").await.all(".people > li").len(), 1);
    let names: Vec<String> = serde_json::from_str(&olga.get("/people/names?q=person+1999").await.body).unwrap();
    assert!(names.len() > 5 && names.len() <= 20 && names.contains(&"Person 1999".to_owned()), "{names:?}");
    assert_eq!(olga.get("/people/names?q=example.org").await.body, "[]", "only names");
}

/// Asks `SQLite` how it would run each statement that lists people.
#[tokio::test]
async fn lists_of_people_are_read_in_the_order_of_an_index() {
    let test = TestApp::set_up().await;
    let path = test.folder.path().join(burnday::db::FILE);
    let mut seen = 0;
    for file in fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/.sqlx")).unwrap() {
        let written = fs::read_to_string(file.unwrap().path()).unwrap();
        let known: serde_json::Value = serde_json::from_str(&written).unwrap();
        let query = known["query"].as_str().unwrap();
        if !query.contains("order by p.search") {
            continue;
        }
        let shell = Command::new("sqlite3").arg(&path).arg(format!("explain query plan {query}")).output().unwrap();
        let plan = String::from_utf8(shell.stdout).unwrap();
        assert!(plan.contains("person_listed") && !plan.contains("TEMP B-TREE"), "{query}\n{plan}");
        seen += 1;
    }
    assert!(seen >= 2, "{seen} statements list people");
}

#[tokio::test]
async fn checked_people_stay_while_someone_searches() {
    let test = TestApp::planned().await;
    test.fill_with(230);
    let mut olga = test.olga().await;
    let page = olga.get(NEW).await;
    assert_eq!(offered(&page).0.len(), 100);
    assert_eq!(page.attributes("#whom button", "value"), ["2"]);
    let (first, second) = (test.number_of("Person 101"), test.number_of("Person 77"));

    let typed = page.form().with("question", "Can you help at the gate?").with("words", "Bring gloves.");
    let looked = olga.submit(NEW, &typed.and("person", &first).with("find", "p77@").with("find_act", "look")).await;
    assert_eq!((looked.status, looked.value("question").as_str()), (200, "Can you help at the gate?"));
    assert_eq!(offered(&looked), (vec!["Person 77".to_owned()], vec!["Person 101".to_owned()]));

    let further = looked.form().and("person", &second).with("find", "").with("find_act", "3");
    let further = olga.submit(NEW, &further).await;
    assert_eq!(offered(&further).1, ["Person 101", "Person 77"]);
    assert!(offered(&further).0.len() < 100, "the last page");
    assert!(further.body.contains("Bring gloves."));

    // Removed again by unchecking.
    let off = further.form().without("person").and("person", &second).with("find_act", "1");
    let off = olga.submit(NEW, &off).await;
    assert_eq!(offered(&off).1, ["Person 77"]);
    let asked = olga.submit(NEW, &off.form().and("act", "ask")).await;
    assert_eq!(asked.status, 303, "{}", asked.text("main"));
    let asks = olga.get("/events/1/replies").await;
    assert!(asks.says("Person 77") && !asks.says("Person 101"));
}

#[tokio::test]
async fn enter_in_the_search_searches_and_asks_no_one() {
    let test = TestApp::planned().await;
    test.fill_with(60);
    let mut olga = test.olga().await;
    let before = test.dump();
    let page = olga.get(NEW).await;
    // For Enter, a browser uses the form's first button.
    let form = page.form().with("find", "p7@").and("person", &test.number_of("Person 9")).and("act", "see");
    let looked = olga.submit(NEW, &form).await;
    assert_eq!((looked.status, looked.all(".mistake").len()), (200, 0));
    assert_eq!(offered(&looked), (vec!["Person 7".to_owned()], vec!["Person 9".to_owned()]));
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn people_are_found_by_what_they_did_and_what_they_can_do() {
    let test = TestApp::asked().await;
    test.with_crew().await;
    test.fill_with(100);
    let number = |name: &str| test.number_of(name);
    let (yes, no) = (number("Person 1"), number("Person 2"));
    let requests = test.ask(&[yes.parse().unwrap(), no.parse().unwrap()], &["burn day"]).await;
    let mut olga = test.olga().await;
    for (request, said) in requests.iter().zip(["yes", "no"]) {
        let path = test.answer_path(*request);
        let mut someone = test.stranger();
        let page = someone.get(&path).await;
        let say = page.attributes("button[name=say]", "value");
        let say = say.iter().find(|value| value.ends_with(said)).unwrap();
        assert!(someone.post(&path, &[("say", say)]).await.status < 400);
    }
    for (find, names) in [
        ("find_yes=1", vec!["Person 1"]),
        ("find_role=guest", vec!["Wren Ibarra"]),
        ("find_role=sponsor", vec!["Wren Ibarra"]),
        ("find_role=crew", vec!["Olga Wren"]),
        ("find_skill=1", vec!["Olga Wren"]),
        ("find_role=education+officer", vec!["Olga Wren"]),
        ("find_role=lender", vec![]),
        ("find_organization=organization+41", vec!["Person 40"]),
        ("find_organization=organization+41&find=p40@", vec!["Person 40"]),
        ("find_organization=organization+41&find=wren", vec![]),
    ] {
        let page = olga.get(&format!("{NEW}?{find}")).await;
        assert_eq!(offered(&page).0, names, "{find}");
        assert_eq!(page.all("#whom button[value=all]").len(), usize::from(!names.is_empty()), "{find}");
        // The same filters for guests and for the crew.
        for other in ["/events/1/guests/new", "/events/1/crew/positions/2"] {
            let page = olga.get(&format!("{other}?{find}")).await;
            let found = page.all("#whom ul bdi");
            let wanted = names.iter().filter(|name| !(other.contains("guests") && **name == "Wren Ibarra"));
            assert_eq!(found, wanted.copied().collect::<Vec<_>>(), "{other}?{find}");
        }
    }
    // Someone who changed their mind said no.
    let path = test.answer_path(requests[0]);
    let mut someone = test.stranger();
    let say = someone.get(&path).await.attributes("button[name=say]", "value");
    someone.post(&path, &[("say", say.iter().find(|value| value.ends_with("no")).unwrap())]).await;
    assert_eq!(offered(&olga.get(&format!("{NEW}?find_yes=1")).await).0, Vec::<String>::new());
}

#[tokio::test]
async fn everyone_found_is_checked_with_one_click() {
    let test = TestApp::planned().await;
    test.fill_with(60);
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/guests/new?find=p5").await;
    let all = olga.submit("/events/1/guests/new", &page.form().with("find_act", "all")).await;
    assert_eq!(
        offered(&all),
        (
            vec![],
            ["5", "50", "51", "52", "53", "54", "55", "56", "57", "58", "59"].map(|n| format!("Person {n}")).to_vec()
        )
    );
    let added = olga.submit("/events/1/guests/new", &all.form().with("side", "partner")).await;
    assert_eq!(added.status, 303, "{}", added.text("main"));
    assert_eq!(offered(&olga.get("/events/1/guests/new?find=p5").await).0, Vec::<String>::new(), "guests already");
}

#[tokio::test]
async fn one_of_many_is_found_in_the_same_form() {
    let test = TestApp::asked().await;
    test.fill_with(220);
    let mut olga = test.olga().await;
    for (path, field) in [("/events/1/loans/new", "lender"), ("/events/1/guests/gifts/new", "person")] {
        let page = olga.get(path).await;
        assert_eq!(page.all(&format!("#{field} option")).len(), 101, "{path}");
        let before = test.dump();
        let form = page.form().with("what", "sports clock").with("find", "p113@").with("find_act", "look");
        let found = olga.submit(path, &form).await;
        assert_eq!((found.status, found.value("what").as_str()), (200, "sports clock"));
        assert_eq!(found.attributes(&format!("#{field} option"), "value"), ["", &test.number_of("Person 113")]);
        assert_eq!(before, test.dump());
    }
    let (one, other) = (test.number_of("Person 1"), test.number_of("Person 100"));
    let merge = format!("/people/{one}/merge");
    let found = olga.get(&format!("{merge}?with=&find=p100@&find_act=look")).await;
    assert_eq!(found.attributes("#with option", "value"), ["", &other]);
    let both = olga.get(&format!("{merge}?with={other}&find=p100@&find_seen=p100@")).await;
    assert!(both.says("Person 100") && both.all("#with").is_empty());
}

#[tokio::test]
async fn an_empty_list_says_what_to_do_not_that_all_is_done() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for (path, first) in [
        ("/events/1/guests/invite", "/events/1/guests/new"),
        ("/events/1/guests/letters", "/events/1/guests/new"),
        ("/events/1/crew/ask", "/events/1/crew"),
    ] {
        let page = olga.get(path).await;
        assert_eq!(page.attributes("main [data-empty]", "data-empty"), ["nobody"], "{path}");
        assert_eq!(page.attributes("main [data-empty] a", "href"), [first], "{path}");
    }
}

/// The forms that need one person: the address, the field, and what it says about them later.
const FORMS: [(&str, &str, &str); 2] =
    [("/events/1/loans/new", "lender", "Lender"), ("/events/1/guests/gifts/new", "person", "Donor")];
const LOAN: &str = FORMS[0].0;

/// Such a form, which only lacks the person.
async fn lacking(olga: &mut Browser, path: &str) -> Filled {
    olga.get(path).await.form().with("what", "folding tables")
}

fn newcomer(form: &Filled, name: &str, phone: &str, mail: &str) -> Filled {
    let form = form.clone().with("new_name", name).with("new_phone", phone).with("new_mail", mail);
    form.with("new_organization", "Bend Lumber Yard")
}

impl TestApp {
    /// How many people have this name.
    fn count_of(&self, name: &str) -> usize {
        self.number_of(name).lines().count()
    }
}

#[tokio::test]
async fn someone_new_is_added_by_the_form_that_needs_them() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for ((path, _, label), name) in FORMS.into_iter().zip(["Ines Calloway", "Bram Okonjo"]) {
        let mail = format!("{}@example.org", name.replace(' ', "."));
        let form = newcomer(&lacking(&mut olga, path).await, name, "555-0142", &mail);
        let added = olga.submit(path, &form).await;
        assert_eq!(added.status, 303, "{}", added.text("main"));
        let page = olga.get(added.location()).await;
        assert!(page.said().contains(name), "{}", page.said());
        assert!(
            page.fact(label).contains(name) && page.fact(label).contains("Bend Lumber Yard"),
            "{}",
            page.fact(label)
        );
        let record = olga.get(&format!("/people/{}", test.number_of(name))).await;
        assert!(record.says(&mail) && record.says("555-0142"), "{}", record.text("main"));
        assert!(olga.get("/journal").await.says(name), "the history has it");
    }
}

#[tokio::test]
async fn a_mistake_adds_nobody_and_loses_nothing() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await.to_string();
    let mut olga = test.olga().await;
    for (path, field, _) in FORMS {
        let form = newcomer(&lacking(&mut olga, path).await, "Ines Calloway", "555-0142", "ines@example.org");
        let before = test.dump();
        for (wrong, mistakes) in [
            (form.clone().with("what", ""), vec!["what"]),
            (form.clone().with("new_mail", "ines"), vec!["new_mail"]),
            (form.clone().with("new_name", "").with("new_phone", "1"), vec!["new_name", "new_phone"]),
            (form.clone().with(field, &wren), vec!["new_name"]),
        ] {
            let page = olga.submit(path, &wrong).await;
            assert_eq!((page.status, page.mistakes().len()), (422, mistakes.len()), "{path}: {:?}", page.mistakes());
            assert!(
                mistakes.iter().all(|field| page.mistakes().contains(&(*field).to_owned())),
                "{:?}",
                page.mistakes()
            );
            assert!(page.has("[data-new-person][open]"), "{path}: the part with what was typed is open");
            for name in ["what", "new_name", "new_phone", "new_mail", "new_organization"] {
                assert_eq!(page.value(name), wrong.value(name), "{path}: {name}");
            }
            assert_eq!(page.form().value(field), wrong.value(field), "{path}");
        }
        // Looking for someone in the list loses nothing either.
        let looked = olga.submit(path, &form.clone().with("find", "wren").with("find_act", "look")).await;
        assert_eq!((looked.status, looked.value("new_name").as_str()), (200, "Ines Calloway"));
        assert!(looked.has("[data-new-person][open]"));
        assert_eq!(before, test.dump());
        assert!(!olga.get(path).await.has("[data-new-person][open]"), "nobody typed anything yet");
    }
}

#[tokio::test]
async fn someone_known_is_not_added_again() {
    let test = TestApp::planned().await;
    let ines = test.person("Inés Calloway", "ines@example.org").await;
    let mut olga = test.olga().await;
    let form = lacking(&mut olga, LOAN).await;
    // The same name and the same email: it is her, and we learn her phone.
    let added = olga.submit(LOAN, &newcomer(&form, "ines calloway", "555-0142", "INES@example.org")).await;
    assert_eq!(added.status, 303, "{}", added.text("main"));
    let page = olga.get(added.location()).await;
    assert!(page.said().contains("Inés Calloway"), "{}", page.said());
    assert!(page.fact("Lender").contains("Inés Calloway"), "{}", page.fact("Lender"));
    assert_eq!((test.count_of("Inés Calloway"), test.count_of("ines calloway")), (1, 0));
    assert!(olga.get(&format!("/people/{ines}")).await.says("555-0142"));
    // The same name and phone, and another email, which changes nothing.
    let added = olga.submit(LOAN, &newcomer(&form, "Ines Calloway", "555 0142", "new@example.org")).await;
    let said = olga.get(added.location()).await.said();
    assert!(said.contains("ines@example.org"), "{said}");
    assert_eq!(test.count_of("Ines Calloway"), 0);
}

#[tokio::test]
async fn whoever_may_be_known_is_asked_about() {
    let test = TestApp::planned().await;
    let ines = test.person("Ines Calloway", "ines@example.org").await.to_string();
    let mut olga = test.olga().await;
    for (path, field, label) in FORMS {
        let form = lacking(&mut olga, path).await;
        let before = test.dump();
        for (name, phone, mail) in [
            ("Ines Calloway", "", ""),
            ("Ines Calloway", "555-0142", "other@example.org"),
            ("Rolf Adler", "", "ines@example.org"),
        ] {
            let asked = olga.submit(path, &newcomer(&form, name, phone, mail)).await;
            assert_eq!((asked.status, asked.mistakes()), (422, vec!["new_who".to_owned()]), "{name}");
            assert_eq!(asked.attributes("[name=new_who]", "value"), [ines.as_str(), "new"], "{name}");
            assert_eq!(asked.value("new_name"), name);
            assert!(asked.has("[data-new-person][open]") && asked.form().value(field).is_empty());
        }
        assert_eq!(before, test.dump());
        let form = newcomer(&form, "Ines Calloway", "", "");
        let same = olga.submit(path, &form.clone().and("new_who", &ines)).await;
        assert_eq!(same.status, 303, "{}", same.text("main"));
        assert!(olga.get(same.location()).await.fact(label).contains("Ines Calloway"));
        assert_eq!(test.number_of("Ines Calloway"), ines);
    }
    // Someone else of this name.
    let form = newcomer(&lacking(&mut olga, LOAN).await, "Ines Calloway", "555-0143", "");
    assert_eq!(olga.submit(LOAN, &form.clone().and("new_who", "new")).await.status, 303);
    assert_eq!(test.count_of("Ines Calloway"), 2);
    // Nobody is taken for a person who wasn't among them.
    let wren = test.person("Wren Ibarra", "wren@example.org").await.to_string();
    let refused = olga.submit(LOAN, &form.with("new_phone", "").and("new_who", &wren)).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["new_who".to_owned()]));
}

#[tokio::test]
async fn two_who_add_the_same_person_at_once_add_one() {
    let test = TestApp::planned().await;
    let (mut olga, mut other) = (test.olga().await, test.olga().await);
    let form = newcomer(&lacking(&mut olga, LOAN).await, "Ines Calloway", "", "ines@example.org");
    let (one, two) = tokio::join!(olga.submit(LOAN, &form), other.submit(LOAN, &form));
    assert_eq!((one.status, two.status), (303, 303));
    assert_eq!(test.count_of("Ines Calloway"), 1);
}

#[tokio::test]
async fn nobody_is_added_for_a_form_that_someone_else_changed_first() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await.to_string();
    let mut olga = test.olga().await;
    for (path, field, label) in FORMS {
        let first = lacking(&mut olga, path).await.with(field, &wren).with("in_name", "themselves");
        let added = olga.submit(path, &first).await;
        assert_eq!(added.status, 303, "{}", added.text("main"));
        let here = added.location().to_owned();
        let edit = format!("{here}/edit");
        let mine = olga.get(&edit).await.form().with(field, "");
        let theirs = olga.get(&edit).await.form().with("what", "round tables");
        assert_eq!(olga.submit(&edit, &theirs).await.status, 303);
        let mine = newcomer(&mine, "Ines Calloway", "", &format!("{field}@example.org"));
        let before = test.count_of("Ines Calloway");
        let mine = mine.and("new_who", "new");
        let stale = olga.submit(&edit, &mine).await;
        assert_eq!((stale.status, test.count_of("Ines Calloway")), (409, before));
        // What was typed is still there for whoever saves it now.
        let over = stale.form_at("main form[method=post]");
        assert_eq!(olga.submit(&edit, &over).await.status, 303);
        assert_eq!(test.count_of("Ines Calloway"), before + 1);
        assert!(olga.get(&here).await.fact(label).contains("Ines Calloway"));
    }
}

#[tokio::test]
async fn a_gift_in_the_name_of_an_organization_needs_one_from_someone_new_too() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = FORMS[1].0;
    let form = lacking(&mut olga, path).await.with("new_name", "Ines Calloway");
    let before = test.dump();
    let refused = olga.submit(path, &form).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["new_organization".to_owned()]));
    assert_eq!(before, test.dump());
    assert_eq!(olga.submit(path, &form.with("in_name", "themselves")).await.status, 303);
}

#[tokio::test]
async fn someone_new_becomes_a_guest_once() {
    const NEW: &str = "/events/1/guests/new";
    let test = TestApp::planned().await;
    let mayor = test.person("Marguerite Vance", "mayor@example.org").await.to_string();
    let mut olga = test.olga().await;
    let form = olga.get(NEW).await.form().with("name", "Marguerite Vance").with("office", "Mayor");
    let before = test.dump();
    let asked = olga.submit(NEW, &form).await;
    assert_eq!((asked.status, asked.mistakes()), (422, vec!["new_who".to_owned()]));
    assert!(asked.has("details[open] [name=office]") && asked.value("office") == "Mayor");
    assert_eq!(before, test.dump());
    let added = olga.submit(NEW, &form.clone().with("mail", "mayor@example.org")).await;
    assert_eq!(added.status, 303, "{}", added.text("main"));
    assert_eq!(test.number_of("Marguerite Vance"), mayor);
    let record = olga.get(&format!("/people/{mayor}")).await;
    assert!(record.fact("Who").contains("Mayor"), "her office wasn't known yet: {}", record.fact("Who"));
}

#[tokio::test]
async fn only_people_who_keep_the_contact_records_add_someone() {
    let test = TestApp::planned().await;
    test.with_crew().await;
    let snapshot = test.crew().await;
    let at = |duty: &str| format!("/events/1/crew/positions/{}", crew::post(&snapshot, duty));
    let (parking, pumps) = (at("parking"), at("pump operator"));
    let (mut olga, mut lead) = (test.olga().await, test.somebody(Role::CrewLead).await);
    let someone = [("new_name", "Ines Calloway"), ("new_mail", "ines@example.org")];
    assert!(!lead.get(&parking).await.has("[name^=new_]") && olga.get(&parking).await.has("[data-new-person]"));
    let before = test.dump();
    assert_eq!(lead.post(&format!("{parking}/assign"), &someone).await.status, 403);
    let wrong = olga.post(&format!("{parking}/assign"), &[("new_name", "Ines Calloway"), ("new_phone", "1")]).await;
    assert_eq!((wrong.status, wrong.value("new_name").as_str()), (422, "Ines Calloway"));
    // A rule keeps someone without a certificate from the pumps, so nobody is added.
    let refused = olga.post(&format!("{pumps}/assign"), &someone).await;
    assert_eq!((refused.status, refused.mark("[data-refused]", "refused").as_str()), (422, "0"));
    assert!(refused.text("[data-refused]").contains("Ines Calloway"));
    assert_eq!(before, test.dump());
    // What was typed is in the form that overrides the rule.
    let over = refused.form().with("reason", "Passed the course last week");
    let over = olga.submit(&format!("{pumps}/assign"), &over).await;
    assert_eq!(over.status, 303, "{}", over.text("main"));
    assert!(olga.get(&pumps).await.has(&format!("tr[data-person='{}']", test.number_of("Ines Calloway"))));
    let added = olga.post(&format!("{parking}/assign"), &[("new_name", "Bram Okonjo")]).await;
    assert_eq!(added.status, 303, "{}", added.text("main"));
    assert!(olga.get(&parking).await.said().contains("Bram Okonjo"));
}

/// No one overrides a rule for themselves, and typing one's own name is no way around it.
#[tokio::test]
async fn a_typed_name_overrides_no_rule_for_whoever_it_turns_out_to_be() {
    let test = TestApp::planned().await;
    test.with_crew().await;
    let mut olga = test.olga().await;
    let pumps = format!("/events/1/crew/positions/{}/assign", crew::post(&test.crew().await, "pump operator"));
    let before = test.crew().await.assigned.len();
    let herself = [("new_name", "Olga Wren"), ("new_mail", OFFICER), ("reason", "Because")];
    let refused = olga.post(&pumps, &herself).await;
    assert_eq!((refused.status, refused.mark("[data-refused]", "refused").as_str()), (422, "1"));
    assert!(refused.has("#who-overrides"), "{}", refused.text("[data-refused]"));
    assert_eq!(test.crew().await.assigned.len(), before);
}

#[tokio::test]
async fn people_are_suggested_with_their_number_to_those_who_may_see_them() {
    let test = TestApp::planned().await;
    let ines = test.person("Inés Calloway", "ines@example.org").await;
    let mut olga = test.olga().await;
    for typed in ["ines", "call+in", "ines@example.org"] {
        let found: Vec<serde_json::Value> =
            serde_json::from_str(&olga.get(&format!("/people/choices?q={typed}")).await.body).unwrap();
        assert_eq!(found.len(), 1, "{typed}");
        assert_eq!(found[0]["id"], ines, "{typed}");
        assert_eq!(found[0]["name"], "Inés Calloway", "{typed}");
    }
    assert_eq!(olga.get("/people/choices?q=nobody").await.body, "[]");
    assert_eq!(test.somebody(Role::Timekeeper).await.get("/people/choices?q=ines").await.status, 403);
}
