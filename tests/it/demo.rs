//! The demo looks the same on any day.

use crate::crew::post;
use crate::support::{Answer, NOW, TestApp};
use burnday::accounts::Role;
use burnday::calc::calendar::Basis;
use burnday::demo;
use burnday::loans::{Free, LoanSnapshot, Step};
use burnday::web::words::{self, Reader};
use time::Duration;
use time::macros::date;

/// What is late on the countdown: where each line leads, and what it says about its day.
fn late(page: &Answer) -> Vec<(String, String)> {
    let hrefs = page.attributes(".press > li > .t > a", "href");
    let (dues, classes) = (page.all(".press > li > .due"), page.attributes(".press > li > .due", "class"));
    assert!(hrefs.len() == dues.len() && dues.len() == classes.len(), "every line has both");
    let lines = hrefs.into_iter().zip(dues).zip(classes);
    lines.filter(|(_, class)| class.contains("late")).map(|(line, _)| line).collect()
}

/// Does a text name this many days, and not as the end of a larger number?
fn says(text: &str, days: u32, basis: Basis) -> bool {
    format!(" {text} ").contains(&format!(" {} ", words::days(days, basis)))
}

#[tokio::test]
async fn on_any_day_two_tasks_a_gift_and_a_call_are_late_and_the_plan_just_fits() {
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
        // A gift that hasn't arrived, invitations and calls that are due, and two tasks.
        let late = late(&page);
        assert_eq!(page.mark("#now", "late"), late.len().to_string(), "day {day}");
        let permit = format!("/events/1/tasks/{}", test.task("burn-permit").await);
        let loans = format!("/events/1/tasks/{}", test.task("loan-requests").await);
        let tasks: Vec<&(String, String)> = late.iter().filter(|(href, _)| href.contains("/tasks/")).collect();
        assert_eq!(tasks.iter().map(|(href, _)| href).collect::<Vec<_>>(), [&permit, &loans], "day {day}");
        for (days, (_, due)) in [2, 1].into_iter().zip(tasks) {
            assert!(says(due, days, Basis::Working), "day {day}: {due}");
        }
        assert!(late.iter().any(|(_, due)| says(due, 9, Basis::Calendar)), "day {day}: {late:?}");
        let spare: i32 = page.mark("#chain", "spare").parse().unwrap();
        assert!((0..=3).contains(&spare), "day {day}: {spare}");
        assert!(page.has(&format!("#chain ol a[href='{permit}']")), "day {day}: {}", page.text("#chain"));
        assert_eq!(page.all(".waits > li").len(), 5, "day {day}");
    }
}

#[tokio::test]
async fn using_the_rain_date_shows_what_it_does_to_crew_loans_and_rooms() {
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
    let to = date!(2027 - 01 - 09);
    let line = |href: &str, name: &str| {
        let line = page.text(&format!("main li a[href='{href}']"));
        assert!(line.contains(name) && line.contains(&Reader::App.near_day(to, NOW.date())), "{name}: {line}");
    };
    let crew = test.crew().await;
    let pumps = crew.post(post(&crew, "pump operator")).unwrap();
    let filled = |on| crew.seats(pumps, on).filled;
    assert_eq!((pumps.details.needed, filled(to), filled(crew.event.details.burn_on)), (2, 1, 2));
    line(&format!("/events/1/crew/positions/{}", pumps.id), &pumps.details.name);
    let snapshot = LoanSnapshot::of_event(&test.app, test.event().await, NOW).await.unwrap();
    let loan = |what: &str| snapshot.loans.iter().find(|loan| loan.details.what == what).unwrap();
    let (clock, tables) = (loan("sports clock"), loan("tables and chairs"));
    assert_eq!(snapshot.availability(clock, to).free, Free::NotFree);
    let tables_stand = snapshot.availability(tables, to);
    assert_eq!((tables_stand.free, tables_stand.stage), (Free::Open, Some(Step::Asked)));
    line(&clock.href(), &clock.title());
    line(&tables.href(), &tables.title());
}

#[tokio::test]
async fn every_role_can_use_its_link_any_number_of_times() {
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
    assert!(refused.contains(&other.path().display().to_string()) && refused.contains("--folder"), "{refused}");
    assert!(other.path().join("burnday.db").exists());
}
