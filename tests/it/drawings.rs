//! The timeline on the Countdown, and the wall plan.

use crate::support::{Answer, BURN_ON, NOW, TestApp};
use burnday::accounts::Role;
use burnday::countdown::TaskState;
use burnday::demo;
use burnday::permit_records;
use burnday::web::words;
use std::collections::BTreeSet;
use time::Duration;

fn marks(page: &Answer, selector: &str, name: &str) -> BTreeSet<String> {
    page.attributes(selector, name).into_iter().collect()
}

/// The numbers of the tasks that need doing, burn day left out.
async fn needed(test: &TestApp) -> BTreeSet<String> {
    let tasks = test.tasks().await.into_iter();
    tasks.filter(|task| !task.is_burn && task.state != TaskState::NotNeeded).map(|task| task.id.to_string()).collect()
}

#[tokio::test]
async fn the_wall_plan_has_every_task_with_its_name_drawn_and_in_tables() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let goal = test.task("goal").await;
    let fields = [("state", "not needed"), ("back", "/events/1")];
    assert_eq!(olga.post(&format!("/events/1/tasks/{goal}/state"), &fields).await.status, 303);
    let burn = test.task("burn").await.to_string();
    for mut browser in [olga, test.somebody(Role::Reader).await] {
        let wall = browser.get("/events/1/wall").await;
        assert_eq!(wall.status, 200);
        let needed = needed(&test).await;
        assert_eq!(marks(&wall, "[data-poster] rect", "data-task"), needed);
        assert_eq!(marks(&wall, "[data-poster] text", "data-name"), needed);
        assert_eq!(wall.count("[data-poster] rect"), needed.len());
        let in_tables = marks(&wall, "tr[data-plan]", "data-plan");
        assert_eq!(in_tables.len(), wall.count("tbody tr"));
        assert!(in_tables.contains(&burn) && in_tables.is_superset(&needed) && in_tables.len() == needed.len() + 1);
        for task in test.tasks().await.iter().filter(|task| needed.contains(&task.id.to_string())) {
            let name = wall.text(&format!("[data-name='{}']", task.id));
            assert!(name.starts_with(&task.details.title), "{name}");
        }
        assert_eq!(marks(&wall, "[data-line]", "data-line").into_iter().collect::<Vec<_>>(), ["burn", "rain", "today"]);
        assert!(wall.has("[data-poster][role=img][aria-label]") && !wall.has("[data-poster] a"));
        assert!(wall.has(".poster [data-note=common-practice]"));
        assert_eq!(wall.mark(".poster .verdict", "spare"), browser.get("/events/1").await.mark("#chain", "spare"));
    }
    assert_eq!(test.stranger().get("/events/1/wall").await.status, 303);
}

#[tokio::test]
async fn what_is_late_and_what_sets_the_date_is_marked_in_both_drawings() {
    let test = TestApp::planned().await;
    let goal = test.task("goal").await.to_string();
    let chain = |page: &Answer| marks(page, "#chain ol a", "href");
    for days in [0, 14] {
        // The goal is due 180 days before burn day, 12 days from now.
        test.at(NOW + Duration::days(days));
        let mut olga = test.olga().await;
        let (page, wall) = (olga.get("/events/1").await, olga.get("/events/1/wall").await);
        let late = marks(&wall, "rect.late", "data-task");
        assert_eq!(late.contains(&goal), days == 14, "day {days}: {late:?}");
        assert_eq!(page.count(".ruler rect.late"), late.len());
        let critical = marks(&wall, "rect.inchain", "data-task");
        let links: BTreeSet<String> = critical.iter().map(|id| format!("/events/1/tasks/{id}")).collect();
        assert_eq!(links, chain(&page), "day {days}");
        assert_eq!(page.count(".ruler rect.inchain"), critical.len());
        // On the small timeline, only these have names.
        let named = marks(&page, ".ruler [data-name]", "data-name");
        assert!(!named.is_empty() && named.is_subset(&critical), "day {days}: {named:?}");
        assert_eq!(marks(&page, ".ruler [data-task]", "data-task"), needed(&test).await);
        let strong = marks(&wall, "text.strong", "data-name");
        assert_eq!(strong, critical, "day {days}");
    }
}

#[tokio::test]
async fn the_demos_timeline_is_low() {
    let test = TestApp::empty().await;
    let links = demo::fill(&test.app, NOW).await.unwrap();
    let mut priya = test.stranger();
    priya.post(&format!("/enter/{}", links[0].1.reveal()), &[]).await;
    let page = priya.get("/events/1").await;
    let size = page.attributes(".ruler svg", "viewBox").remove(0);
    let height: f64 = size.split(' ').nth(3).unwrap().parse().unwrap();
    assert!((150.0..=330.0).contains(&height), "{size}");
    assert!(page.count(".ruler rect") > 80);
}

#[tokio::test]
async fn the_wall_plan_has_the_days_for_answers_and_when_permits_expire() {
    let test = TestApp::empty().await;
    let links = demo::fill(&test.app, NOW).await.unwrap();
    let mut priya = test.stranger();
    priya.post(&format!("/enter/{}", links[0].1.reveal()), &[]).await;
    let wall = priya.get("/events/1/wall").await;
    let (drawn, listed) = (marks(&wall, "[data-date]", "data-date"), marks(&wall, "[data-on]", "data-on"));
    assert_eq!(drawn, listed);
    let mut db = test.app.db.read().acquire().await.unwrap();
    let permits = permit_records::of_event(&mut db, 1).await.unwrap();
    drop(db);
    let expires: Vec<String> = permits.iter().filter_map(|permit| permit.details.expires_on).map(words::iso).collect();
    assert!(!expires.is_empty() && expires.iter().all(|on| drawn.contains(on)), "{expires:?} in {drawn:?}");

    // Once the crew's answers are in, the wall no longer says when they are due.
    let crew = test.task("crew-confirmed").await;
    let due = priya.get(&format!("/events/1/tasks/{crew}")).await.mark("[data-due]", "due");
    assert!(drawn.contains(&due), "{due} in {drawn:?}");
    let on_that_day = |page: &Answer| page.text(&format!("[data-on='{due}']"));
    let before = on_that_day(&wall);
    priya.post(&format!("/events/1/tasks/{crew}/state"), &[("state", "done"), ("back", "/events/1")]).await;
    assert_ne!(on_that_day(&priya.get("/events/1/wall").await), before);
}

#[tokio::test]
async fn both_drawings_are_there_on_any_day_before_and_after_the_burn() {
    let test = TestApp::planned().await;
    let tasks = needed(&test).await.len();
    let away = (BURN_ON - NOW.date()).whole_days();
    for days in [0, away - 1, away, away + 1, away + 7, away + 900] {
        test.at(NOW + Duration::days(days));
        let mut olga = test.olga().await;
        for (path, drawing) in [("/events/1", ".ruler rect"), ("/events/1/wall", "[data-poster] rect")] {
            let page = olga.get(path).await;
            assert_eq!((page.status, page.count(drawing)), (200, tasks), "{path} on day {days}");
        }
    }
}
