//! Permits and notices: what is known of their rules, what was sent, and how
//! both hold the burn day.

use crate::support::{Answer, BURN_ON, Browser, Filled, TestApp, dump};
use burnday::accounts::Role;
use burnday::events;
use burnday::permit_records::{self, Permit, Rule};
use burnday::permits;
use std::fs;
use std::path::Path;
use std::process::Command;
use time::macros::{date, datetime, time};

/// The usual burn permit, and the notice to the neighbors, which the information
/// officer sends.
const BURN_PERMIT: i64 = 1;
const NEIGHBORS: i64 = 6;

async fn permit(test: &TestApp, id: i64) -> Permit {
    let mut db = test.app.db.read().acquire().await.unwrap();
    permit_records::find(&mut db, 1, id).await.unwrap().unwrap()
}

fn ruled(form: Filled, days: &str, basis: &str, counted: &str, dates: &str) -> Filled {
    let form = form.with("rule", "days before").with("days", days).with("basis", basis).with("counted", counted);
    form.with("dates", dates).with("learned_by", "Olga Wren").with("learned_on", "2026-11-20")
}

/// Olga learns a rule.
async fn learn(olga: &mut Browser, id: i64, (days, basis, counted, dates): (&str, &str, &str, &str)) {
    let path = format!("/events/1/permits/{id}/edit");
    let form = ruled(olga.get(&path).await.form(), days, basis, counted, dates);
    assert_eq!(olga.submit(&path, &form).await.status, 303);
}

async fn send(browser: &mut Browser, id: i64, sent_on: &str, days: &[&str]) -> Answer {
    let mut fields = vec![("sent_on", sent_on)];
    fields.extend(["burn_day", "rain_date", "other_on"].into_iter().zip(days.iter().copied()));
    browser.post(&format!("/events/1/permits/{id}/sendings"), &fields).await
}

async fn move_to(test: &TestApp, olga: &mut Browser, burn_on: &str, rain_on: &str) {
    let version = events::find(test.app.db.read(), 1).await.unwrap().unwrap().version.to_string();
    let fields = [("burn_on", burn_on), ("rain_on", rain_on), ("version", version.as_str())];
    assert_eq!(olga.post("/events/1/move", &fields).await.status, 303);
}

/// What the page of a move says of permits.
async fn preview(olga: &mut Browser, burn_on: &str, rain_on: &str) -> Vec<String> {
    let page = olga.get(&format!("/events/1/move?burn_on={burn_on}&rain_on={rain_on}")).await;
    assert_eq!(page.status, 200);
    page.all("main ul.list li").into_iter().filter(|line| line.contains("ermit")).collect()
}

#[tokio::test]
async fn a_new_event_has_records_whose_rules_nobody_asked_for_and_they_hold_nothing() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/permits").await;
    assert_eq!(page.all("section[data-group=ask] li").len(), 8);
    assert_eq!(page.all("section[data-group]").len(), 1, "no other group");
    for word in ["how many days before", "working or calendar", "received", "rain date"] {
        assert!(page.text("section[data-group=ask]").contains(word), "{word}");
    }
    assert!(!olga.get("/events/1").await.text(".note").contains("holds the burn day"));
    assert!(test.tasks().await.iter().all(|task| task.notices.is_empty()));

    // Shown at their tasks too, and asked for when their time comes, never late.
    let task = test.task("burn-permit").await;
    let page = olga.get(&format!("/events/1/tasks/{task}")).await;
    assert_eq!(page.attributes("a[href='/events/1/permits/1']", "href").len(), 1);
    assert_eq!(page.attributes(&format!("a[href='/events/1/permits/new?task={task}']"), "href").len(), 1);
    assert!(!olga.get("/events/1").await.says("Ask for"));
    test.at(datetime!(2027-05-20 15:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1").await;
    let asks: Vec<String> = page.all(".press li").into_iter().filter(|line| line.contains("Ask for 8 rules")).collect();
    assert_eq!(asks.len(), 1);
    assert!(!asks[0].contains("late"), "{}", asks[0]);
}

/// 120 working days counted by hand from Mon 30 Nov 2026 over Christmas, New
/// Year, 18 Jan and 15 Feb end on Thu 20 May 2027.
#[tokio::test]
async fn a_known_rule_holds_the_burn_day_wherever_it_is_counted() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let goal = test.task("goal").await.to_string();
    let form = olga.get(&format!("/events/1/permits/new?task={goal}")).await.form();
    assert!(form.body().contains(&format!("task={goal}")));
    let form = ruled(form.with("title", "Noise variance"), "120", "working", "sent", "burn day");
    let added = olga.submit("/events/1/permits/new", &form).await;
    assert_eq!(added.status, 303);
    // Sent today, Wed 25 Nov before Thanksgiving, it could be Wed 19 May; the goal
    // takes until Sun 29 Nov first.
    assert!(olga.get(added.location()).await.text("[data-holds]").contains("Wed 19 May 2027"));

    let note = olga.get("/events/1").await.text(".note");
    assert!(note.contains("“Noise variance” holds the burn day: 120 working days before"), "{note}");
    let move_page = olga.get("/events/1/move").await;
    assert!(move_page.says("the earliest burn day is Sat 22 May 2027"), "{}", move_page.text("main"));
    assert!(move_page.says("“Noise variance” holds the burn day"));
    let short = olga.get("/events/1/move?burn_on=2027-05-15").await;
    assert!(
        short.says("The plan can't meet Sat 15 May 2027: the earliest day is Fri 21 May 2027"),
        "{}",
        short.text("main")
    );
    let page = olga.get(&format!("/events/1/tasks/{goal}")).await;
    assert!(page.text("#permits + ul").contains("120 working days before"));

    // Not needed this time, it holds nothing.
    olga.post(&format!("/events/1/tasks/{goal}/state"), &[("state", "not needed")]).await;
    assert!(!olga.get("/events/1").await.text(".note").contains("holds the burn day"));
}

#[tokio::test]
async fn of_two_rules_of_a_task_the_strictest_holds_and_makes_it_due() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    learn(&mut olga, 7, ("20", "calendar", "sent", "burn day")).await;
    learn(&mut olga, 8, ("15", "working", "sent", "burn day")).await;
    let task = test.task("agency-notice").await;
    let page = olga.get(&format!("/events/1/tasks/{task}")).await;
    // 20 days before Sat 5 Jun is Sun 16 May, so Fri 14 May; 15 working days, over
    // Memorial Day, is that day too. The 16th is Thu 13 May.
    assert!(page.text("dl").contains("Fri 14 May 2027"), "{}", page.text("dl"));
    assert!(page.text("dl").contains("must be sent by Fri 14 May 2027"));
    learn(&mut olga, 8, ("16", "working", "sent", "burn day")).await;
    let page = olga.get(&format!("/events/1/tasks/{task}")).await;
    assert!(page.text("dl").contains("“Notice to police, medical services and utilities” must be sent by Thu 13 May"));
}

/// A department that knows a rule from one event is held by it in the next.
#[tokio::test]
async fn a_rule_that_was_learned_comes_along_to_the_next_event() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let before = olga.get("/events/new").await;
    assert!(!before.says("holds the burn day"));
    learn(&mut olga, BURN_PERMIT, ("100", "working", "sent", "both")).await;
    let then = olga.get("/events/new").await;
    assert!(then.says("“Burn permit” holds the burn day: 100 working days before"), "{}", then.text("main"));
    let form = then.form().with("name", "Next year").with("site", "Fairground").with("burn_on", "2028-06-03");
    let form = form.with("rain_on", "2028-06-10").with("burn_time", "10:00").with("act", "plan");
    let made = olga.submit("/events/new", &form).await;
    assert_eq!(made.status, 303, "{}", made.text("main"));
    let mut db = test.app.db.read().acquire().await.unwrap();
    let all = permit_records::of_event(&mut db, 2).await.unwrap();
    let Rule::Days { rule, learned, .. } = &all[0].details.rule else { panic!("{:?}", all[0]) };
    assert_eq!((rule.days, learned.by.as_str(), learned.on), (100, "Olga Wren", Some(date!(2026 - 11 - 20))));
    assert!(all[0].sendings.is_empty() && all[0].details.number.is_empty());
    assert!(all[1..].iter().all(|permit| permit.details.rule == Rule::NotAsked));
}

/// 10 working days before Sat 5 Jun 2027, over Memorial Day, is Fri 21 May;
/// before Sat 12 Jun it is Fri 28 May.
#[tokio::test]
async fn what_was_sent_counts_for_its_date_through_a_move_and_back() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    learn(&mut olga, BURN_PERMIT, ("10", "working", "sent", "burn day")).await;
    test.at(datetime!(2027-05-19 15:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/permits/1").await;
    assert!(page.text("[data-holds]").contains("It holds the burn day"));
    assert!(page.text("dl").contains("must be sent by Fri 21 May, 10 working days before"), "{}", page.text("dl"));
    let due: Vec<String> = olga.get("/events/1").await.all(".press li");
    assert!(due.iter().any(|line| line.contains("Send “Burn permit”") && line.contains("Fri 21 May")), "{due:?}");

    assert_eq!(send(&mut olga, BURN_PERMIT, "2027-05-19", &["2027-06-05"]).await.status, 303);
    let page = olga.get("/events/1/permits/1").await;
    assert!(page.text("[data-holds]").contains("no longer holds"));
    assert!(page.text("dl").contains("sent Wed 19 May, in time"));
    // Pressed twice, it was sent once.
    send(&mut olga, BURN_PERMIT, "2027-05-19", &["2027-06-05"]).await;
    assert_eq!(permit(&test, BURN_PERMIT).await.sendings.len(), 1);

    let told = preview(&mut olga, "2027-06-12", "").await;
    assert!(
        told.iter().any(|line| line.contains("Burn permit: send it again for Sat 12 Jun")
            && line.contains("must be sent by Fri 28 May, 10 working days before")
            && !line.contains("has passed")),
        "{told:?}"
    );
    move_to(&test, &mut olga, "2027-06-12", "").await;
    let page = olga.get("/events/1/permits").await;
    assert!(page.text("section[data-group=due]").contains("Not sent for Sat 12 Jun"), "{}", page.text("main"));
    assert!(test.tasks().await.iter().any(|task| !task.notices.is_empty()));

    // Back on the old day, what was sent for it still counts.
    let told = preview(&mut olga, "2027-06-05", "").await;
    assert!(told.iter().any(|line| line.contains("Burn permit: Sat 5 Jun on it already")), "{told:?}");
    assert!(!told.iter().any(|line| line.contains("send it again")), "{told:?}");
    move_to(&test, &mut olga, "2027-06-05", "").await;
    assert!(olga.get("/events/1/permits/1").await.text("[data-holds]").contains("no longer holds"));

    // On Mon 31 May the last day for 12 June has passed.
    test.at(datetime!(2027-05-31 15:00 UTC));
    let mut olga = test.olga().await;
    let told = preview(&mut olga, "2027-06-12", "").await;
    assert!(told.iter().any(|line| line.contains("send it again for Sat 12 Jun") && line.contains("has passed")));
    let short = olga.get("/events/1/move?burn_on=2027-06-12").await;
    assert!(short.text("main").contains("The plan can't meet Sat 12 Jun 2027"));
    move_to(&test, &mut olga, "2027-06-12", "").await;
    let page = olga.get("/events/1/permits").await;
    assert_eq!(page.all("section[data-group=due] .due.late").len(), 1, "{}", page.text("main"));
    // Sent for it too late; the authority may still say yes.
    send(&mut olga, BURN_PERMIT, "2027-05-31", &["2027-06-12"]).await;
    assert!(olga.get("/events/1/permits/1").await.text("dl").contains("sent Mon 31 May, too late by the rule"));
    let form = olga.get("/events/1/permits/1/edit").await.form().with("granted_on", "2027-05-31");
    olga.submit("/events/1/permits/1/edit", &form).await;
    assert!(olga.get("/events/1/permits/1").await.text("[data-holds]").contains("no longer holds"));
}

#[tokio::test]
async fn where_arrival_counts_it_holds_until_it_is_there() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = "/events/1/permits/1/edit";
    let form = ruled(olga.get(path).await.form(), "10", "working", "received", "burn day").with("delivery", "4");
    assert_eq!(olga.submit(path, &form).await.status, 303);
    test.at(datetime!(2027-05-14 15:00 UTC));
    let mut olga = test.olga().await;
    // There by Fri 21 May; four days before is Mon 17 May.
    let page = olga.get("/events/1/permits/1").await;
    assert!(page.text("dl").contains("must arrive by Fri 21 May, 10 working days before; send it by Mon 17 May"));
    send(&mut olga, BURN_PERMIT, "2027-05-14", &["2027-06-05"]).await;
    assert!(olga.get("/events/1/permits/1").await.text("[data-holds]").contains("It holds the burn day"));
    test.at(datetime!(2027-05-20 15:00 UTC));
    let mut olga = test.olga().await;
    let due = olga.get("/events/1").await.all(".press li");
    assert!(due.iter().any(|line| line.contains("Ask whether “Burn permit” arrived")), "{due:?}");
    for wrong in ["2027-05-13", "2027-05-21", "soon"] {
        let answer = olga.post("/events/1/permits/1/sendings/1/received", &[("on", wrong)]).await;
        assert_eq!(answer.status, 422, "{wrong}");
        assert!(!answer.text("#on-mistake").is_empty());
    }
    let noted = olga.post("/events/1/permits/1/sendings/1/received", &[("on", "2027-05-18")]).await;
    assert_eq!(noted.status, 303);
    let page = olga.get("/events/1/permits/1").await;
    assert!(page.text("[data-holds]").contains("no longer holds"));
    // The press is taken back, and it holds again.
    let (action, on) = (page.attributes(".said form", "action"), page.attributes(".said input[name=on]", "value"));
    assert_eq!(olga.post(&action[0], &[("on", &on[0])]).await.status, 303);
    assert!(olga.get("/events/1/permits/1").await.text("[data-holds]").contains("It holds the burn day"));
}

#[tokio::test]
async fn a_rain_date_that_must_be_on_it_and_is_not_is_said() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    learn(&mut olga, BURN_PERMIT, ("10", "working", "sent", "both")).await;
    test.at(datetime!(2027-05-18 15:00 UTC));
    let mut olga = test.olga().await;
    send(&mut olga, BURN_PERMIT, "2027-05-18", &["2027-06-05"]).await;
    let page = olga.get("/events/1/permits").await;
    assert!(page.text("section[data-group=due]").contains("Not sent for Sat 12 Jun: must be sent by Fri 28 May"));
    // The burn day itself is not held by that.
    assert!(olga.get("/events/1/permits/1").await.text("[data-holds]").contains("no longer holds"));
    send(&mut olga, BURN_PERMIT, "2027-05-18", &["2027-06-05", "2027-06-12"]).await;
    assert!(olga.get("/events/1/permits").await.text("section[data-group=open]").contains("Burn permit"));
    // A rain date that was named from the start needs nothing when it is used.
    let told = preview(&mut olga, "2027-06-12", "").await;
    assert!(told.iter().any(|line| line.contains("Burn permit: Sat 12 Jun on it already")), "{told:?}");
}

#[tokio::test]
async fn a_permit_that_ends_between_burn_day_and_rain_date_says_so() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = "/events/1/permits/1/edit";
    let form = olga.get(path).await.form().with("granted_on", "2026-11-24").with("expires_on", "2027-06-10");
    olga.submit(path, &form).await;
    send(&mut olga, BURN_PERMIT, "2026-11-23", &["2027-06-05", "2027-06-12"]).await;
    let page = olga.get("/events/1/permits").await;
    assert!(page.text("section[data-group=due]").contains("It expires Thu 10 Jun 2027, before Sat 12 Jun 2027"));
    let known = permit(&test, BURN_PERMIT).await;
    assert!(known.is_granted_for(BURN_ON) && !known.is_granted_for(date!(2027 - 06 - 12)));
    let told = preview(&mut olga, "2027-06-12", "").await;
    assert!(told.iter().any(|line| line.contains("expires Thu 10 Jun 2027, before Sat 12 Jun")), "{told:?}");
    test.at(datetime!(2027-05-28 15:00 UTC));
    let mut olga = test.olga().await;
    let due = olga.get("/events/1").await.all(".press li");
    assert!(due.iter().any(|line| line.contains("Renew “Burn permit”")), "{due:?}");
}

#[tokio::test]
async fn another_hour_or_place_must_be_told_to_whoever_has_the_old_one() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    send(&mut olga, BURN_PERMIT, "2026-11-23", &["2027-06-05"]).await;
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    let now = test.app.clock.now();
    let later = events::Details { burn_time: time!(13:30), ..event.details.clone() };
    let told = permits::moved(test.app.clone(), event.clone(), later, now).await.unwrap();
    assert_eq!(told.iter().map(|line| line.what.as_str()).collect::<Vec<_>>(), ["Burn permit: names 10:00"]);
    let elsewhere = events::Details { site: "Training ground".to_owned(), ..event.details.clone() };
    let told = permits::moved(test.app.clone(), event.clone(), elsewhere, now).await.unwrap();
    assert_eq!(told[0].what, "Burn permit: names the place Alder Bend fairground, east lot");
    let same = permits::moved(test.app.clone(), event.clone(), event.details.clone(), now).await.unwrap();
    assert!(same.is_empty(), "{same:?}");

    // Once it is changed, it stays on the list until it went out again.
    let form = olga.get("/events/1/edit").await.form().with("burn_time", "13:30").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    assert!(olga.get("/events/1/permits").await.text("section[data-group=due]").contains("names another time"));
    send(&mut olga, BURN_PERMIT, "2026-11-24", &["2027-06-05"]).await;
    assert!(!olga.get("/events/1/permits").await.says("names another time"));
    assert_eq!(permit(&test, BURN_PERMIT).await.sendings.len(), 2);
}

#[tokio::test]
async fn each_role_does_its_part() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = "/events/1/permits/1/edit";
    let form = olga.get(path).await.form().with("authority", "County fire warden").with("phone", "555-0143");
    let form = form.with("conditions", "Hose line charged before ignition.");
    olga.submit(path, &form).await;

    let mut jun = test.somebody(Role::InformationOfficer).await;
    let mut dele = test.somebody(Role::SafetyOfficer).await;
    let mut reader = test.somebody(Role::Reader).await;
    assert!(dele.get("/events/1/permits/1").await.says("555-0143"));
    for path in ["/events/1/permits", "/events/1/permits/1", "/events/1/permits/print"] {
        let page = reader.get(path).await;
        assert_eq!(page.status, 200);
        assert!(!page.says("555-0143"), "{path}");
    }
    for browser in [&mut jun, &mut dele, &mut reader] {
        assert_eq!(browser.get(path).await.status, 403);
        assert_eq!(browser.submit(path, &form).await.status, 403);
        assert_eq!(browser.post("/events/1/permits/usual", &[]).await.status, 403);
        assert_eq!(browser.post("/events/1/permits/1/remove", &[("version", "2")]).await.status, 403);
    }
    // Who has the task notes what was sent with it.
    assert_eq!(send(&mut jun, NEIGHBORS, "2026-11-24", &["2027-06-05"]).await.status, 303);
    assert_eq!(send(&mut jun, BURN_PERMIT, "2026-11-24", &["2027-06-05"]).await.status, 403);
    assert_eq!(send(&mut reader, NEIGHBORS, "2026-11-24", &["2027-06-05"]).await.status, 403);

    // The safety officer hears the conditions.
    let read = |version: &'static str| [("on", "2026-11-25"), ("version", version)];
    assert_eq!(jun.post("/events/1/permits/1/read-back", &read("2")).await.status, 403);
    assert!(olga.get("/events/1/permits/1").await.says("have not been read back"));
    // Somebody changed them meanwhile: nothing is noted.
    dele.post("/events/1/permits/1/read-back", &read("1")).await;
    assert_eq!(permit(&test, BURN_PERMIT).await.read_back, None);
    dele.post("/events/1/permits/1/read-back", &read("2")).await;
    let (on, by) = permit(&test, BURN_PERMIT).await.read_back.unwrap();
    assert_eq!((on, by.as_str()), (date!(2026 - 11 - 25), "Somebody, safety officer"));
    // Other conditions must be read back again; another note keeps it.
    let form = olga.get(path).await.form();
    olga.submit(path, &form.clone().with("notes", "Called twice.")).await;
    assert!(permit(&test, BURN_PERMIT).await.read_back.is_some());
    olga.submit(path, &form.with("version", "3").with("conditions", "Two hose lines.")).await;
    assert_eq!(permit(&test, BURN_PERMIT).await.read_back, None);
}

#[tokio::test]
async fn of_two_who_change_a_record_the_second_sees_both_texts() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = "/events/1/permits/1/edit";
    let form = olga.get(path).await.form();
    olga.submit(path, &form.clone().with("number", "BP-1")).await;
    let second = olga.submit(path, &form.with("number", "BP-2")).await;
    assert_eq!(second.status, 409);
    assert!(second.says("BP-1") && second.says("BP-2"));
    assert_eq!(permit(&test, BURN_PERMIT).await.details.number, "BP-1");
    let removed = olga.post("/events/1/permits/1/remove", &[("version", "1")]).await;
    assert_eq!(removed.location(), "/events/1/permits/1");
    assert!(olga.get("/events/1/permits/1").await.text("#said").contains("not removed"));
}

#[tokio::test]
async fn mistakes_stand_beside_their_fields_and_what_was_typed_stays() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let path = "/events/1/permits/1/edit";
    let form = olga.get(path).await.form().with("rule", "days before").with("days", "ten").with("number", "BP-7");
    let form = form.with("learned_on", "2026-11-26").with("granted_on", "never").with("expires_on", "2027-02-30");
    let form = form.with("mail", "warden").with("task", "9999");
    let answer = olga.submit(path, &form).await;
    assert_eq!(answer.status, 422);
    for field in ["days", "basis", "counted", "dates", "learned_by", "learned_on", "granted_on", "expires_on", "mail"] {
        assert!(!answer.text(&format!("#{field}-mistake")).is_empty(), "{field}");
    }
    assert_eq!((answer.value("number"), answer.value("days")), ("BP-7".to_owned(), "ten".to_owned()));
    let burn = test.task("burn").await.to_string();
    let form = olga.get(path).await.form().with("task", &burn);
    assert!(!olga.submit(path, &form).await.text("#task-mistake").is_empty(), "no notice goes out on burn day");

    for (sent_on, received_on, field) in
        [("2026-11-26", "", "sent_on"), ("2026-11-20", "2026-11-19", "received_on"), ("", "", "sent_on")]
    {
        let fields =
            [("sent_on", sent_on), ("received_on", received_on), ("burn_day", "2027-06-05"), ("site", "Lot C")];
        let answer =
            olga.post("/events/1/permits/1/sendings", &[&fields[..], &[("burn_time", "09:00")]].concat()).await;
        assert_eq!(answer.status, 422, "{sent_on}");
        assert!(!answer.text(&format!("#{field}-mistake")).is_empty(), "{field}");
        assert_eq!(answer.value("site"), "Lot C");
    }
    let none = olga.post("/events/1/permits/1/sendings", &[("sent_on", "2026-11-20")]).await;
    assert!(!none.text("#burn_day-mistake").is_empty());
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn a_sending_is_taken_back_and_comes_back_as_it_was() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    send(&mut olga, BURN_PERMIT, "2026-11-20", &["2027-06-05", "2027-06-12"]).await;
    let before = permit(&test, BURN_PERMIT).await.sendings;
    assert_eq!(olga.post("/events/1/permits/1/sendings/1/remove", &[]).await.status, 303);
    assert!(permit(&test, BURN_PERMIT).await.sendings.is_empty());
    let page = olga.get("/events/1/permits/1").await;
    let (names, values) = (page.attributes(".said input", "name"), page.attributes(".said input", "value"));
    let fields: Vec<(&str, &str)> = names.iter().map(String::as_str).zip(values.iter().map(String::as_str)).collect();
    olga.post(&page.attributes(".said form", "action")[0], &fields).await;
    let after = permit(&test, BURN_PERMIT).await.sendings;
    let plain = |all: &[permit_records::Sending]| {
        all.iter().map(|one| permit_records::Sending { id: 0, ..one.clone() }).collect::<Vec<_>>()
    };
    assert_eq!(plain(&after), plain(&before));
}

#[tokio::test]
async fn usual_records_are_added_once_and_a_removed_task_keeps_its_own() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert_eq!(olga.get("/events/1/permits").await.attributes("form[action$=usual]", "action").len(), 0);
    let remove = olga.get("/events/1/permits/8/remove").await;
    assert_eq!(remove.status, 200);
    assert_eq!(olga.post("/events/1/permits/8/remove", &[("version", "1")]).await.status, 303);
    assert_eq!(olga.get("/events/1/permits").await.attributes("form[action$=usual]", "action").len(), 1);
    for _ in 0..2 {
        assert_eq!(olga.post("/events/1/permits/usual", &[]).await.status, 303);
    }
    assert_eq!(olga.get("/events/1/permits").await.all("section[data-group=ask] li").len(), 8);

    learn(&mut olga, BURN_PERMIT, ("10", "working", "sent", "burn day")).await;
    let task = test.task("burn-permit").await;
    assert!(olga.get(&format!("/events/1/tasks/{task}/remove")).await.says("“Burn permit” will stay on the list"));
    assert_eq!(olga.post(&format!("/events/1/tasks/{task}/remove"), &[("version", "1")]).await.status, 303);
    assert!(olga.get("/events/1/permits").await.text("section[data-group=due]").contains("belongs to no task"));
    assert!(test.tasks().await.iter().all(|task| task.notices.is_empty()));
}

#[tokio::test]
async fn the_print_has_numbers_and_conditions_of_what_was_granted() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let path = "/events/1/permits/1/edit";
    let form = olga.get(path).await.form().with("number", "BP-2027-14").with("granted_on", "2026-11-24");
    olga.submit(path, &form.with("conditions", "No burning above 15 mph of wind.")).await;
    send(&mut olga, BURN_PERMIT, "2026-11-20", &["2027-06-05"]).await;
    let page = test.somebody(Role::SafetyOfficer).await.get("/events/1/permits/print").await;
    assert_eq!(page.all("section.sheet").len(), 1);
    for text in ["BP-2027-14", "No burning above 15 mph of wind.", "Sat 5 Jun 2027"] {
        assert!(page.text("section.sheet").contains(text), "{text}");
    }
    assert!(page.says("Not granted yet 7"));
}

#[tokio::test]
async fn a_person_at_an_authority_is_handed_over_taken_apart_and_forgotten() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let (wren, twin) = (test.person("Wren Ibarra", "").await, test.person("W. Ibarra", "").await);
    let path = "/events/1/permits/1/edit";
    let form = olga.get(path).await.form().with("person", "W. Ibarra").with("phone", "555-0143");
    olga.submit(path, &form).await;
    assert_eq!(permit(&test, BURN_PERMIT).await.person_id, Some(twin));
    let (versions, wrens) = ([("version", "1"), ("with_version", "1")], twin.to_string());
    let fields = [&versions[..], &[("with", &wrens), ("name", "one")]].concat();
    assert_eq!(olga.post(&format!("/people/{wren}/merge"), &fields).await.status, 303);
    assert_eq!(permit(&test, BURN_PERMIT).await.person_id, Some(wren));
    let page = olga.get(&format!("/people/{wren}")).await;
    let entry = page.attributes(".said input[name=entry]", "value");
    olga.post(&format!("/people/{wren}/separate"), &[("entry", &entry[0])]).await;
    assert_eq!(permit(&test, BURN_PERMIT).await.person_id, Some(twin));
    let version = olga.get(&format!("/people/{twin}/forget")).await.value("version");
    assert_eq!(olga.post(&format!("/people/{twin}/forget"), &[("version", &version)]).await.status, 303);
    let known = permit(&test, BURN_PERMIT).await;
    assert_eq!((known.person_id, known.details.phone.as_str()), (None, ""));
    assert!(!test.dump().contains("W. Ibarra"));
}

/// The roll to a working day is said where a due day is explained.
#[tokio::test]
async fn a_lead_time_says_what_a_closed_day_made_of_it() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let task = test.task("site-permission").await;
    let due = olga.get(&format!("/events/1/tasks/{task}")).await.text("dl");
    assert!(
        due.contains("118 days before burn day is Sun 7 Feb; that is closed, so it is due Fri 5 Feb, 120 days before."),
        "{due}"
    );
    let task = test.task("goal").await;
    let due = olga.get(&format!("/events/1/tasks/{task}")).await.text("dl");
    assert!(due.contains("Its lead time: finished 180 days before burn day."), "{due}");
}

/// A store of before: notice periods were marks on lead times.
#[test]
fn notice_periods_of_older_stores_become_records() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("old.db");
    let sql = |text: &str| {
        let run = Command::new("sqlite3").arg(&path).arg(format!("\n{text}")).output().unwrap();
        assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
        String::from_utf8(run.stdout).unwrap()
    };
    let mut files: Vec<_> = fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("migrations"))
        .unwrap()
        .map(|f| f.unwrap().path())
        .collect();
    files.sort();
    let is_new = |file: &Path| file.file_name().unwrap().to_str().unwrap() >= "0065";
    for file in files.iter().filter(|file| !is_new(file)) {
        sql(&fs::read_to_string(file).unwrap());
    }
    sql("insert into event (id, name, site, zone, burn_on, burn_time, format, weekdays, is_current, created_at)
         values (1, 'Old', 'Lot', 'UTC', '2027-06-05', '10:00', 'one at a time', 32, 1, 0)");
    let task = |id: i64, notice: i64, state: &str, done: &str| {
        sql(&format!(
            "insert into task (id, event_id, strand, title, takes, owner_role, lead_days, lead_basis, lead_notice, duration,
                               duration_basis, rain, state, done_on, state_at, is_burn)
             values ({id}, 1, 'Approval', 'Task {id}', '', 'burn boss', 10, 'working', {notice}, 1, 'working', 'keep',
                     '{state}', {done}, 0, 0)"
        ));
    };
    task(1, 1, "to do", "null");
    task(2, 1, "done", "'2027-05-14'");
    task(3, 0, "to do", "null");
    for file in files.iter().filter(|file| is_new(file)) {
        sql(&fs::read_to_string(file).unwrap());
    }
    let records = sql(
        "select task_id, title, rule, notice_days, notice_basis, counted_when, dates_on_it, learned_on is null from permit",
    );
    assert_eq!(
        records,
        "1|Task 1|days before|10|working|sent|burn day|1\n2|Task 2|days before|10|working|sent|burn day|1\n"
    );
    assert_eq!(
        sql("select permit_id, sent_on, named_on from permit_sending join permit_date on sending_id = id"),
        "2|2027-05-14|2027-06-05\n"
    );
    // The days stay as a lead time, and the mark is gone: no second truth.
    assert_eq!(sql("select lead_days, lead_basis from task where id = 1"), "10|working\n");
    assert!(!dump(&path).contains("lead_notice"));
}
