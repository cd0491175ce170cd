//! An answer counts wherever the question was asked.

use crate::crew::{RAIN, answer, ask, assign, post, posts};
use crate::support::{Answer, BURN_ON, NOW, TestApp};
use burnday::asks::{Kind, Way};
use burnday::crew::{ReplyStatus, Seat};
use burnday::web::words::Reader;
use time::Duration;

fn mails(test: &TestApp) -> usize {
    test.dump().lines().filter(|line| line.starts_with("INSERT INTO mail VALUES")).count()
}

#[tokio::test]
async fn a_yes_to_a_general_question_counts_for_a_position_given_before_or_after() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let (dov, ida) = (test.person("Dov Aldine", "dov@example.org").await, test.person("Ida Quill", "").await);
    // Ida has her position first, Dov his answer.
    assign(&mut olga, post(&snapshot, "parking"), ida, &[]).await;
    let asked = test.ask(&[dov, ida], &["burn day"]).await;
    for request in &asked {
        answer(&test, *request, &["yes"], &[]).await;
    }
    assign(&mut olga, post(&snapshot, "parking"), dov, &[]).await;
    let page = olga.get(&format!("/events/1/crew/positions/{}", post(&snapshot, "parking"))).await;
    assert!(!page.said().is_empty());
    let stands = |page: &Answer| page.mark(&format!("[data-person='{dov}'] [data-day='2027-06-05']"), "state");
    assert_eq!(stands(&page), "confirmed");

    let snapshot = test.crew().await;
    for one in &snapshot.assigned {
        assert_eq!(snapshot.status(one, BURN_ON), ReplyStatus::Confirmed);
        assert_eq!(snapshot.seat(one, BURN_ON), Seat::Filled);
        assert_eq!(snapshot.status(one, RAIN), ReplyStatus::OtherDate(BURN_ON));
    }
    assert_eq!(stands(&olga.get("/events/1/crew").await), "confirmed");
    // When, how, and to which question.
    let said = page.all("[data-state=confirmed] .d");
    assert_eq!(said.len(), 2, "{said:?}");
    let day = Reader::App.near_day(NOW.date(), NOW.date());
    for part in [day.as_str(), Way::Link.how(), "Can you walk the spectator line on burn day?"] {
        assert!(said.iter().all(|said| said.contains(part)), "{part}: {said:?}");
    }
    assert!(!page.has("[data-state=not-asked]"), "{}", page.text("main"));

    // The same question asks about the rain date, and not about burn day again.
    let before = mails(&test);
    let form = olga.get(&format!("/events/1/crew/ask?person={dov}")).await.form().and("person", &ida.to_string());
    assert_eq!(olga.submit("/events/1/crew/ask", &form.with("act", "ask")).await.status, 303);
    let snapshot = test.crew().await;
    assert_eq!(snapshot.requests.len(), 2, "no second question to anybody");
    for one in &snapshot.assigned {
        assert_eq!(snapshot.status(one, BURN_ON), ReplyStatus::Confirmed);
        assert_eq!(snapshot.status(one, RAIN), ReplyStatus::Waiting);
    }
    assert_eq!(mails(&test), before + 1, "Ida has no email");
    assert!(olga.get("/events/1/crew/ask").await.has("[data-empty='all done']"));
}

#[tokio::test]
async fn of_two_questions_the_newest_answer_to_a_date_counts() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let dov = test.person("Dov Aldine", "dov@example.org").await;
    assign(&mut olga, post(&snapshot, "parking"), dov, &[]).await;
    ask(&mut olga).await;
    let own = test.crew().await.assigned[0].request_id.unwrap();
    let general = test.ask(&[dov], &["burn day", "rain date"]).await[0];
    answer(&test, own, &["yes", "yes"], &[]).await;
    test.at(NOW + Duration::HOUR);
    answer(&test, general, &["no"], &[]).await;
    let snapshot = test.crew().await;
    assert_eq!(snapshot.status(&snapshot.assigned[0], BURN_ON), ReplyStatus::Declined, "said later");
    assert_eq!(
        snapshot.status(&snapshot.assigned[0], RAIN),
        ReplyStatus::Confirmed,
        "said about this date to one alone"
    );
    test.at(NOW + Duration::hours(2));
    answer(&test, own, &["maybe"], &[]).await;
    let snapshot = test.crew().await;
    assert_eq!(snapshot.status(&snapshot.assigned[0], BURN_ON), ReplyStatus::Maybe);
    // A withdrawn question doesn't count.
    test.at(NOW + Duration::hours(3));
    answer(&test, general, &["no"], &[]).await;
    olga.post(&format!("/events/1/replies/{general}/withdraw"), &[]).await;
    let snapshot = test.crew().await;
    assert_eq!(snapshot.status(&snapshot.assigned[0], BURN_ON), ReplyStatus::Maybe);
}

#[tokio::test]
async fn a_yes_to_one_position_is_none_to_another() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let dov = test.person("Dov Aldine", "dov@example.org").await;
    assign(&mut olga, post(&snapshot, "parking"), dov, &[]).await;
    ask(&mut olga).await;
    let first = test.crew().await.assigned[0].clone();
    answer(&test, first.request_id.unwrap(), &["yes", "yes"], &[]).await;
    olga.post(&format!("/events/1/crew/assignments/{}/remove", first.id), &[]).await;
    assign(&mut olga, post(&snapshot, "timekeeper"), dov, &[]).await;
    let snapshot = test.crew().await;
    assert_eq!(snapshot.status(&snapshot.assigned[0], BURN_ON), ReplyStatus::NotAsked);
}

#[tokio::test]
async fn the_private_page_answers_the_general_question() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let dov = test.person("Dov Aldine", "dov@example.org").await;
    let general = test.ask(&[dov], &["burn day"]).await[0];
    assign(&mut olga, post(&snapshot, "parking"), dov, &[]).await;
    answer(&test, general, &["yes"], &[]).await;
    let path = test.sheet_path(dov).await;
    test.at(NOW + Duration::HOUR);
    assert_eq!(test.stranger().post(&path, &[("act", "no"), ("note", "broke my leg")]).await.status, 303);
    let snapshot = test.crew().await;
    assert_eq!(snapshot.status(&snapshot.assigned[0], BURN_ON), ReplyStatus::Declined);
    let parking = &snapshot.posts.iter().find(|one| one.id == post(&snapshot, "parking")).unwrap().details.name;
    let due = olga.get("/events/1").await.all(".list li .t");
    assert!(due.iter().any(|due| due.contains("Dov Aldine") && due.contains(parking)), "on the countdown: {due:?}");
}

/// Asks on the general page, and answers yes by link.
async fn said_yes(test: &TestApp, kind: &str, person: i64, note: &str) {
    let mut olga = test.olga().await;
    let form = olga.get(&format!("/events/1/replies/new?kind={kind}")).await.form().with("person", &person.to_string());
    let asked = olga.submit("/events/1/replies/new", &form.and("act", "ask")).await;
    assert_eq!(asked.status, 303, "{}", asked.text("main"));
    let mut db = test.app.db.read().acquire().await.unwrap();
    let all = burnday::asks::of_event(&mut db, 1).await.unwrap();
    drop(db);
    let request = all.into_iter().rfind(|request| request.person_id == person).unwrap();
    answer(test, request.id, &["yes"], &[("note", note)]).await;
}

#[tokio::test]
async fn a_guest_who_said_yes_elsewhere_is_added_in_one_press() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (wren, ida) = (test.person("Wren Ibarra", "").await, test.person("Ida Quill", "").await);
    said_yes(&test, "guest", wren, "").await;
    test.ask(&[ida], &["burn day"]).await;
    let here = "/events/1/guests";
    let page = olga.get(here).await;
    assert_eq!(page.all("[data-unlisted]").len(), 1, "not the person asked something else");
    let says = page.text("[data-unlisted]");
    let day = Reader::App.near_day(NOW.date(), NOW.date());
    for part in [day.as_str(), Way::Link.how(), Kind::Guest.question()] {
        assert!(says.contains(part), "{part}: {says}");
    }
    let mut reader = test.somebody(burnday::accounts::Role::Reader).await;
    assert!(reader.get(here).await.all("[data-unlisted]").is_empty());
    let form = page.form_at("[data-unlisted] form");
    assert_eq!(olga.submit("/events/1/guests/new", &form).await.status, 303);
    let page = olga.get(here).await;
    assert!(page.all("[data-unlisted]").is_empty());
    assert_eq!(page.all("main .list .t a"), ["Wren Ibarra"]);
    let guest = page.attributes("main .list .t a", "href").remove(0);
    let state = olga.get(&guest).await.mark("[data-day='2027-06-05']", "state");
    assert_eq!(state, "comes", "{}", page.text("main"));
}

#[tokio::test]
async fn a_loan_that_was_promised_elsewhere_is_added_with_its_answer() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let wren = test.person("Wren Ibarra", "").await;
    said_yes(&test, "loan", wren, "Two sports clocks").await;
    let page = olga.get("/events/1/loans").await;
    assert_eq!(page.all("[data-unlisted]").len(), 1);
    let new = page.attributes("[data-unlisted] a[href*='/loans/new']", "href").remove(0);
    let form = olga.get(&new).await.form();
    assert_eq!(form.value("what"), "Two sports clocks");
    let added = olga.submit("/events/1/loans/new", &form).await;
    assert_eq!(added.status, 303, "{}", added.text("main"));
    assert!(olga.get("/events/1/loans").await.all("[data-unlisted]").is_empty());
    let loan = olga.get(added.location()).await;
    assert!(loan.has("[data-step=answered][data-said=yes][data-for='2027-06-05']"), "{}", loan.text("main"));
}

#[tokio::test]
async fn a_reporter_who_said_yes_elsewhere_is_put_at_their_outlet() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let wren = test.person("Wren Ibarra", "").await;
    said_yes(&test, "coverage", wren, "").await;
    let here = "/events/1/press";
    assert_eq!(olga.get(here).await.all("[data-unlisted] a").len(), 1, "no outlet is known");
    let outlet = [("name", "Bend Courier"), ("kind", "weekly newspaper"), ("lead_days", "5")];
    assert_eq!(olga.post("/events/1/press/outlets", &outlet).await.status, 303);
    let page = olga.get(here).await;
    let form = page.form_at("[data-unlisted] form").with("outlet", "1");
    let mut reader = test.somebody(burnday::accounts::Role::Reader).await;
    assert_eq!(reader.submit("/events/1/press/said-yes", &form).await.status, 403);
    assert_eq!(test.stranger().submit("/events/1/press/said-yes", &form).await.status, 303, "to the sign-in");
    assert_eq!(olga.submit("/events/1/press/said-yes", &form).await.location(), here);
    let page = olga.get(here).await;
    assert!(page.all("[data-unlisted]").is_empty());
    assert_eq!(page.mark("[data-outlet='1']", "state"), "comes");
    assert!(page.says("Wren Ibarra"), "{}", page.text("main"));
    assert_eq!(olga.submit("/events/1/press/said-yes", &form).await.location(), here, "sent twice");
}
