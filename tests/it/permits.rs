//! Permits and notices: the notice they require, what was sent, and how both limit the
//! burn day.

use crate::support::{Answer, BURN_ON, Browser, Filled, TestApp, dump};
use burnday::accounts::Role;
use burnday::calc::calendar::Basis;
use burnday::events;
use burnday::permit_records::{self, Permit, PermitId, Rule};
use burnday::permits;
use burnday::web::words::{self, Reader};
use std::fs;
use std::path::Path;
use std::process::Command;
use std::slice;
use time::Date;
use time::macros::{date, datetime, time};

/// The usual burn permit, and the notice to the neighbors, which the information
/// officer sends.
const BURN_PERMIT: i64 = 1;
const NEIGHBORS: i64 = 6;

async fn permit(test: &TestApp, id: i64) -> Permit {
    let mut db = test.app.db.read().acquire().await.unwrap();
    permit_records::find(&mut db, PermitId { event_id: 1, id }).await.unwrap().unwrap()
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

/// What the page of a date change says about the burn permit.
async fn preview(olga: &mut Browser, burn_on: &str, rain_on: &str) -> Vec<String> {
    let page = olga.get(&format!("/events/1/move?burn_on={burn_on}&rain_on={rain_on}")).await;
    assert_eq!(page.status, 200);
    page.all("[data-about='/events/1/permits/1']")
}

/// The same for a change that does one thing to it; the line has all of these parts and
/// none of those.
async fn previewed(olga: &mut Browser, burn_on: &str, names: &[String], not: &[String]) -> String {
    let told = preview(olga, burn_on, "").await;
    let [line] = told.as_slice() else { panic!("{told:?}") };
    for part in names {
        assert!(line.contains(part), "{part}: {line}");
    }
    for part in not {
        assert!(!line.contains(part), "{part}: {line}");
    }
    line.clone()
}

/// When the countdown's lines that link there are due, in its words.
fn due(page: &Answer, href: &str) -> Vec<String> {
    let lines = page.attributes(".press .t > a", "href").into_iter().zip(page.all(".press .due"));
    lines.filter(|(to, _)| to == href).map(|(_, due)| due).collect()
}

/// Does the burn permit limit the burn day, by its page?
async fn holds(olga: &mut Browser) -> String {
    olga.get("/events/1/permits/1").await.mark("[data-holds]", "holds")
}

/// A day in 2027 as pages in that year show it.
fn near(day: Date) -> String {
    Reader::App.near_day(day, date!(2027 - 05 - 01))
}

#[tokio::test]
async fn a_new_event_has_records_whose_rules_nobody_asked_for_and_they_hold_nothing() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/permits").await;
    assert_eq!(page.all("section[data-group=ask] li").len(), 8);
    assert_eq!(page.all("section[data-group]").len(), 1, "no other group");
    assert!(page.text("section[data-group=ask]").contains(permit_records::ASK), "what to ask");
    assert!(!olga.get("/events/1").await.has("[data-held-by]"));
    assert!(test.tasks().await.iter().all(|task| task.notices.is_empty()));

    // They show at their tasks too, and are asked about when it's time, never late.
    let task = test.task("burn-permit").await;
    let page = olga.get(&format!("/events/1/tasks/{task}")).await;
    assert_eq!(page.attributes("a[href='/events/1/permits/1']", "href").len(), 1);
    assert_eq!(page.attributes(&format!("a[href='/events/1/permits/new?task={task}']"), "href").len(), 1);
    assert!(due(&olga.get("/events/1").await, "/events/1/permits").is_empty());
    test.at(datetime!(2027-05-20 15:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1").await;
    assert_eq!(due(&page, "/events/1/permits"), [near(date!(2027 - 05 - 20))], "today, so not late");
    let mut db = test.app.db.read().acquire().await.unwrap();
    let all = permit_records::of_event(&mut db, 1).await.unwrap();
    assert_eq!(all.len(), 8);
    let names_all = |line: &str| all.iter().all(|permit| line.contains(&permit.details.title));
    assert_eq!(page.all(".press li").iter().filter(|line| names_all(line)).count(), 1, "all on one line");
}

/// 120 working days counted by hand from Mon, Nov 30, 2026 over Christmas, New Year's Day,
/// Jan 18 and Feb 15 end on Thu, May 20, 2027.
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
    // Sent today, Wed, Nov 25 before Thanksgiving, it could be Wed, May 19; the goal takes
    // until Sun, Nov 29 first.
    let page = olga.get(added.location()).await;
    assert_eq!(page.mark("[data-holds]", "holds"), "yes");
    assert_eq!(page.mark("[data-holds]", "earliest"), "2027-05-19");

    let notice = words::days(120, Basis::Working);
    let page = olga.get("/events/1").await;
    assert_eq!(page.mark("#chain", "held-by"), "Noise variance");
    assert!(page.text("#chain").contains(&notice), "{}", page.text("#chain"));
    let move_page = olga.get("/events/1/move").await;
    assert_eq!(move_page.mark("#earliest", "earliest"), "2027-05-22");
    assert_eq!(move_page.mark("#earliest", "held-by"), "Noise variance");
    let short = olga.get("/events/1/move?burn_on=2027-05-15").await;
    assert_eq!(short.mark("#verdict", "earliest"), "2027-05-21");
    assert_eq!(short.mark("#verdict", "slack"), "-6", "from the 21st to the 15th");
    assert!(short.text("#verdict").contains(&Reader::App.day(date!(2027 - 05 - 15))), "{}", short.text("#verdict"));
    let page = olga.get(&format!("/events/1/tasks/{goal}")).await;
    assert!(page.text("#permits + ul").contains(&notice));

    // If it isn't needed this time, it limits nothing.
    olga.post(&format!("/events/1/tasks/{goal}/state"), &[("state", "not needed")]).await;
    assert!(!olga.get("/events/1").await.has("[data-held-by]"));
}

#[tokio::test]
async fn of_two_rules_of_a_task_the_strictest_holds_and_makes_it_due() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    learn(&mut olga, 7, ("20", "calendar", "sent", "burn day")).await;
    learn(&mut olga, 8, ("15", "working", "sent", "burn day")).await;
    let task = test.task("agency-notice").await;
    let page = olga.get(&format!("/events/1/tasks/{task}")).await;
    // 20 days before Sat, Jun 5 is Sun, May 16, so Fri, May 14; 15 working days, over
    // Memorial Day, is that day too. The 16th is Thu, May 13.
    assert_eq!(page.mark("[data-due]", "due"), "2027-05-14");
    assert_eq!(page.mark("[data-due]", "why"), "notice");
    learn(&mut olga, 8, ("16", "working", "sent", "burn day")).await;
    let page = olga.get(&format!("/events/1/tasks/{task}")).await;
    assert_eq!(page.mark("[data-due]", "due"), "2027-05-13");
    assert_eq!(page.mark("[data-due]", "why"), "notice");
    let (strictest, other) = (permit(&test, 8).await.details.title, permit(&test, 7).await.details.title);
    let why = page.fact("Due");
    assert!(why.contains(&strictest) && !why.contains(&other), "{why}");
}

/// A rule that the department knows from one event counts in the next.
#[tokio::test]
async fn a_rule_that_was_learned_comes_along_to_the_next_event() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let before = olga.get("/events/new").await;
    assert!(before.has("#earliest") && !before.has("[data-held-by]"));
    learn(&mut olga, BURN_PERMIT, ("100", "working", "sent", "both")).await;
    let then = olga.get("/events/new").await;
    assert_eq!(then.mark("#earliest", "held-by"), permit(&test, BURN_PERMIT).await.details.title);
    assert!(then.text("#earliest").contains(&words::days(100, Basis::Working)), "{}", then.text("#earliest"));
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

/// 10 working days before Sat, Jun 5, 2027, over Memorial Day, is Fri, May 21; before Sat,
/// Jun 12 it is Fri, May 28.
#[tokio::test]
async fn what_was_sent_counts_for_its_date_through_a_move_and_back() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    learn(&mut olga, BURN_PERMIT, ("10", "working", "sent", "burn day")).await;
    test.at(datetime!(2027-05-19 15:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/permits/1").await;
    assert_eq!(page.mark("[data-holds]", "holds"), "yes");
    assert_eq!(page.mark("[data-day='2027-06-05']", "heard"), "not");
    assert_eq!(page.mark("[data-problem=send]", "by"), "2027-05-21");
    let notice = words::days(10, Basis::Working);
    let (first, second) = (near(date!(2027 - 05 - 21)), near(date!(2027 - 05 - 28)));
    let told = page.fact("Burn day");
    assert!(told.contains(&first) && told.contains(&notice), "{told}");
    assert_eq!(due(&olga.get("/events/1").await, "/events/1/permits/1").as_slice(), slice::from_ref(&first));

    assert_eq!(send(&mut olga, BURN_PERMIT, "2027-05-19", &["2027-06-05"]).await.status, 303);
    let page = olga.get("/events/1/permits/1").await;
    assert_eq!(page.mark("[data-holds]", "holds"), "no");
    assert_eq!(page.mark("[data-day='2027-06-05']", "heard"), "in-time");
    let sent = near(date!(2027 - 05 - 19));
    assert!(page.fact("Burn day").contains(&sent), "{}", page.fact("Burn day"));
    // Saved twice, it was sent once.
    send(&mut olga, BURN_PERMIT, "2027-05-19", &["2027-06-05"]).await;
    assert_eq!(permit(&test, BURN_PERMIT).await.sendings.len(), 1);

    let again = [near(date!(2027 - 06 - 12)), second, notice];
    let in_time = previewed(&mut olga, "2027-06-12", &again, slice::from_ref(&sent)).await;
    move_to(&test, &mut olga, "2027-06-12", "").await;
    let unsent = "section[data-group=due] [data-problem=send]";
    let page = olga.get("/events/1/permits").await;
    assert_eq!((page.mark(unsent, "days").as_str(), page.mark(unsent, "by").as_str()), ("2027-06-12", "2027-05-28"));
    assert!(!page.has("section[data-group=due] .due.late"), "{}", page.text("main"));
    assert!(test.tasks().await.iter().any(|task| !task.notices.is_empty()));

    // Back on the old date, what was sent for it still counts.
    let already = previewed(&mut olga, "2027-06-05", &[near(date!(2027 - 06 - 05)), sent], &[first]).await;
    move_to(&test, &mut olga, "2027-06-05", "").await;
    assert_eq!(holds(&mut olga).await, "no");

    // On Mon, May 31, the last day for Jun 12 has passed.
    test.at(datetime!(2027-05-31 15:00 UTC));
    let mut olga = test.olga().await;
    let too_late = previewed(&mut olga, "2027-06-12", &again, &[]).await;
    assert_ne!(too_late, in_time, "it says that the day has passed");
    let short = olga.get("/events/1/move?burn_on=2027-06-12").await;
    assert!(short.mark("#verdict", "slack").parse::<i32>().unwrap() < 0, "{}", short.text("#verdict"));
    let all = [("sent in time", in_time), ("named before", already), ("too late", too_late)];
    let all = all.map(|(when, line)| format!("{when}: {line}")).join("\n");
    insta::assert_snapshot!("a-move-and-a-permit", all);
    move_to(&test, &mut olga, "2027-06-12", "").await;
    let page = olga.get("/events/1/permits").await;
    assert_eq!(page.all("section[data-group=due] .due.late").len(), 1, "{}", page.text("main"));
    // Sent too late for it; the authority may still grant it.
    send(&mut olga, BURN_PERMIT, "2027-05-31", &["2027-06-12"]).await;
    let page = olga.get("/events/1/permits/1").await;
    assert_eq!(page.mark("[data-day='2027-06-12']", "heard"), "too-late");
    assert!(page.fact("Burn day").contains(&near(date!(2027 - 05 - 31))), "{}", page.fact("Burn day"));
    let form = olga.get("/events/1/permits/1/edit").await.form().with("granted_on", "2027-05-31");
    olga.submit("/events/1/permits/1/edit", &form).await;
    assert_eq!(holds(&mut olga).await, "no");
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
    // There by Fri, May 21; four days before is Mon, May 17.
    let page = olga.get("/events/1/permits/1").await;
    assert_eq!(page.mark("[data-problem=send]", "by"), "2027-05-17");
    let told = page.fact("Burn day");
    for part in [near(date!(2027 - 05 - 21)), near(date!(2027 - 05 - 17)), words::days(10, Basis::Working)] {
        assert!(told.contains(&part), "{part}: {told}");
    }
    send(&mut olga, BURN_PERMIT, "2027-05-14", &["2027-06-05"]).await;
    let page = olga.get("/events/1/permits/1").await;
    assert_eq!(page.mark("[data-holds]", "holds"), "yes");
    assert_eq!(page.mark("[data-day='2027-06-05']", "heard"), "under-way");
    test.at(datetime!(2027-05-20 15:00 UTC));
    let mut olga = test.olga().await;
    assert_eq!(due(&olga.get("/events/1").await, "/events/1/permits/1").len(), 1);
    let page = olga.get("/events/1/permits/1").await;
    assert_eq!(page.mark("[data-problem=arrival]", "by"), "2027-05-21");
    for wrong in ["2027-05-13", "2027-05-21", "soon"] {
        let answer = olga.post("/events/1/permits/1/sendings/1/received", &[("on", wrong)]).await;
        assert_eq!(answer.status, 422, "{wrong}");
        assert_eq!(answer.mistakes(), ["on"], "{wrong}");
    }
    let noted = olga.post("/events/1/permits/1/sendings/1/received", &[("on", "2027-05-18")]).await;
    assert_eq!(noted.status, 303);
    let page = olga.get("/events/1/permits/1").await;
    assert_eq!(page.mark("[data-holds]", "holds"), "no");
    assert_eq!(page.mark("[data-day='2027-06-05']", "heard"), "in-time");
    // After Undo, it limits the burn day again.
    let (action, on) = (page.attributes(".said form", "action"), page.attributes(".said input[name=on]", "value"));
    assert_eq!(olga.post(&action[0], &[("on", &on[0])]).await.status, 303);
    assert_eq!(holds(&mut olga).await, "yes");
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
    let unsent = "section[data-group=due] [data-problem=send]";
    assert_eq!((page.mark(unsent, "days").as_str(), page.mark(unsent, "by").as_str()), ("2027-06-12", "2027-05-28"));
    // That doesn't limit the burn day itself.
    assert_eq!(holds(&mut olga).await, "no");
    send(&mut olga, BURN_PERMIT, "2027-05-18", &["2027-06-05", "2027-06-12"]).await;
    assert!(olga.get("/events/1/permits").await.has("section[data-group=open] a[href='/events/1/permits/1']"));
    // A rain date that was on it from the start needs nothing when it is used.
    let (day, sent, by) = (near(date!(2027 - 06 - 12)), near(date!(2027 - 05 - 18)), near(date!(2027 - 05 - 28)));
    previewed(&mut olga, "2027-06-12", &[day, sent], &[by]).await;
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
    let ends = "section[data-group=due] [data-problem=expires]";
    assert_eq!((page.mark(ends, "days").as_str(), page.mark(ends, "by").as_str()), ("2027-06-12", "2027-06-10"));
    let known = permit(&test, BURN_PERMIT).await;
    assert!(known.is_granted_for(BURN_ON) && !known.is_granted_for(date!(2027 - 06 - 12)));
    let told = preview(&mut olga, "2027-06-12", "").await;
    let (end, day) = (Reader::App.day(date!(2027 - 06 - 10)), Reader::App.day(date!(2027 - 06 - 12)));
    assert!(told.iter().any(|line| line.contains(&end) && line.contains(&day)), "{told:?}");
    test.at(datetime!(2027-05-28 15:00 UTC));
    let mut olga = test.olga().await;
    // Renewing it is due two weeks before it expires, and nothing else is due for it.
    assert_eq!(due(&olga.get("/events/1").await, "/events/1/permits/1"), [near(date!(2027 - 05 - 28))]);
    assert!(olga.get("/events/1/permits/1").await.has("[data-problem=expires]"));
}

#[tokio::test]
async fn another_hour_or_place_must_be_told_to_whoever_has_the_old_one() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    send(&mut olga, BURN_PERMIT, "2026-11-23", &["2027-06-05"]).await;
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    let now = test.app.clock.now();
    let later = events::Details { burn_time: time!(13:30), ..event.details.clone() };
    let told = permits::moves(test.app.clone(), event.clone(), later, now).await.unwrap();
    let [line] = told.as_slice() else { panic!("{told:?}") };
    let (hour, place) = (Reader::App.time(event.details.burn_time), event.details.site.as_str());
    assert_eq!(line.href, "/events/1/permits/1");
    assert!(line.what.contains(&hour) && !line.what.contains(place), "{}", line.what);
    let elsewhere = events::Details { site: "Training ground".to_owned(), ..event.details.clone() };
    let told = permits::moves(test.app.clone(), event.clone(), elsewhere, now).await.unwrap();
    assert_eq!(told[0].href, "/events/1/permits/1");
    assert!(told[0].what.contains(place) && !told[0].what.contains(&hour), "{}", told[0].what);
    let same = permits::moves(test.app.clone(), event.clone(), event.details.clone(), now).await.unwrap();
    assert!(same.is_empty(), "{same:?}");

    // After the change, it stays on the list until it goes out again.
    let form = olga.get("/events/1/edit").await.form().with("burn_time", "13:30").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    assert!(olga.get("/events/1/permits").await.has("section[data-group=due] [data-problem=old-time]"));
    send(&mut olga, BURN_PERMIT, "2026-11-24", &["2027-06-05"]).await;
    assert!(!olga.get("/events/1/permits").await.has("[data-problem=old-time]"));
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
    // Whoever has the task records what was sent.
    assert_eq!(send(&mut jun, NEIGHBORS, "2026-11-24", &["2027-06-05"]).await.status, 303);
    assert_eq!(send(&mut jun, BURN_PERMIT, "2026-11-24", &["2027-06-05"]).await.status, 403);
    assert_eq!(send(&mut reader, NEIGHBORS, "2026-11-24", &["2027-06-05"]).await.status, 403);

    // The safety officer hears the conditions.
    let read = |version: &'static str| [("on", "2026-11-25"), ("version", version)];
    assert_eq!(jun.post("/events/1/permits/1/read-back", &read("2")).await.status, 403);
    assert!(olga.get("/events/1/permits/1").await.has("[data-problem=read-back]"));
    // Someone changed them in the meantime: nothing is saved.
    dele.post("/events/1/permits/1/read-back", &read("1")).await;
    assert_eq!(permit(&test, BURN_PERMIT).await.read_back, None);
    dele.post("/events/1/permits/1/read-back", &read("2")).await;
    let (on, by) = permit(&test, BURN_PERMIT).await.read_back.unwrap();
    assert_eq!((on, by.as_str()), (date!(2026 - 11 - 25), "Somebody, safety officer"));
    // New conditions must be read back again; a new note changes nothing.
    let form = olga.get(path).await.form();
    olga.submit(path, &form.clone().with("notes", "Called twice.")).await;
    assert!(permit(&test, BURN_PERMIT).await.read_back.is_some());
    assert!(!olga.get("/events/1/permits/1").await.has("[data-problem=read-back]"));
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
    let page = olga.get("/events/1/permits/1").await;
    assert_eq!(page.status, 200, "it is still there");
    assert!(!page.said().is_empty());
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
    let (page, name) = (olga.get(&format!("/events/1/tasks/{task}/remove")).await, permit(&test, BURN_PERMIT).await);
    assert!(page.text("[data-note=permits-stay]").contains(&name.details.title), "{}", page.text("main"));
    assert_eq!(olga.post(&format!("/events/1/tasks/{task}/remove"), &[("version", "1")]).await.status, 303);
    assert!(olga.get("/events/1/permits").await.has("section[data-group=due] [data-problem=no-task]"));
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
    for text in ["BP-2027-14", "No burning above 15 mph of wind.", &Reader::App.day(BURN_ON)] {
        assert!(page.text("section.sheet").contains(text), "{text}");
    }
    assert_eq!(page.count("[data-group=open] li"), 7, "not granted yet");
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
    olga.post(&format!("/people/{wren}/undo-merge"), &[("entry", &entry[0])]).await;
    assert_eq!(permit(&test, BURN_PERMIT).await.person_id, Some(twin));
    let version = olga.get(&format!("/people/{twin}/erase")).await.value("version");
    assert_eq!(olga.post(&format!("/people/{twin}/erase"), &[("version", &version)]).await.status, 303);
    let known = permit(&test, BURN_PERMIT).await;
    assert_eq!((known.person_id, known.details.phone.as_str()), (None, ""));
    assert!(!test.dump().contains("W. Ibarra"));
}

/// Where a due day is explained, the page says that it moved to a working day.
#[tokio::test]
async fn a_lead_time_says_what_a_closed_day_made_of_it() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let task = test.task("site-permission").await;
    let page = olga.get(&format!("/events/1/tasks/{task}")).await;
    assert_eq!(page.mark("[data-due]", "why"), "lead-time");
    assert_eq!(page.mark("[data-due]", "closed"), "2027-02-07", "a Sunday");
    assert_eq!(page.mark("[data-due]", "due"), "2027-02-05");
    let due = page.fact("Due");
    let days = [118, 120].map(|days| words::days(days, Basis::Calendar));
    for part in days.into_iter().chain([date!(2027 - 02 - 07), date!(2027 - 02 - 05)].map(near)) {
        assert!(due.contains(&part), "{part}: {due}");
    }
    let task = test.task("goal").await;
    let page = olga.get(&format!("/events/1/tasks/{task}")).await;
    assert_eq!(page.mark("[data-due]", "why"), "lead-time");
    assert_eq!(page.mark("[data-due]", "due"), "2026-12-07");
    assert_eq!(page.mark("[data-due]", "closed"), "", "a Monday");
    assert!(page.fact("Due").contains(&words::days(180, Basis::Calendar)), "{}", page.fact("Due"));
}

/// An older store, where notice periods were marks on lead times.
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
    // The days stay as a lead time, and the mark is gone, so there is one truth.
    assert_eq!(sql("select lead_days, lead_basis from task where id = 1"), "10|working\n");
    assert!(!dump(&path).contains("lead_notice"));
}

#[tokio::test]
async fn a_permit_whose_task_is_late_needs_attention_until_it_is_sent() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let overdue = "section[data-group=due] a[href='/events/1/permits/1'] ~ [data-overdue]";
    assert!(!olga.get("/events/1/permits").await.has(overdue), "it isn't late yet");
    test.at(datetime!(2027-05-18 15:00 UTC));
    let mut olga = test.olga().await;
    assert!(olga.get("/events/1/permits").await.has(overdue));
    send(&mut olga, BURN_PERMIT, "2027-05-18", &["2027-06-05", "2027-06-12"]).await;
    assert!(!olga.get("/events/1/permits").await.has(overdue));
}
