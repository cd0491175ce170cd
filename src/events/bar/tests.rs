use super::*;
use crate::accounts::{Department, Role};

fn user(role: Role) -> User {
    User { account_id: 1, person_id: 1, name: "Priya Okafor".to_owned(), role, department: Department::default() }
}

fn bar(role: Role, path: &str, due: &[&str]) -> Bar {
    let due: Vec<String> = due.iter().map(|&href| href.to_owned()).collect();
    Bar::of(&user(role), Some(&crate::events::tests::event(7)), path, &due)
}

#[test]
fn an_address_says_where_a_page_belongs() {
    for (path, place, page, up) in [
        ("/events/7", "Countdown", "To do", None),
        ("/events/7/tasks", "Countdown", "All tasks", None),
        ("/events/7/tasks/12/edit", "Countdown", "All tasks", Some("/events/7/tasks")),
        ("/events/7/guests/3", "Guests", "Guest list", Some("/events/7/guests")),
        ("/events/7/guests/gifts/3", "Guests", "Gifts", Some("/events/7/guests/gifts")),
        ("/events/7/burn-day/guests", "Burn day", "Guest check-in", None),
        ("/events/7/replies/new", "Messages", "Replies", Some("/events/7/replies")),
        ("/events", "Events", "Events", None),
        ("/events/new", "Events", "Plan a burn", None),
        ("/people/5/edit", "People", "People", Some("/people")),
        ("/settings/qualifications", "Settings", "Qualifications", None),
        ("/mail/9", "Settings", "Email", Some("/mail")),
    ] {
        let bar = bar(Role::EducationOfficer, path, &[]);
        let page_here = bar.pages.iter().find(|page| page.is_here).map(|page| page.name);
        assert_eq!((bar.here, page_here), (place, Some(page)), "{path}");
        assert_eq!(bar.up.map(|up| up.href).as_deref(), up, "{path}");
        let marked = bar.places.iter().chain(&bar.beside).filter(|place| place.is_here).count();
        assert_eq!(marked, 1, "{path}");
    }
    // Event 70 isn't event 7.
    assert_eq!(bar(Role::EducationOfficer, "/events/70", &[]).here, "Events");
}

#[test]
fn nobody_is_sent_where_they_may_not_go() {
    let names = |role, path| bar(role, path, &[]).pages.iter().map(|page| page.name).collect::<Vec<_>>();
    assert_eq!(names(Role::Reader, "/events/7/replies"), ["Replies", "Scheduled"]);
    assert_eq!(names(Role::EducationOfficer, "/events/7/replies"), ["Replies", "Scheduled", "Sent"]);
    assert!(!names(Role::Timekeeper, "/events/7").contains(&"Change the date"));
    assert!(!bar(Role::Reader, "/events/7", &[]).beside.iter().any(|place| place.name == "People"));
    assert!(bar(Role::CrewLead, "/events/7", &[]).beside.iter().any(|place| place.name == "People"));
}

#[test]
fn what_is_due_is_counted_at_its_place() {
    let due = ["/events/7/guests/4#called", "/events/7/guests/thanks", "/events/7/replies#tell", "/events/7/permits/2"];
    let bar = bar(Role::EducationOfficer, "/people", &due);
    let counts: Vec<(&str, usize)> =
        bar.places.iter().filter(|place| place.count > 0).map(|place| (place.name, place.count)).collect();
    assert_eq!(counts, [("Guests", 2), ("Messages", 1)]);
}
