use crate::support::{Answer, OFFICER, TestApp};
use burnday::accounts::Role;
use burnday::calc::calendar::federal_holidays;
use burnday::db::journal::{self, Told};
use burnday::web::words::{self, Reader};
use time::macros::date;

/// Does a history page show these entries and no others, in this order?
fn shows(page: &Answer, told: &[Told]) -> bool {
    let lines = page.all(".plain-list > li");
    let is_of = |(line, told): (&String, &Told)| line.contains(&told.who) && line.contains(&told.title);
    lines.len() == told.len() && lines.iter().zip(told).all(is_of)
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
    let told = journal::page(test.app.db.read(), None, i64::MAX, 100).await.unwrap();
    let of_days: Vec<&Told> = told.iter().filter(|told| told.subject == "closed day").collect();
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
    assert_eq!(newest.all(".plain-list > li").len(), 60);
    let older = newest.attributes("main p a.btn", "href")[0].clone();
    let older = olga.get(&older).await;
    assert_eq!(older.all(".plain-list > li").len(), 13);
    let told = journal::page(test.app.db.read(), Some(1), i64::MAX, 100).await.unwrap();
    let (new, old) = told.split_at(60);
    assert!(shows(&newest, new) && shows(&older, old));
    for (subject, number) in [("task", "92 "), ("permit", "8 ")] {
        let added = old.iter().find(|told| (told.subject.as_str(), told.verb.as_str()) == (subject, "added")).unwrap();
        assert!(added.title.starts_with(number) && added.who == "Olga Wren", "{added:?}");
    }
    let told = journal::page(test.app.db.read(), None, i64::MAX, 60).await.unwrap();
    assert!(shows(&olga.get("/journal").await, &told));
    assert!(told.iter().all(|told| told.event_id.is_none() && told.subject != "task"), "{told:?}");
    let set_up = told.iter().find(|told| told.subject == "department").unwrap();
    assert_eq!((set_up.who.as_str(), set_up.title.as_str()), ("Olga Wren", "Alder Bend Fire District"));
}

#[tokio::test]
async fn ones_own_account_shows_where_one_is_signed_in() {
    let test = TestApp::planned().await;
    let _other = test.olga().await;
    let page = test.olga().await.get("/you").await;
    assert_eq!(page.mark("[data-devices]", "devices"), "2");
    assert!(page.fact("Signed in on").contains('2') && page.says(OFFICER));
}
