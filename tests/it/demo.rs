//! The demo looks the same on any day.

use crate::support::{NOW, TestApp};
use burnday::accounts::Role;
use burnday::demo;
use time::Duration;

#[tokio::test]
async fn on_any_day_two_tasks_a_gift_and_a_call_are_late_and_the_chain_just_fits() {
    for day in [0, 1, 2, 3, 4, 5, 6, 30, 40, 100, 221, 300] {
        let test = TestApp::empty().await;
        let now = NOW + Duration::days(day);
        test.at(now);
        let links = demo::fill(&test.app, now).await.unwrap();
        assert_eq!(links.len(), Role::ALL.len());
        let mut priya = test.stranger();
        priya.post(&format!("/enter/{}", links[0].1.reveal()), &[]).await;
        let page = priya.get("/events/1").await;
        assert_eq!(page.status, 200);
        let days: i64 = page.text(".days b").parse().unwrap();
        assert!((35..=41).contains(&days), "day {day}: {days}");
        // A gift that has not come, invitations and calls that are due, and two tasks.
        let late = page.all(".press .due.late");
        let count = page.text("h2 small");
        assert!(count.starts_with(&format!("{} late", late.len())), "day {day}: {count}");
        let tasks: Vec<&String> =
            late.iter().filter(|due| due.ends_with("working days late") || due.ends_with("working day late")).collect();
        assert_eq!(tasks, ["2 working days late", "1 working day late"], "day {day}");
        assert!(late.iter().any(|due| due == "9 days late"), "day {day}: {late:?}");
        let note = page.text(".note b");
        let fits = ["has no slack", "has 1 day of slack", "has 2 days of slack", "has 3 days of slack"];
        assert!(fits.iter().any(|words| note.contains(words)), "day {day}: {note}");
        assert!(page.text(".note").contains("Apply for the burn permit"), "day {day}: {}", page.text(".note"));
        assert_eq!(page.all(".waits > li").len(), 5, "day {day}");
    }
}

#[tokio::test]
async fn a_move_to_the_rain_date_shows_what_it_does_to_crew_loans_and_rooms() {
    let test = TestApp::empty().await;
    let links = demo::fill(&test.app, NOW).await.unwrap();
    let mut priya = test.stranger();
    priya.post(&format!("/enter/{}", links[0].1.reveal()), &[]).await;
    let page = priya.get("/events/1/move?burn_on=2027-01-09").await;
    assert_eq!(page.status, 200);
    let headings = page.all("h2");
    for place in ["Crew", "Loans", "Rooms"] {
        assert!(headings.iter().any(|heading| heading.starts_with(place)), "{place}: {headings:?}");
    }
    assert!(page.says("Pump operators, one per source: 1 of 2 seats filled on Sat 9 Jan"));
    assert!(page.says("Sports clock: not free on Sat 9 Jan"));
    assert!(page.says("Tables and chairs: not promised for Sat 9 Jan"));
}

#[tokio::test]
async fn each_role_enters_by_its_link_as_often_as_it_likes() {
    let test = TestApp::empty().await;
    for (role, secret) in demo::fill(&test.app, NOW).await.unwrap() {
        for _ in 0..2 {
            let mut browser = test.stranger();
            let path = format!("/enter/{}", secret.reveal());
            assert!(browser.get(&path).await.says(role.as_str()));
            assert_eq!(browser.post(&path, &[]).await.status, 303);
            assert!(browser.get("/you").await.says(role.as_str()));
        }
    }
}

#[test]
fn only_a_demos_folder_is_emptied() {
    let folder = tempfile::tempdir().unwrap();
    demo::clear(folder.path()).unwrap();
    demo::clear(folder.path()).unwrap();
    let other = tempfile::tempdir().unwrap();
    std::fs::write(other.path().join("burnday.db"), "precious").unwrap();
    let refused = demo::clear(other.path()).unwrap_err().to_string();
    assert!(refused.contains("no demo"), "{refused}");
    assert!(other.path().join("burnday.db").exists());
}
