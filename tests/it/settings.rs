use crate::support::{Answer, NOW, OFFICER, TestApp};
use burnday::accounts::Role;
use burnday::calc::calendar::federal_holidays;
use burnday::db::journal::{self, JournalEntry, Wanted};
use burnday::demo;
use burnday::server::HISTORY;
use burnday::web::history::History;
use burnday::web::query::query_escape;
use burnday::web::words::{self, Reader};
use time::macros::date;

/// Does a history page show these entries of one day and no others: person by person, in
/// this order?
fn shows(page: &Answer, told: &[JournalEntry]) -> bool {
    let mut people: Vec<&str> = Vec::new();
    for told in told {
        if !people.contains(&told.who.as_str()) {
            people.push(&told.who);
        }
    }
    let told = people.iter().flat_map(|who| told.iter().filter(move |told| told.who == *who));
    let lines = page.all(".history li");
    let is_of = |(line, told): (&String, &JournalEntry)| line.contains(&told.who) && line.contains(&told.title);
    lines.len() == told.clone().count() && lines.iter().zip(told).all(is_of)
}

#[tokio::test]
async fn two_people_changing_the_department_see_both_texts() {
    let test = TestApp::planned().await;
    let (mut olga, mut other) = (test.olga().await, test.olga().await);
    let form = olga.get("/settings/department").await.form();
    let theirs = form.clone().with("phone", "555-0142");
    assert_eq!(other.submit("/settings/department", &theirs).await.status, 303);
    let answer = olga.submit("/settings/department", &form.with("phone", "555-0199")).await;
    assert_eq!(answer.status, 409);
    assert!(answer.says("555-0142") && answer.says("555-0199"));
    assert_eq!(answer.value("version"), "2");
    let again = [("name", "Alder Bend Fire District"), ("zone", "Mars"), ("phone", ""), ("version", "2")];
    assert_eq!(olga.post("/settings/department", &again).await.status, 422);
}

#[tokio::test]
async fn closed_days_are_checked_and_listed_with_the_holidays() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let page = olga.get("/settings/closed-days").await;
    // Juneteenth of 2027 is a Saturday.
    for (year, day, is_shifted) in [(2026, date!(2026 - 11 - 26), false), (2027, date!(2027 - 06 - 18), true)] {
        let holiday = federal_holidays(year).into_iter().find(|holiday| holiday.observed_on == day).unwrap();
        let line = format!("[data-holiday='{}']", words::iso(day));
        for part in [holiday.name, &Reader::App.day(day)] {
            assert!(page.text(&line).contains(part), "{part}: {}", page.text(&line));
        }
        assert_eq!(page.has(&format!("{line}[data-shifted]")), is_shifted, "{day}");
    }
    for (on, until, field) in
        [("", "", "on"), ("2027-03-05", "2027-03-01", "until"), ("2027-01-01", "2027-12-31", "until")]
    {
        let answer = olga.post("/settings/closed-days", &[("on", on), ("until", until)]).await;
        assert_eq!(answer.status, 422);
        assert_eq!(answer.mistakes(), [field]);
    }
    olga.post("/settings/closed-days", &[("on", "2027-03-05"), ("reason", "Inventory")]).await;
    olga.post("/settings/closed-days", &[("on", "2027-03-05"), ("reason", "Again")]).await;
    let page = olga.get("/settings/closed-days").await;
    assert!(!page.said().is_empty());
    let closed = page.all("[data-closed]");
    let day = Reader::App.day(date!(2027 - 03 - 05));
    assert!(closed.len() == 1 && closed[0].contains(&day) && closed[0].contains("Inventory"), "{closed:?}");
    assert_eq!(page.mark("[data-closed]", "closed"), "2027-03-05");
    let told = journal::page(test.app.db.read(), None, &Wanted::default(), i64::MAX, 100).await.unwrap();
    let of_days: Vec<&JournalEntry> = told.iter().filter(|told| told.subject == "closed day").collect();
    let [added] = of_days.as_slice() else { panic!("{of_days:?}") };
    assert_eq!((added.who.as_str(), added.verb.as_str(), &added.title), ("Olga Wren", "added", &day));
    assert!(shows(&olga.get("/journal").await, &told));
    let reader = test.somebody(Role::Reader).await.get("/settings/closed-days").await;
    assert_eq!(reader.all("main form").len(), 0);
}

#[tokio::test]
async fn the_journal_tells_the_department_and_each_event_apart() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for n in 0..70 {
        let path = format!("/events/1/tasks/{}/state", test.task("goal").await);
        olga.post(&path, &[("state", if n % 2 == 0 { "waiting" } else { "to do" }), ("waiting_for", "the chief")])
            .await;
    }
    let newest = olga.get("/events/1/journal").await;
    assert_eq!(newest.all(".history li").len(), 60);
    assert_eq!(newest.all(".history .byday").len(), 1, "one day and one person");
    assert_eq!(newest.mark(".byday", "changes"), "60");
    let heading = newest.text(".byday");
    assert!(heading.contains(&Reader::App.day(date!(2026 - 11 - 25))) && heading.contains("Olga Wren"), "{heading}");
    assert_eq!(newest.mark(".history details", "folded"), "55");
    let older = newest.attributes("main p a.btn", "href")[0].clone();
    let older = olga.get(&older).await;
    assert_eq!(older.all(".history li").len(), 13);
    let told = journal::page(test.app.db.read(), Some(1), &Wanted::default(), i64::MAX, 100).await.unwrap();
    let (new, old) = told.split_at(60);
    assert!(shows(&newest, new) && shows(&older, old));
    for (subject, number) in [("task", "92 "), ("permit", "8 ")] {
        let added = old.iter().find(|told| (told.subject.as_str(), told.verb.as_str()) == (subject, "added")).unwrap();
        assert!(added.title.starts_with(number) && added.who == "Olga Wren", "{added:?}");
    }
    let told = journal::page(test.app.db.read(), None, &Wanted::default(), i64::MAX, 60).await.unwrap();
    assert!(shows(&olga.get("/journal").await, &told));
    assert!(told.iter().all(|told| told.event_id.is_none() && told.subject != "task"), "{told:?}");
    let set_up = told.iter().find(|told| told.subject == "department").unwrap();
    assert_eq!((set_up.who.as_str(), set_up.title.as_str()), ("Olga Wren", "Alder Bend Fire District"));
}

#[tokio::test]
async fn a_history_is_narrowed_to_a_person_and_a_kind_of_thing() {
    let test = TestApp::planned().await;
    let (mut olga, mut jun) = (test.olga().await, test.somebody(Role::InformationOfficer).await);
    let (goal, release) = (test.task("goal").await, test.task("news-release").await);
    for n in 0..62 {
        let path = format!("/events/1/tasks/{goal}/state");
        olga.post(&path, &[("state", if n % 2 == 0 { "done" } else { "to do" })]).await;
    }
    assert_eq!(jun.post(&format!("/events/1/tasks/{release}/state"), &[("state", "done")]).await.status, 303);
    let filed = [("sent_on", "2026-11-20"), ("burn_day", "2027-06-05")];
    assert_eq!(olga.post("/events/1/permits/1/sendings", &filed).await.status, 303);

    let page = olga.get("/events/1/journal").await;
    let numbers = page.attributes("#who option", "value");
    let names = page.all("#who option");
    assert_eq!(names.len(), 3, "everyone, and two people: {names:?}");
    let number = |name: &str| numbers[names.iter().position(|known| known == name).unwrap()].clone();
    let (wren, officer) = (number("Olga Wren"), number("Somebody, information officer"));
    let hers = olga.get(&format!("/events/1/journal?who={officer}&kind=")).await;
    assert_eq!(hers.attributes("[data-entry]", "data-entry"), ["task"]);
    assert!(hers.text("[data-entry]").contains("Somebody, information officer"));
    assert_eq!(hers.attributes("#who option[selected]", "value"), std::slice::from_ref(&officer));

    let kinds = page.all("#kind option");
    let [task, permit] = ["task", "permit"].map(|subject| History::of(&HISTORY).side_of(subject).unwrap());
    assert!(kinds.iter().any(|kind| kind == task) && kinds.iter().any(|kind| kind == permit), "{kinds:?}");
    let permits = olga.get(&format!("/events/1/journal?kind={}", query_escape(permit))).await;
    let entries = permits.attributes("[data-entry]", "data-entry");
    assert!(entries.len() >= 2 && entries.iter().all(|entry| entry == "permit"), "{entries:?}");
    assert_eq!(permits.text("#kind option[selected]"), permit);
    // Older changes are narrowed in the same way.
    let tasks = olga.get(&format!("/events/1/journal?who={wren}&kind={task}")).await;
    assert_eq!(tasks.all("[data-entry]").len(), 60);
    let older = olga.get(&tasks.attributes("main p a.btn", "href")[0].clone()).await;
    let entries = older.attributes("[data-entry]", "data-entry");
    assert!(entries.len() >= 2 && entries.iter().all(|entry| entry == "task"), "{entries:?}");
    assert!(older.all("[data-entry]").iter().all(|line| line.contains("Olga Wren")));

    let nothing = olga.get(&format!("/events/1/journal?who={officer}&kind={}", query_escape(permit))).await;
    assert!(nothing.has("[data-empty=history]") && !nothing.has("[data-entry]"));
    // What isn't on the list narrows nothing.
    assert_eq!(olga.get("/events/1/journal?kind=nonsense").await.all("[data-entry]").len(), 60);
    // A reader may look in the same way, a stranger may not.
    let mut reader = test.somebody(Role::Reader).await;
    let path = format!("/events/1/journal?kind={task}");
    assert_eq!(reader.get(&path).await.all("[data-entry]").len(), 60);
    assert_eq!(test.stranger().get(&path).await.status, 303);
}

#[tokio::test]
async fn every_kind_of_thing_in_a_history_can_be_looked_for_and_no_digest_is_shown() {
    let test = TestApp::empty().await;
    let links = demo::fill(&test.app, NOW).await.unwrap();
    let mut priya = test.stranger();
    priya.post(&format!("/enter/{}", links[0].1.reveal()), &[]).await;
    assert!(test.dump().contains("\"digest\""), "the store has digests");
    for event_id in [None, Some(1)] {
        let sides = journal::sides(test.app.db.read(), event_id).await.unwrap();
        assert!(sides.len() > 3, "{sides:?}");
        for side in &sides {
            assert!(History::of(&HISTORY).side_of(&side.subject).is_some(), "no one finds {:?}", side.subject);
        }
    }
    for path in ["/journal", "/events/1/journal"] {
        let mut next = Some(path.to_owned());
        while let Some(page) = next.take() {
            let page = priya.get(&page).await;
            let words = page.text("main");
            let is_hex = |word: &&str| word.len() > 20 && word.chars().all(|c| c.is_ascii_hexdigit());
            let digests: Vec<&str> = words.split(|c: char| !c.is_ascii_alphanumeric()).filter(is_hex).collect();
            assert!(digests.is_empty(), "{path}: {digests:?}");
            next = page.attributes("main p a.btn", "href").into_iter().next();
        }
    }
}

#[tokio::test]
async fn ones_own_account_shows_where_one_is_signed_in() {
    let test = TestApp::planned().await;
    let _other = test.olga().await;
    let page = test.olga().await.get("/you").await;
    assert_eq!(page.mark("[data-devices]", "devices"), "2");
    assert!(page.fact("Signed in on").contains('2') && page.says(OFFICER));
}
