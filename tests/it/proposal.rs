//! The proposal for the crew: what it says, and taking it over.

use crate::support::{Browser, NOW, TestApp};
use burnday::accounts::Role;
use burnday::asks::{self, Hours};
use burnday::calc::duties::Duty;
use burnday::crew::{self, Assignment, Details, Kept};
use burnday::db::journal::Actor;
use time::macros::{date, time};
use time::{Date, Time};

const PAGE: &str = "/events/1/crew/proposal";
const OFFICER: Actor = Actor::Account(1);

/// Adds a post and gives its number.
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

/// Somebody who can run a pump until that day.
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

/// The post and person of each assignment that isn't a stand-by.
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
    assert!(page.says("All 2 seats can be filled: 2 by people who are still to be asked."), "{}", page.text("main"));
    assert!(page.says("1 of 2 seats can be filled: 1 by people who are still to be asked."));
    assert!(page.says(
        "“First pump” and “Second pump” need 2 people with “Driver/operator”. 1 person can stand there: Ada Fenn. One is \
         missing."
    ));
    assert!(page.says("Ben Roe holds “Driver/operator” until Tue 8 Jun 2027, not on Sat 12 Jun 2027. Renew"));
    assert!(page.says("If Ada Fenn doesn’t come, “First pump” has nobody."), "{}", page.text("main"));
    assert!(page.says("Sat 5 Jun 2027: if Ben Roe doesn’t come, “Second pump” has nobody."));
    assert!(page.says("Ada Fenn comes to “First pump”") && page.says("Ben Roe comes to “Second pump”"));
    assert_eq!(seats(&test).await, [], "looking changes nothing");

    assert_eq!(take_over(&mut olga).await, 303);
    assert_eq!(seats(&test).await, [(first, ada), (second, ben)]);
    let page = olga.get(PAGE).await;
    assert!(page.says("Nothing: the crew stands as proposed for burn day.") && page.all("main button.main").is_empty());
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
    assert!(page.says("0 of 1 seats can be filled."), "{}", page.text("main"));
    assert!(page.says("“Pump” needs 1 person with “Driver/operator”. Nobody can stand there. One is missing."));
    assert!(page.says("Ada Fenn was not asked about this date, and could stand at “Pump”."));
    let link = format!("/events/1/crew/posts/{pump}?person={ada}");
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
    // Meanwhile somebody notes that she leaves at ten.
    let hours = Some(Hours::between(time!(7:00), time!(10:00)));
    let on = crate::support::BURN_ON;
    let note = test.app.db.write(move |tx| {
        Box::pin(async move { crew::note_hours(tx, OFFICER, (1, (ada, "Ada Fenn"), on), hours, NOW).await })
    });
    note.await.unwrap();
    let before = test.dump();
    let refused = olga.submit(PAGE, &shown).await;
    assert_eq!(refused.status, 409);
    assert!(refused.says("Nothing was taken over: something changed since that proposal was shown."));
    assert!(refused.says("Ada Fenn can be there 07:00 to 10:00; “First pump” is 08:00 to 13:00."));
    assert_eq!(before, test.dump());
    // She still could come on the rain date, which an assignment can't say.
    assert!(refused.says("For the rain date alone, and so no part of it: Ada Fenn at “First pump”."));
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
    assert!(page.says("All 2 seats can be filled"));
    assert!(page.says("Ada Fenn leaves “Parking”"), "{}", page.text("main"));
    assert!(page.says("is an alternate at “Parking”"), "{}", page.text("main"));
    assert_eq!(take_over(&mut lead).await, 303);
    let all = seats(&test).await;
    assert_eq!(all.len(), 2);
    assert!(all.contains(&(pump, ada)));
    assert!(all.iter().any(|(post, person)| *post == parking && others.contains(person)));
    assert_eq!(assigned(&test).await.iter().filter(|one| one.is_standby && one.post_id == parking).count(), 1);
}

/// She said yes to parking on burn day and no to the rain date, and is the only
/// one who can run the pump.
#[tokio::test]
async fn what_people_said_counts_for_its_date_and_says_why_they_move() {
    let test = TestApp::planned().await;
    let driver = driver(&test).await;
    post(&test, "Pump", Duty::PumpOperator, 1, DAY, &[driver]).await;
    let parking = post(&test, "Parking", Duty::Parking, 1, DAY, &[]).await;
    let ada = operator(&test, "Ada Fenn", driver, None).await.to_string();
    let mut olga = test.olga().await;
    let assign = format!("/events/1/crew/posts/{parking}/assign");
    assert_eq!(olga.post(&assign, &[("person", &ada)]).await.status, 303);
    let ask = olga.get("/events/1/crew/ask").await.form().with("act", "ask");
    assert_eq!(olga.submit("/events/1/crew/ask", &ask).await.status, 303);
    let request = assigned(&test).await[0].request_id.unwrap();
    let asks = asks::find(test.app.db.read(), request).await.unwrap().unwrap().asks;
    let page = olga.get(PAGE).await;
    assert!(page.says("1 of 2 seats can be filled: 1 by people who haven’t answered yet."), "{}", page.text("main"));
    for (ask, said) in asks.iter().zip(["yes", "no"]) {
        let say = format!("{} {said}", ask.id);
        assert_eq!(test.stranger().post(&test.answer_path(request), &[("say", &say)]).await.status, 303);
    }

    let page = olga.get(PAGE).await;
    assert!(page.says("1 of 2 seats can be filled: 1 by people who said yes."), "{}", page.text("main"));
    assert!(page.says("said yes to “Parking”; without the move a seat would stay open"));
    assert!(page.says("they were asked about it, so take that question back among the asks"));
    assert!(page.says("“Pump” needs 1 person with “Driver/operator”. Nobody can stand there. One is missing."));
    assert!(page.says("Ada Fenn said no to Sat 12 Jun 2027."));
    let lists = page.all("main li").join(" ");
    assert!(lists.contains("Would close it"), "{lists}");
}

#[tokio::test]
async fn readers_look_and_may_not_take_it_over() {
    let test = TestApp::planned().await;
    let mut reader = test.somebody(Role::Reader).await;
    assert!(reader.get(PAGE).await.says("There are no posts yet, so there is nobody to place."));
    post(&test, "Parking", Duty::Parking, 1, DAY, &[]).await;
    assert!(reader.get(PAGE).await.says("“Parking” needs 1 person. Nobody can stand there. One is missing."));
    assert!(reader.get(PAGE).await.all("main button.main").is_empty());
    assert_eq!(reader.post(PAGE, &[]).await.status, 403);
    assert!(test.stranger().get(PAGE).await.location().starts_with("/sign-in"));
}

#[tokio::test]
async fn how_many_to_ask_is_worked_out_and_what_cant_be_is_said_beside_the_field() {
    let test = TestApp::planned().await;
    let parking = post(&test, "Parking", Duty::Parking, 12, DAY, &[]).await;
    let mut olga = test.olga().await;
    for name in ["Ada Fenn", "Ben Roe"] {
        let person = test.person(name, "").await.to_string();
        let assign = format!("/events/1/crew/posts/{parking}/assign");
        assert_eq!(olga.post(&assign, &[("person", &person)]).await.status, 303);
    }
    let page = olga.get(PAGE).await;
    assert!(page.says("2 of 12 seats can be filled") && page.says("10 are missing."));
    assert!(page.says("If Ada Fenn or Ben Roe doesn’t come, “Parking” is 11 short."), "{}", page.text("main"));
    // The binomial tail: 19 for 12 with 95 % at a show rate of 80 %, 22 at 70 %.
    let asked = async |olga: &mut Browser, query: &str| olga.get(&format!("{PAGE}{query}")).await.all("main table td");
    assert!(asked(&mut olga, "").await.contains(&"19, 7 more than seats".to_owned()));
    assert!(asked(&mut olga, "?rate=70").await.contains(&"22, 10 more than seats".to_owned()));
    for (query, says) in [
        ("certainty=100", "Type a whole number from 50 to 99."),
        ("rate=x", "Type a whole number from 10 to 100."),
        ("rate=0", "Type a whole number from 10 to 100."),
        ("count=nobody", "Choose whom to count on."),
    ] {
        let page = olga.get(&format!("{PAGE}?{query}")).await;
        assert_eq!(page.status, 422, "{query}");
        assert!(page.text(".mistake").contains(says), "{query}: {}", page.text("main"));
    }
}

/// Both are made from the crew before either is written.
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
