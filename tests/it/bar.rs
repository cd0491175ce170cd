//! The bar, the pages of each place, the way up, and addresses of earlier versions.

use crate::pages::addresses;
use crate::support::post::letter;
use crate::support::{Browser, NOW, TestApp};
use burnday::accounts::Role;
use burnday::mail::Letter;
use burnday::{asks, demo};
use std::collections::BTreeSet;
use time::Duration;

/// Pages of the department as a whole stand beside the places.
const HERE: &str = ".places a[aria-current], .me a[aria-current]";

#[tokio::test]
async fn every_page_says_where_it_is_and_leads_up() {
    let test = TestApp::walked().await;
    let mut olga = test.olga().await;
    let mut below = 0;
    for (route, path) in addresses(&test).await {
        let answer = olga.get(&path).await;
        if answer.status != 200 || !answer.has("header.top") {
            continue;
        }
        assert_eq!(answer.count(HERE), 1, "{path}");
        let pages = answer.attributes(".pages a", "href");
        assert!(pages.is_empty() || answer.count(".pages a[aria-current]") == 1, "{path}");
        let address = path.split('?').next().unwrap().to_owned();
        let up = answer.attributes("[data-up]", "href");
        if pages.contains(&address) || pages.is_empty() {
            assert!(up.is_empty(), "{path} is in the row");
            assert!(answer.attributes(HERE, "aria-current").iter().all(|mark| mark == "page" || mark == "true"));
        } else {
            below += 1;
            let [up] = up.as_slice() else { panic!("{path} leads up to {up:?} ({})", route.path) };
            assert_eq!(olga.get(up).await.status, 200, "{path} leads up to {up}");
            assert_ne!(*up, address);
        }
    }
    assert!(below > 20, "only {below} pages are below others");
}

#[tokio::test]
async fn the_bar_leads_nobody_to_a_closed_door() {
    let test = TestApp::walked().await;
    for role in [Role::Reader, Role::Timekeeper, Role::CrewLead, Role::InformationOfficer, Role::EducationOfficer] {
        let mut browser = test.somebody(role).await;
        let (mut open, mut seen) = (vec!["/events/1".to_owned()], BTreeSet::new());
        while let Some(path) = open.pop() {
            if !seen.insert(path.clone()) {
                continue;
            }
            let page = browser.get(&path).await;
            assert_eq!(page.status, 200, "{role:?}: {path}");
            for links in [".places a", ".pages a", ".me a"] {
                open.extend(page.attributes(links, "href"));
            }
        }
        assert!(seen.len() > 30, "{role:?}: {seen:?}");
    }
}

#[tokio::test]
async fn a_place_counts_what_needs_someone_until_it_is_done() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let messages = |page: &crate::support::Answer| page.attributes(".places a[href$=\"/replies\"]", "data-count");
    assert!(messages(&olga.get("/people").await).is_empty());
    let wren = test.person("Wren Ibarra", "").await;
    test.ask(&[wren], &["burn day"]).await;
    // Wren has no email, so somebody has to call, and then to say that the site is another one.
    assert_eq!(messages(&olga.get("/people").await), ["1"]);
    let form = olga.get("/events/1/edit").await.form().with("site", "Fairground, west lot");
    assert_eq!(olga.submit("/events/1/edit", &form.and("act", "save")).await.status, 303);
    for path in ["/people", "/events/1", "/settings"] {
        assert_eq!(messages(&olga.get(path).await), ["2"], "{path}");
    }
}

#[tokio::test]
async fn a_place_counts_what_its_own_page_lists_as_wrong() {
    let test = TestApp::empty().await;
    let links = demo::fill(&test.app, NOW).await.unwrap();
    let mut priya = test.stranger();
    priya.post(&format!("/enter/{}", links[0].1.reveal()), &[]).await;
    for (place, wrong) in [
        ("crew", "[data-problems~=open], [data-problems~=rule]"),
        ("loans", "[data-problem], [data-unlisted]"),
        ("rooms", "[data-orphan]"),
    ] {
        let page = priya.get(&format!("/events/1/{place}")).await;
        let undecided = page.attributes("[data-undecided]", "data-undecided");
        let undecided = undecided.iter().map(|count| count.parse::<usize>().unwrap()).sum::<usize>();
        let listed = page.count(wrong) + undecided;
        assert!(listed > 0, "{place}");
        let count = page.attributes(&format!(".places a[href$=\"/{place}\"]"), "data-count");
        // What is due today comes on top, where it is about something else.
        let [count] = count.as_slice() else { panic!("{place}: {count:?}") };
        assert!((listed..listed + 5).contains(&count.parse().unwrap()), "{place}: {count} for {listed}");
    }
}

#[tokio::test]
async fn an_item_in_one_room_only_is_counted_until_the_other_room_has_it() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    assert_eq!(olga.get("/people").await.attributes(".places a[href$=\"/rooms\"]", "data-count"), ["1"]);
    assert_eq!(olga.post("/events/1/rooms/items/1/copy", &[]).await.status, 303);
    assert!(!olga.get("/people").await.has(".places a[href$=\"/rooms\"][data-count]"));
}

#[tokio::test]
async fn what_is_wrong_and_due_is_counted_once() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let lender = test.person("Wren Ibarra", "wren@example.org").await.to_string();
    let form = olga.get("/events/1/loans/new").await.form();
    let form = form.with("what", "generator").with("lender", &lender).with("is_single", "yes");
    assert_eq!(olga.submit("/events/1/loans/new", &form).await.status, 303);
    let burn_on = test.event().await.details.burn_on;
    for days in [60, 7] {
        test.at(burn_on.midnight().assume_utc() - Duration::days(days));
        let mut olga = test.olga().await;
        let page = olga.get("/events/1/loans").await;
        assert_eq!(page.count("[data-problem]"), 1, "{days}");
        let count = page.attributes(".places a[href$=\"/loans\"]", "data-count");
        assert_eq!(count, ["1"], "{days} days before, no backup");
    }
}

#[tokio::test]
async fn open_positions_are_counted_before_anything_is_due() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert_eq!(olga.post("/events/1/crew/template", &[]).await.status, 303);
    let page = olga.get("/events/1/crew").await;
    let open = page.count("[data-problems~=open]");
    assert!(open > 5, "{open}");
    assert_eq!(page.attributes(".places a[href$=\"/crew\"]", "data-count"), [open.to_string()]);
}

#[tokio::test]
async fn old_addresses_lead_to_the_pages_of_today() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    for (old, new) in [
        ("/events/1/asks?kind=guest", "/events/1/replies?kind=guest"),
        ("/events/1/asks/1", "/events/1/replies/1"),
        ("/events/1/reminders", "/events/1/scheduled"),
        ("/events/1/guests/programme", "/events/1/guests/program"),
        ("/events/1/guests/day", "/events/1/burn-day/guests"),
        ("/events/1/guests/sheet", "/events/1/burn-day/presenter"),
        ("/events/1/guests/cards", "/events/1/burn-day/cards"),
        ("/events/1/crew/day", "/events/1/burn-day/crew"),
        ("/events/1/crew/sheets", "/events/1/burn-day/call-sheets"),
        ("/events/1/press/day", "/events/1/burn-day/press"),
        ("/events/1/press/papers", "/events/1/press/releases"),
        ("/events/1/rooms/sourcing", "/events/1/rooms/shopping"),
        ("/events/1/rooms/things/1", "/events/1/rooms/items/1"),
        ("/people/1/forget", "/people/1/erase"),
    ] {
        let answer = olga.get(old).await;
        assert_eq!((answer.status, answer.location()), (308, new), "{old}");
        assert_eq!(olga.get(new).await.status, 200, "{new}");
    }
    // A form that was open during the upgrade keeps what was typed: 308 repeats the post.
    let answer = olga.post("/events/1/asks/1/answers", &[("say", "x")]).await;
    assert_eq!((answer.status, answer.location()), (308, "/events/1/replies/1/answers"));
}

#[tokio::test]
async fn burn_day_gathers_who_comes_and_whom_to_call() {
    let test = TestApp::walked().await;
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/burn-day").await;
    let pages = page.attributes("[data-page] a", "href");
    assert_eq!(pages.len(), 7, "{pages:?}");
    for path in &pages {
        assert_eq!(olga.get(path).await.status, 200, "{path}");
    }
    let mut reader = test.somebody(Role::Reader).await;
    let page = reader.get("/events/1/burn-day").await;
    assert_eq!(page.count("[data-page]"), 6, "no list of private numbers");
    assert_eq!(reader.get("/events/1/burn-day/contacts").await.status, 403);
    assert!(test.stranger().get("/events/1/burn-day").await.location().starts_with("/sign-in"));
    let mut lead = test.somebody(Role::CrewLead).await;
    let contacts = lead.get("/events/1/burn-day/contacts").await;
    assert_eq!(contacts.status, 200);
}

#[tokio::test]
async fn who_declined_is_not_on_the_contact_list() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (wren, ana) = (test.person("Wren Ibarra", "").await, test.person("Ana Vale", "").await);
    let asked = test.ask(&[wren, ana], &["burn day"]).await;
    for (request, said) in asked.iter().zip(["yes", "no"]) {
        say(&test, &mut olga, *request, said).await;
    }
    let list = olga.get("/events/1/burn-day/contacts").await;
    assert_eq!(list.attributes("[data-person]", "data-person"), [wren.to_string()]);
    say(&test, &mut olga, asked[1], "yes").await;
    let list = olga.get("/events/1/burn-day/contacts").await;
    assert_eq!(list.count("[data-person]"), 2);
}

/// Records a reply that came by phone.
async fn say(test: &TestApp, olga: &mut Browser, request: i64, said: &str) {
    let ask = asks::find(test.app.db.read(), request).await.unwrap().unwrap().asks[0].id;
    let path = format!("/events/1/replies/{request}/answers");
    assert_eq!(olga.post(&path, &[("say", &format!("{ask} {said}"))]).await.status, 303, "{said}");
}

#[tokio::test]
async fn sent_holds_the_messages_of_its_event() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let of_none = Letter { event_id: None, request_id: None, dedup: "none".to_owned(), ..letter(1) };
    let of_event = Letter { event_id: Some(1), dedup: "one".to_owned(), ..letter(2) };
    let (_, mine) = (test.queue(of_none).await, test.queue(of_event).await);
    let sent = olga.get("/events/1/sent?state=waiting").await;
    assert_eq!(sent.attributes("[data-mail]", "data-mail"), [mine.to_string()]);
    assert_eq!(sent.mark("[data-state=waiting]", "number"), "1");
    assert_eq!(olga.get("/mail").await.count("[data-mail]"), 2);
    let message = olga.get(&format!("/mail/{mine}")).await;
    assert_eq!(message.attributes("[data-up]", "href"), ["/events/1/sent"]);
    assert_eq!(test.somebody(Role::Reader).await.get("/events/1/sent").await.status, 403);
    assert_eq!(olga.get("/events/9/sent").await.status, 404);
}
