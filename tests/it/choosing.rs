//! Choosing people out of many, on pages that stay small no matter how many there are.

use crate::support::routes::all;
use crate::support::{Answer, TestApp};
use std::fs;
use std::process::Command;

const MANY: usize = 20_000;

impl TestApp {
    /// Adds this many people, Person 1 of Organization 1 and so on, in one statement beside
    /// the app, like an import.
    fn fill_with(&self, many: usize) {
        self.sql(&format!(
            "insert into organisation (name, created_at)
                 with recursive n (i) as (select 1 union all select i + 1 from n where i < 2000)
                 select 'Organization ' || i, 0 from n;
             insert into person (name, organisation_id, mail, phone, search, created_at)
                 with recursive n (i) as (select 1 union all select i + 1 from n where i < {many})
                 select 'Person ' || i, o.id, 'p' || i || '@example.org', '555-01' || (10 + i % 90),
                        'person ' || i || char(10) || char(10) || 'organization ' || (1 + i % 2000) || char(10) || char(10)
                            || char(10) || 'p' || i || '@example.org' || char(10) || '555-01' || (10 + i % 90) || char(10)
                            || '55501' || (10 + i % 90), 0
                 from n join organisation o on o.name = 'Organization ' || (1 + i % 2000);"
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

const NEW: &str = "/events/1/asks/new";

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
    let asks = olga.get("/events/1/asks").await;
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
        for other in ["/events/1/guests/new", "/events/1/crew/posts/2"] {
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
