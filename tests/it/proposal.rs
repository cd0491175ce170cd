//! The staffing proposal: what it says, and applying it.

use crate::crew::RAIN;
use crate::support::{Answer, BURN_ON, Browser, NOW, TestApp};
use burnday::accounts::Role;
use burnday::asks::{self, Hours};
use burnday::calc::duties::Duty;
use burnday::crew::{self, Assignment, Details, Kept};
use burnday::db::journal::Actor;
use burnday::web::words::{self, Reader};
use time::macros::{date, time};
use time::{Date, Time};

const PAGE: &str = "/events/1/crew/proposal";
const OFFICER: Actor = Actor::Account(1);

/// Adds a position and returns its number.
async fn post(test: &TestApp, name: &str, duty: Duty, needed: u16, (from, until): (Time, Time), needs: &[i64]) -> i64 {
    let details = Details {
        duty,
        name: name.to_owned(),
        needed,
        hours: Hours::between(from, until),
        spot: String::new(),
        reports_to: String::new(),
        wear: String::new(),
        bring: String::new(),
        cautions: String::new(),
        is_critical: !needs.is_empty(),
        needs: needs.to_vec(),
    };
    let add = test.app.db.write(move |tx| Box::pin(async move { crew::add_post(tx, OFFICER, 1, &details, NOW).await }));
    add.await.unwrap()
}

/// The number of the qualification to run a pump.
async fn driver(test: &TestApp) -> i64 {
    let add = crew::Qualification {
        id: 0,
        name: "Driver/operator".to_owned(),
        basis: "common practice".to_owned(),
        counts_as: None,
        version: 1,
    };
    let add =
        test.app.db.write(move |tx| Box::pin(async move { crew::add_qualification(tx, OFFICER, &add, NOW).await }));
    add.await.unwrap().unwrap()
}

/// Someone who can run a pump until that day.
async fn operator(test: &TestApp, name: &str, driver: i64, expires_on: Option<Date>) -> i64 {
    let mail = format!("{}@example.org", name.to_lowercase().replace(' ', "."));
    let person = test.person(name, &mail).await;
    let kept =
        Kept { qualification_id: driver, evidence: "4471".to_owned(), issued_by: "the county".to_owned(), expires_on };
    let hold = test.app.db.write(move |tx| Box::pin(async move { crew::hold(tx, OFFICER, person, &kept, NOW).await }));
    hold.await.unwrap().unwrap();
    person
}

async fn assigned(test: &TestApp) -> Vec<Assignment> {
    let mut db = test.app.db.read().acquire().await.unwrap();
    crew::assignments(&mut db, 1).await.unwrap()
}

/// The position and person of each assignment that isn't an alternate.
async fn seats(test: &TestApp) -> Vec<(i64, i64)> {
    let mut seats: Vec<_> =
        assigned(test).await.iter().filter(|one| !one.is_standby).map(|one| (one.post_id, one.person_id)).collect();
    seats.sort_unstable();
    seats
}

async fn take_over(browser: &mut Browser) -> u16 {
    let form = browser.get(PAGE).await.form();
    browser.submit(PAGE, &form).await.status
}

/// For a date: how many people are needed, how many places can be filled, and how many of
/// those by people who said yes, who haven't answered, and who weren't asked.
fn sum(page: &Answer, on: Date) -> [usize; 5] {
    let line = format!("p[data-day='{}']", words::iso(on));
    ["seats", "filled", "yes", "waiting", "not-asked"].map(|name| page.mark(&line, name).parse().unwrap())
}

/// The first gap of a date: how many people are needed, available and missing, and what the
/// page says about it.
fn missing(page: &Answer, on: Date) -> ([String; 3], String) {
    let line = format!("ul[data-day='{}'] > li", words::iso(on));
    (["needed", "can", "short"].map(|name| page.mark(&line, name)), page.text(&format!("{line} b")))
}

/// The mark at a position that has no backup for any one of these people: which position
/// that is, how many it is short without them, and on which days.
fn fall(page: &Answer, people: &str) -> [String; 3] {
    let line = format!("td:first-child > [data-lacks=backup][data-people='{people}']");
    ["posts", "short", "days"].map(|name| page.mark(&line, name))
}

fn near(on: Date) -> String {
    Reader::App.near_day(on, NOW.date())
}

const DAY: (Time, Time) = (time!(8:00), time!(13:00));

#[tokio::test]
async fn two_pumps_and_a_certificate_that_ends_before_the_rain_date() {
    let test = TestApp::planned().await;
    let driver = driver(&test).await;
    let first = post(&test, "First pump", Duty::PumpOperator, 1, DAY, &[driver]).await;
    let second = post(&test, "Second pump", Duty::PumpOperator, 1, DAY, &[driver]).await;
    let ada = operator(&test, "Ada Fenn", driver, None).await;
    let ben = operator(&test, "Ben Roe", driver, Some(date!(2027 - 06 - 08))).await;
    let mut olga = test.olga().await;
    let page = olga.get(PAGE).await;
    assert_eq!(sum(&page, BURN_ON), [2, 2, 0, 0, 2]);
    assert_eq!(sum(&page, RAIN), [2, 1, 0, 0, 1]);
    let (counts, says) = missing(&page, RAIN);
    assert_eq!(counts, ["2", "1", "1"]);
    for part in ["First pump", "Second pump", "Driver/operator", "Ada Fenn"] {
        assert!(says.contains(part), "{part}: {says}");
    }
    let closer = format!("[data-closer='{ben}']");
    assert_eq!(page.mark(&closer, "why"), "expired");
    for part in ["Ben Roe", "Driver/operator", &near(date!(2027 - 06 - 08)), &near(RAIN)] {
        assert!(page.text(&closer).contains(part), "{part}: {}", page.text(&closer));
    }
    assert!(page.has(&format!("{closer} a[href='/events/1/crew/people/{ben}']")));
    assert_eq!(fall(&page, &ada.to_string()), [first.to_string().as_str(), "1", "2027-06-05 2027-06-12"]);
    assert_eq!(fall(&page, &ben.to_string()), [second.to_string().as_str(), "1", "2027-06-05"]);
    for (person, post) in [(ada, first), (ben, second)] {
        assert!(page.has(&format!("[data-change=put][data-person='{person}'][data-post='{post}']")));
    }
    assert_eq!(seats(&test).await, [], "looking changes nothing");

    assert_eq!(take_over(&mut olga).await, 303);
    assert_eq!(seats(&test).await, [(first, ada), (second, ben)]);
    let page = olga.get(PAGE).await;
    assert!(page.has("[data-empty=changes]") && !page.has("main button.main"));
    let journal = test.dump();
    assert!(journal.contains("'assigned'") && journal.contains("First pump: Ada Fenn"));
    for word in ["safe ", "compliant"] {
        assert!(!page.text("main").to_lowercase().contains(word), "{word}");
    }
}

#[tokio::test]
async fn who_was_not_asked_closes_the_gap_if_only_those_asked_count() {
    let test = TestApp::planned().await;
    let driver = driver(&test).await;
    let pump = post(&test, "Pump", Duty::PumpOperator, 1, DAY, &[driver]).await;
    let ada = operator(&test, "Ada Fenn", driver, None).await;
    let mut olga = test.olga().await;
    let page = olga.get(&format!("{PAGE}?count=asked")).await;
    assert_eq!(sum(&page, BURN_ON), [1, 0, 0, 0, 0]);
    let (counts, says) = missing(&page, BURN_ON);
    assert_eq!(counts, ["1", "0", "1"]);
    assert!(says.contains("Pump") && says.contains("Driver/operator"), "{says}");
    let closer = page.text(&format!("[data-closer='{ada}'][data-why=not-asked]"));
    assert!(closer.contains("Ada Fenn") && closer.contains("Pump"), "{closer}");
    let link = format!("/events/1/crew/positions/{pump}?person={ada}");
    assert!(page.attributes("main a", "href").contains(&format!("{link}#assign")), "the link puts her there");
    assert_eq!(olga.get(&link).await.attributes("input[name=person][checked]", "value"), [ada.to_string()]);
}

#[tokio::test]
async fn a_proposal_that_is_no_more_is_refused_and_nothing_is_written() {
    let test = TestApp::planned().await;
    let driver = driver(&test).await;
    post(&test, "First pump", Duty::PumpOperator, 1, DAY, &[driver]).await;
    let ada = operator(&test, "Ada Fenn", driver, None).await;
    let mut olga = test.olga().await;
    let shown = olga.get(PAGE).await.form();
    // In the meantime someone enters that she leaves at ten.
    let there = Hours::between(time!(7:00), time!(10:00));
    let note = test.app.db.write(move |tx| {
        Box::pin(async move { crew::note_hours(tx, OFFICER, 1, (ada, "Ada Fenn"), BURN_ON, Some(there), NOW).await })
    });
    note.await.unwrap();
    let before = test.dump();
    let refused = olga.submit(PAGE, &shown).await;
    assert_eq!(refused.status, 409);
    assert!(refused.has("[data-note=stale]"));
    let closer = refused.text(&format!("[data-closer='{ada}'][data-why=hours]"));
    for part in ["Ada Fenn", "First pump", &there.says(), &Hours::between(DAY.0, DAY.1).says()] {
        assert!(closer.contains(part), "{part}: {closer}");
    }
    assert_eq!(before, test.dump());
    // She could still come on the rain date, which an assignment can't express.
    assert_eq!(refused.mark("[data-rain-alone]", "rain-alone"), "1");
    let alone = refused.text("[data-rain-alone]");
    assert!(alone.contains("Ada Fenn") && alone.contains("First pump"), "{alone}");
    assert_eq!(olga.post(PAGE, &[("fingerprint", "0")]).await.status, 409);
    assert_eq!(seats(&test).await, []);
}

#[tokio::test]
async fn who_moves_leaves_the_old_post_and_who_is_one_too_many_stands_by() {
    let test = TestApp::planned().await;
    let driver = driver(&test).await;
    let pump = post(&test, "Pump", Duty::PumpOperator, 1, DAY, &[driver]).await;
    let parking = post(&test, "Parking", Duty::Parking, 1, DAY, &[]).await;
    let ada = operator(&test, "Ada Fenn", driver, None).await;
    let others =
        [test.person("Cleo Marsh", "cleo@example.org").await, test.person("Dov Aldine", "dov@example.org").await];
    for person in [ada, others[0], others[1]] {
        let placing = crew::Placing { post_id: parking, person_id: person, is_standby: false, reason: String::new() };
        let event = burnday::events::find(test.app.db.read(), 1).await.unwrap().unwrap();
        let place = test.app.db.write(move |tx| {
            let (event, placing) = (event.clone(), placing.clone());
            Box::pin(async move { crew::place(tx, OFFICER, &event, &placing, NOW).await })
        });
        assert!(matches!(place.await.unwrap(), crew::Placed::Done { .. }));
    }
    let mut lead = test.somebody(Role::CrewLead).await;
    let page = lead.get(PAGE).await;
    assert_eq!(sum(&page, BURN_ON)[..2], [2, 2]);
    assert!(page.has(&format!("[data-change=off][data-person='{ada}'][data-post='{parking}']")));
    assert_eq!(page.count(&format!("[data-change=alternate][data-post='{parking}']")), 1);
    assert_eq!(take_over(&mut lead).await, 303);
    let all = seats(&test).await;
    assert_eq!(all.len(), 2);
    assert!(all.contains(&(pump, ada)));
    assert!(all.iter().any(|(post, person)| *post == parking && others.contains(person)));
    assert_eq!(assigned(&test).await.iter().filter(|one| one.is_standby && one.post_id == parking).count(), 1);
}

/// She said yes to parking on burn day and no to the rain date, and no one else can run the
/// pump.
#[tokio::test]
async fn what_people_said_counts_for_its_date_and_says_why_they_move() {
    let test = TestApp::planned().await;
    let driver = driver(&test).await;
    let pump = post(&test, "Pump", Duty::PumpOperator, 1, DAY, &[driver]).await;
    let parking = post(&test, "Parking", Duty::Parking, 1, DAY, &[]).await;
    let ada = operator(&test, "Ada Fenn", driver, None).await.to_string();
    let mut olga = test.olga().await;
    let assign = format!("/events/1/crew/positions/{parking}/assign");
    assert_eq!(olga.post(&assign, &[("person", &ada)]).await.status, 303);
    let ask = olga.get("/events/1/crew/ask").await.form().with("act", "ask");
    assert_eq!(olga.submit("/events/1/crew/ask", &ask).await.status, 303);
    let request = assigned(&test).await[0].request_id.unwrap();
    let asks = asks::find(test.app.db.read(), request).await.unwrap().unwrap().asks;
    let page = olga.get(PAGE).await;
    assert_eq!(sum(&page, BURN_ON), [2, 1, 0, 1, 0]);
    for (ask, said) in asks.iter().zip(["yes", "no"]) {
        let say = format!("{} {said}", ask.id);
        assert_eq!(test.stranger().post(&test.answer_path(request), &[("say", &say)]).await.status, 303);
    }

    let page = olga.get(PAGE).await;
    assert_eq!(sum(&page, BURN_ON), [2, 1, 1, 0, 0]);
    let moved = page.text(&format!("[data-change=put][data-person='{ada}'][data-post='{pump}'][data-why=moved]"));
    assert!(moved.contains("Parking"), "{moved}");
    let off = format!("[data-change=off][data-person='{ada}'][data-post='{parking}']");
    assert_eq!(page.mark(&off, "next"), "take-back");
    let gap = "ul[data-day='2027-06-12'] > li[data-needed='1'][data-can='0'][data-short='1']";
    let gaps = page.all(&format!("{gap} b"));
    assert!(gaps.iter().any(|says| says.contains("Pump") && says.contains("Driver/operator")), "{gaps:?}");
    let closer = page.text(&format!("{gap} [data-closer='{ada}'][data-why=no]"));
    assert!(closer.contains("Ada Fenn") && closer.contains(&near(RAIN)), "{closer}");
}

#[tokio::test]
async fn readers_look_and_may_not_take_it_over() {
    let test = TestApp::planned().await;
    let mut reader = test.somebody(Role::Reader).await;
    assert!(reader.get(PAGE).await.has("[data-empty=posts]"));
    post(&test, "Parking", Duty::Parking, 1, DAY, &[]).await;
    let page = reader.get(PAGE).await;
    let (counts, says) = missing(&page, BURN_ON);
    assert_eq!(counts, ["1", "0", "1"]);
    assert!(says.contains("Parking"), "{says}");
    assert!(!page.has("main button.main"));
    assert_eq!(reader.post(PAGE, &[]).await.status, 403);
    assert!(test.stranger().get(PAGE).await.location().starts_with("/sign-in"));
}

#[tokio::test]
async fn how_many_to_ask_is_worked_out_and_what_cant_be_is_said_beside_the_field() {
    let test = TestApp::planned().await;
    let parking = post(&test, "Parking", Duty::Parking, 12, DAY, &[]).await;
    let mut olga = test.olga().await;
    let people = [test.person("Ada Fenn", "").await, test.person("Ben Roe", "").await].map(|id| id.to_string());
    for person in &people {
        let assign = format!("/events/1/crew/positions/{parking}/assign");
        assert_eq!(olga.post(&assign, &[("person", person)]).await.status, 303);
    }
    let page = olga.get(PAGE).await;
    assert_eq!(sum(&page, BURN_ON)[..2], [12, 2]);
    assert_eq!(missing(&page, BURN_ON).0[2], "10");
    let either = people.join(" ");
    assert_eq!(fall(&page, &either)[..2], [parking.to_string().as_str(), "11"]);
    let says = page.text(&format!("[data-people='{either}']"));
    assert!(says.contains("Ada Fenn") && says.contains("Ben Roe"), "{says}");
    // The binomial tail: 19 for 12 at 95% with a show-up rate of 80%, 22 with 70%.
    let asked = async |olga: &mut Browser, query: &str| {
        olga.get(&format!("{PAGE}{query}")).await.attributes("tr[data-seats='12']", "data-ask")
    };
    assert_eq!(asked(&mut olga, "").await, ["19"]);
    assert_eq!(asked(&mut olga, "?rate=70").await, ["22"]);
    let mut remedies = Vec::new();
    for (field, value, limits) in [
        ("certainty", "100", ["50", "99"]),
        ("rate", "x", ["10", "100"]),
        ("rate", "0", ["10", "100"]),
        ("count", "nobody", ["", ""]),
    ] {
        let page = olga.get(&format!("{PAGE}?{field}={value}")).await;
        assert_eq!(page.status, 422, "{field}: {value}");
        assert_eq!(page.mistakes(), [field], "{value}");
        let remedy = page.mistake(field);
        assert!(limits.iter().all(|limit| remedy.contains(limit)), "{field}: {value}: {remedy}");
        remedies.push(format!("{field}: {value} → {remedy}"));
    }
    insta::assert_snapshot!("proposal-remedies", remedies.join("\n"));
}

/// Both are worked out from the crew before either is saved.
#[tokio::test]
async fn of_two_who_take_it_over_at_once_the_second_looks_again() {
    let test = TestApp::planned().await;
    let driver = driver(&test).await;
    post(&test, "First pump", Duty::PumpOperator, 1, DAY, &[driver]).await;
    operator(&test, "Ada Fenn", driver, None).await;
    let form = test.olga().await.get(PAGE).await.form();
    let mut pressed = Vec::new();
    for _ in 0..4 {
        let (mut browser, form) = (test.olga().await, form.clone());
        pressed.push(tokio::spawn(async move { browser.submit(PAGE, &form).await.status }));
    }
    let mut statuses = Vec::new();
    for one in pressed {
        statuses.push(one.await.unwrap());
    }
    statuses.sort_unstable();
    assert_eq!(statuses, [303, 409, 409, 409]);
    assert_eq!(assigned(&test).await.len(), 1);
    assert_eq!(test.dump().matches("First pump: Ada Fenn").count(), 1, "one entry in the journal");
}
