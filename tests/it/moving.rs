//! Choosing a burn day and changing it.

use crate::support::{BURN_ON, TestApp};
use burnday::calc::calendar::Basis;
use burnday::db::journal;
use burnday::events;
use burnday::web::words::{self, Reader};
use time::macros::{date, time};

async fn new_event_form(test: &TestApp, burn_on: &str) -> (crate::support::Browser, crate::support::Filled) {
    let mut olga = test.olga().await;
    let form = olga.get("/events/new").await.form();
    let form = form.with("name", "Spring burn").with("site", "East lot").with("burn_on", burn_on);
    (olga, form.with("rain_on", ""))
}

#[tokio::test]
async fn a_new_event_starts_with_the_usual_tasks_and_is_the_current_one() {
    let test = TestApp::planned().await;
    let (mut olga, form) = new_event_form(&test, "2027-10-09").await;
    let answer = olga.submit("/events/new", &form).await;
    assert_eq!((answer.status, answer.location()), (303, "/events/2"));
    let page = olga.get("/events/2").await;
    assert!(!page.said().is_empty() && page.has("#chain [data-note=common-practice]"));
    let what = page.text(".what");
    assert!(what.contains(&Reader::App.moment(date!(2027 - 10 - 09).with_time(time!(10:00)))), "{what}");
    assert_eq!(what.matches("Sat, ").count(), 1, "no rain date: {what}");
    assert_eq!(olga.get("/events/2/edit").await.value("rain_on"), "");
    let event = events::find(test.app.db.read(), 2).await.unwrap().unwrap();
    assert_eq!(event.details.rain_on, None);
    assert_eq!(olga.get("/").await.location(), "/events/2");
    assert_eq!(olga.get("/events/2/tasks?state=all").await.all(".press > li").len(), 92);

    assert_eq!(olga.post("/events/1/current", &[]).await.status, 303);
    assert_eq!(olga.get("/").await.location(), "/events/1");
    assert_eq!(olga.get("/events").await.all(".plain-list li").len(), 2);
}

#[tokio::test]
async fn a_day_the_plan_can_not_meet_is_told_before_saving_with_the_earliest() {
    let test = TestApp::planned().await;
    let (mut olga, form) = new_event_form(&test, "2027-01-02").await;
    let answer = olga.submit("/events/new", &form).await;
    assert_eq!(answer.status, 422);
    // Thu, Mar 18 is the first day the plan can meet; Sat, Mar 20 is the first Saturday.
    assert_eq!(answer.mark("#refusal", "short"), "75");
    assert!(answer.text("#refusal").contains(&Reader::App.day(date!(2027 - 01 - 02))), "{}", answer.text("#refusal"));
    assert_eq!(answer.mark("#earliest", "earliest"), "2027-03-20");
    let earliest = answer.text("#earliest");
    for part in [Reader::App.day(date!(2027 - 03 - 20)), words::days(115, Basis::Calendar)] {
        assert!(earliest.contains(&part), "{part}: {earliest}");
    }
    assert_eq!(answer.value("name"), "Spring burn");
    assert!(events::find(test.app.db.read(), 2).await.unwrap().is_none());

    // The button is sent with everything else on the page.
    let taken = answer.form().with("act", "earliest").with("rain_on", "2027-01-09");
    assert_eq!(olga.submit("/events/new", &taken).await.location(), "/events/2");
    let event = events::find(test.app.db.read(), 2).await.unwrap().unwrap();
    assert_eq!(event.details.burn_on, date!(2027 - 03 - 20));
    assert_eq!(event.details.rain_on, Some(date!(2027 - 03 - 27)), "as far behind as before");
    let page = olga.get("/events/2").await;
    assert_eq!(page.mark("#chain", "spare"), "2");

    let anyway = olga.submit("/events/new", &form.and("act", "anyway")).await;
    assert_eq!(anyway.location(), "/events/3");
    let page = olga.get("/events/3").await;
    assert_eq!(page.mark("#chain", "spare"), "-75");
    assert_eq!(page.mark("#chain", "earliest"), "2027-03-18");
    let chain = page.text("#chain");
    for day in
        [date!(2027 - 01 - 02), date!(2027 - 03 - 18)].map(|day| Reader::App.near_day(day, date!(2026 - 11 - 25)))
    {
        assert!(chain.contains(&day), "{day}: {chain}");
    }
}

#[tokio::test]
async fn mistakes_in_an_event_are_told_by_field() {
    let test = TestApp::planned().await;
    let (mut olga, form) = new_event_form(&test, "2027-10-09").await;
    let form = form.with("name", "").with("burn_time", "25:00").with("rain_on", "2027-10-02").with("audience", "many");
    let answer = olga.submit("/events/new", &form.with("weekday", "Someday")).await;
    assert_eq!(answer.status, 422);
    let typed =
        [("name", ""), ("burn_time", "25:00"), ("rain_on", "2027-10-02"), ("audience", "many"), ("weekday", "none")];
    assert_eq!(answer.mistakes(), typed.map(|(field, _)| field));
    assert_eq!(answer.value("audience"), "many");
    let remedies = typed.map(|(field, value)| format!("{field}: {value} → {}", answer.mistake(field)));
    insta::assert_snapshot!("mistakes-in-an-event", remedies.join("\n"));
}

#[tokio::test]
async fn an_event_is_changed_but_not_its_day() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/edit").await.form().with("site", "West lot").and("burn_on", "2030-01-01");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!((event.details.site.as_str(), event.details.burn_on), ("West lot", BURN_ON));
    assert_eq!(event.date_revision, 1);
    let stale = olga.submit("/events/1/edit", &form).await;
    assert_eq!(stale.status, 409);
}

#[tokio::test]
async fn a_move_is_shown_first_and_then_made_by_one_confirmation() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let permit = test.task("event-permit").await;
    let goal = test.task("goal").await;
    for id in [permit, goal] {
        olga.post(&format!("/events/1/tasks/{id}/state"), &[("state", "done")]).await;
    }
    let before = test.dump();
    let preview = olga.get("/events/1/move?burn_on=2027-06-12&rain_on=2027-06-19").await;
    assert_eq!(before, test.dump());
    assert_eq!(preview.mark("#verdict", "later"), "7");
    assert!(preview.says(&Reader::App.day(date!(2027 - 06 - 12))));
    assert!(preview.mark("#verdict", "uneven").parse::<usize>().unwrap() > 0, "{}", preview.text("#verdict"));
    assert_eq!(preview.attributes("input[name=redo]", "value"), [permit.to_string()]);
    assert!(preview.has(&format!("tr[data-task='{}']", test.task("burn-permit").await)));

    let move_it =
        [("burn_on", "2027-06-12"), ("rain_on", "2027-06-19"), ("version", "1"), ("redo", &permit.to_string())];
    let answer = olga.post("/events/1/move", &move_it).await;
    assert_eq!((answer.status, answer.location()), (303, "/events/1"));
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!(event.date_revision, 2);
    assert_eq!(event.details.burn_on, date!(2027 - 06 - 12));
    assert_eq!(state(&test, permit).await, "to do");
    assert_eq!(state(&test, goal).await, "done");
    let told = journal::page(test.app.db.read(), Some(1), i64::MAX, 10).await.unwrap();
    let told = told.iter().find(|told| told.subject == "event").unwrap();
    let (from, to) = (Reader::App.day(BURN_ON), Reader::App.day(date!(2027 - 06 - 12)));
    let moved = told.changes.iter().find(|change| change.field == "burn day").unwrap();
    assert_eq!((told.who.as_str(), &moved.before, &moved.after), ("Olga Wren", &from, &to));
    let lines = olga.get("/events/1/journal").await.all(".plain-list > li");
    assert!(lines.iter().any(|line| ["Olga Wren", &from, &to].iter().all(|part| line.contains(*part))), "{lines:?}");
}

async fn state(test: &TestApp, id: i64) -> String {
    test.tasks().await.into_iter().find(|task| task.id == id).unwrap().state.to_string()
}

#[tokio::test]
async fn a_move_counts_only_what_is_ticked_to_be_done_again() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let permit = test.task("event-permit").await;
    olga.post(&format!("/events/1/tasks/{permit}/state"), &[("state", "done")]).await;
    let all = olga.get("/events/1/move?burn_on=2027-06-12").await;
    let none = olga.get("/events/1/move?burn_on=2027-06-12&chosen=yes").await;
    assert_eq!(all.attributes("input[name=redo][checked]", "value").len(), 1);
    assert_eq!(none.attributes("input[name=redo][checked]", "value").len(), 0);
    let row = format!("tr[data-task='{permit}']");
    assert!(all.has(&row) && !none.has(&row));
}

#[tokio::test]
async fn of_two_moves_the_second_is_told() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let to = |day: &'static str| [("burn_on", day), ("rain_on", ""), ("version", "1")];
    olga.post("/events/1/move", &to("2027-06-12")).await;
    let second = olga.post("/events/1/move", &to("2027-06-19")).await;
    assert_eq!(second.location(), "/events/1/move");
    assert!(!olga.get("/events/1/move").await.said().is_empty());
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!((event.date_revision, event.details.burn_on), (2, date!(2027 - 06 - 12)));
}

#[tokio::test]
async fn a_move_to_nowhere_is_refused() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for (burn_on, rain_on, field) in [
        ("2027-06-05", "", "burn_on"),
        ("never", "", "burn_on"),
        ("1900-01-01", "", "burn_on"),
        ("2026-11-24", "", "burn_on"),
        ("2027-06-12", "2027-06-12", "rain_on"),
    ] {
        let fields = [("burn_on", burn_on), ("rain_on", rain_on), ("version", "1")];
        let answer = olga.post("/events/1/move", &fields).await;
        assert_eq!(answer.status, 422, "{burn_on}");
        assert!(!answer.text(&format!("#{field}-mistake")).is_empty(), "{burn_on}");
        let preview = olga.get(&format!("/events/1/move?burn_on={burn_on}&rain_on={rain_on}")).await;
        assert_eq!(preview.status, 422);
    }
}
