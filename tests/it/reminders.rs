//! Who is reminded of what and when, and what stops it.

use crate::asks::rows;
use crate::support::{BURN_ON, NOW, OFFICER, TestApp};
use burnday::accounts::{self, Role};
use burnday::asks;
use burnday::db::journal::Actor;
use burnday::reminders;
use burnday::web::link::without_links;
use burnday::web::words::Reader;
use time::macros::{date, datetime};
use time::{Duration, OffsetDateTime};

/// The emails of a kind in the outbox: address and subject.
fn mails(test: &TestApp, kind: &str) -> Vec<(String, String)> {
    let query = format!("select to_address, subject from mail where kind = '{kind}' order by id");
    rows::<2>(test, &query).into_iter().map(|[to, about]| (to, about)).collect()
}

/// All reminders except the education officer's, the same on every run.
async fn letters(test: &TestApp) -> String {
    let mut letters = Vec::new();
    let query = format!("select id from mail where kind = 'reminder' and to_address <> '{OFFICER}' order by id");
    for [id] in rows::<1>(test, &query) {
        let mail = test.mail(id.parse().unwrap()).await;
        let words = without_links(&mail.text, "[link]");
        letters.push(format!("To {}: {}\n\n{words}", mail.to.address, mail.subject));
    }
    letters.join("\n================\n\n")
}

fn to(test: &TestApp, address: &str) -> usize {
    mails(test, "reminder").iter().filter(|(to, _)| to == address).count()
}

async fn tick_at(test: &TestApp, at: OffsetDateTime) {
    test.at(at);
    reminders::tick(&test.app).await.unwrap();
}

async fn say(test: &TestApp, request: i64, said: &str) {
    let asks = asks::find(test.app.db.read(), request).await.unwrap().unwrap().asks;
    for ask in asks.iter().filter(|ask| !ask.is_lapsed) {
        test.stranger().post(&test.answer_path(request), &[("say", &format!("{} {said}", ask.id))]).await;
    }
}

/// Burn day is Saturday, June 5, 2027, in Chicago, five hours behind UTC. Crew are asked
/// again 21 days before, reminded 5 days before, and asked to confirm 2 days before and on
/// the day: common practice, no published source.
const CHASE: OffsetDateTime = datetime!(2027-05-15 14:00 UTC);
const REMIND: OffsetDateTime = datetime!(2027-05-31 14:00 UTC);
const LAST: OffsetDateTime = datetime!(2027-06-03 14:00 UTC);

#[tokio::test]
async fn the_silent_are_asked_once_more_at_nine_and_those_who_answered_are_left_alone() {
    let test = TestApp::planned().await;
    let silent = test.person("Sol Quiet", "sol@example.org").await;
    let quick = test.person("Ada Quick", "ada@example.org").await;
    let ids = test.ask(&[silent, quick], &["burn day"]).await;
    say(&test, ids[1], "yes").await;

    tick_at(&test, CHASE - Duration::MINUTE).await;
    assert_eq!(to(&test, "sol@example.org"), 0);
    tick_at(&test, CHASE).await;
    tick_at(&test, CHASE + Duration::MINUTE).await;
    assert_eq!(to(&test, "sol@example.org"), 1, "once");
    assert_eq!(to(&test, "ada@example.org"), 0);
    let about = &mails(&test, "reminder").into_iter().find(|(to, _)| to == "sol@example.org").unwrap().1;
    let day = Reader::Public.day(BURN_ON);
    assert!(about.contains(&day) && about.contains("Can you walk the spectator line"), "{about}");

    tick_at(&test, REMIND).await;
    assert_eq!((to(&test, "sol@example.org"), to(&test, "ada@example.org")), (1, 1));
    tick_at(&test, LAST).await;
    assert_eq!((to(&test, "sol@example.org"), to(&test, "ada@example.org")), (1, 2));
    tick_at(&test, datetime!(2027-06-05 13:00 UTC)).await;
    assert_eq!(to(&test, "ada@example.org"), 3);
    assert!(mails(&test, "reminder").iter().filter(|(to, _)| to == "ada@example.org").all(|(_, it)| it.contains(&day)));
    tick_at(&test, datetime!(2027-06-08 13:00 UTC)).await;
    assert_eq!(to(&test, "ada@example.org"), 3, "after burn day no one is reminded of it");
    insta::assert_snapshot!("reminder-letters", letters(&test).await);
}

#[tokio::test]
async fn a_clock_that_jumps_sends_nothing_twice() {
    let test = TestApp::asked().await;
    tick_at(&test, CHASE).await;
    let all = mails(&test, "reminder");
    assert_eq!(to(&test, "wren@example.org"), 1);
    for jump in [-24, -1, 0, 1, 24] {
        tick_at(&test, CHASE + Duration::hours(jump)).await;
        assert_eq!(to(&test, "wren@example.org"), 1, "{jump} hours");
    }
    assert!(mails(&test, "reminder").len() >= all.len());
}

#[tokio::test]
async fn reminders_move_with_the_date() {
    let test = TestApp::asked().await;
    say(&test, 1, "yes").await;
    let later = [("burn_on", "2027-06-12"), ("rain_on", ""), ("version", "1"), ("again", "yes")];
    test.olga().await.post("/events/1/move", &later).await;
    say(&test, 1, "yes").await;
    tick_at(&test, REMIND).await;
    assert_eq!(to(&test, "wren@example.org"), 0, "five days before the old date");
    tick_at(&test, REMIND + Duration::days(7)).await;
    assert_eq!(to(&test, "wren@example.org"), 1, "five days before the new one");
}

#[tokio::test]
async fn what_was_missed_while_down_is_said_late_if_still_true_and_else_expires() {
    let test = TestApp::planned().await;
    let silent = test.person("Sol Quiet", "sol@example.org").await;
    let comes = test.person("Ada Quick", "ada@example.org").await;
    let ids = test.ask(&[silent, comes], &["burn day"]).await;
    say(&test, ids[1], "yes").await;
    // Down from before the first reminder until shortly before answers are due.
    let closes_at = asks::find(test.app.db.read(), ids[0]).await.unwrap().unwrap().closes_at;
    assert!(CHASE + Duration::DAY < closes_at, "there is time to be late in: {closes_at}");
    tick_at(&test, closes_at - Duration::hours(6)).await;
    assert_eq!(to(&test, "sol@example.org"), 1, "still unanswered");
    // And again until three days before burn day.
    tick_at(&test, datetime!(2027-06-02 15:00 UTC)).await;
    assert_eq!(to(&test, "sol@example.org"), 1, "the time to answer is over");
    assert_eq!(to(&test, "ada@example.org"), 1, "the reminder of five days before, three days before");
    // Too late to ask two days before.
    tick_at(&test, datetime!(2027-06-05 12:30 UTC)).await;
    assert_eq!(to(&test, "ada@example.org"), 1);
    assert!(test.olga().await.get("/events/1/scheduled").await.has("[data-became=expired]"));
}

#[tokio::test]
async fn the_page_says_what_goes_out_to_whom_and_why_and_a_line_can_be_cancelled() {
    let test = TestApp::planned().await;
    let silent = test.person("Sol Quiet", "sol@example.org").await;
    let unreached = test.person("Nora Stone", "").await;
    let ids = test.ask(&[silent, unreached], &["burn day"]).await;
    test.at(CHASE - Duration::days(3));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/scheduled").await;
    // 21 days before burn day.
    let lines = page.all("[data-sends='2027-05-15T09:00']");
    assert!(lines.iter().any(|line| line.contains("Sol Quiet")), "{lines:?}");
    assert_eq!(page.count("[data-sends] [data-step=chase]"), 1, "of the two, only one has an address");
    assert!(page.has("[data-sends='2027-05-15T09:00'] [data-step=chase]"), "{lines:?}");
    let calls = page.all("[data-why=no-mail]");
    assert!(calls.iter().any(|call| call.contains("Nora Stone")), "{calls:?}");

    let keys = page.attributes("input[name=key]", "value");
    let key = keys.iter().find(|key| key.starts_with(&format!("question/{}/", ids[0]))).unwrap();
    assert_eq!(test.somebody(Role::Reader).await.post("/events/1/scheduled/skip", &[("key", key)]).await.status, 403);
    olga.post("/events/1/scheduled/skip", &[("key", key)]).await;
    tick_at(&test, CHASE).await;
    assert_eq!(to(&test, "sol@example.org"), 0);
    assert!(olga.get("/events/1/scheduled").await.has("[data-became=skipped]"));
}

#[tokio::test]
async fn rules_are_changed_and_mistakes_in_them_told() {
    let test = TestApp::asked().await;
    let mut olga = test.olga().await;
    let rule = |days: &'static str, version: &'static str| {
        [
            ("kind", "post"),
            ("rule", "ask-again"),
            ("on", "yes"),
            ("days", days),
            ("basis", "calendar"),
            ("at", "10:30"),
            ("version", version),
        ]
    };
    let wrong = olga.post("/events/1/scheduled/rules", &rule("many", "0")).await;
    assert_eq!((wrong.status, wrong.mistakes()), (422, vec!["days".to_owned()]));
    assert!(wrong.has("[data-rule='post-ask-again'] #days-mistake"), "beside the rule");
    assert_eq!(olga.post("/events/1/scheduled/rules", &rule("14", "0")).await.status, 303);
    olga.post("/events/1/scheduled/rules", &rule("3", "0")).await;
    let page = olga.get("/events/1/scheduled").await;
    assert!(!page.said().is_empty());
    let days = page.attributes("[data-rule='post-ask-again'] input[name=days]", "value");
    assert_eq!(days, ["14"], "someone else changed it in the meantime");
    tick_at(&test, CHASE).await;
    assert_eq!(to(&test, "wren@example.org"), 0);
    // Fourteen days before, at 10:30.
    tick_at(&test, datetime!(2027-05-22 15:29 UTC)).await;
    assert_eq!(to(&test, "wren@example.org"), 0);
    tick_at(&test, datetime!(2027-05-22 15:30 UTC)).await;
    assert_eq!(to(&test, "wren@example.org"), 1);
}

#[tokio::test]
async fn the_officer_gets_a_page_on_monday_and_owners_hear_of_their_tasks() {
    let test = TestApp::planned().await;
    // Monday, November 30, 2026, 08:00 in Chicago, six hours behind UTC.
    tick_at(&test, datetime!(2026-11-30 13:59 UTC)).await;
    let before = to(&test, "olga@example.org");
    tick_at(&test, datetime!(2026-11-30 14:00 UTC)).await;
    let all = mails(&test, "reminder");
    assert_eq!(to(&test, "olga@example.org"), before + 1, "{all:?}");
    let page = &all.iter().rfind(|(to, _)| to == "olga@example.org").unwrap().1;
    assert!(page.contains("187") && page.contains(&Reader::App.day(BURN_ON)), "{page}");
    tick_at(&test, datetime!(2026-11-30 14:05 UTC)).await;
    assert_eq!(mails(&test, "reminder").len(), all.len());
    assert!(test.app.clock.now() > NOW);
}

#[tokio::test]
async fn a_task_by_itself_is_named_in_the_first_line() {
    let test = TestApp::planned().await;
    test.somebody(Role::InformationOfficer).await;
    for day in 0..120 {
        tick_at(&test, NOW + Duration::days(day)).await;
    }
    let all = mails(&test, "reminder");
    let mut own = all.iter().filter(|(to, _)| to == "information-officer@example.org").map(|(_, about)| about);
    let tasks = test.tasks().await;
    let names_one = |about: &&String| tasks.iter().any(|task| about.contains(task.details.title.as_str()));
    let alone = own.find(names_one).unwrap_or_else(|| panic!("{all:?}"));
    let mut days = (-60..150).map(|day| Reader::App.day(NOW.date() + Duration::days(day)));
    assert!(days.any(|day| alone.contains(&day)), "it says when it is due: {alone}");
}

#[tokio::test]
async fn everybody_who_holds_a_role_is_reminded_and_has_the_monday_page() {
    let test = TestApp::planned().await;
    test.somebody(Role::EducationOfficer).await;
    let second = "education-officer@example.org";
    // Monday, November 30, 2026, 08:00 in Chicago, six hours behind UTC.
    tick_at(&test, datetime!(2026-11-30 14:00 UTC)).await;
    let left = (BURN_ON - date!(2026 - 11 - 30)).whole_days().to_string();
    let weeks = |address: &str| {
        mails(&test, "reminder").iter().filter(|(to, about)| to == address && about.contains(&left)).count()
    };
    assert_eq!((weeks(OFFICER), weeks(second)), (1, 1));
}

#[tokio::test]
async fn two_who_hold_a_role_both_hear_of_its_tasks() {
    let test = TestApp::planned().await;
    test.somebody(Role::InformationOfficer).await;
    let (first, second) = ("information-officer@example.org", "ben@example.org");
    let invite = test.app.db.write(move |tx| {
        Box::pin(
            async move { accounts::invite(tx, Actor::System, "Ben Ode", second, Role::InformationOfficer, NOW).await },
        )
    });
    invite.await.unwrap().unwrap();
    for day in 100..124 {
        tick_at(&test, NOW + Duration::days(day)).await;
    }
    let all = mails(&test, "reminder");
    let of = |address: &str| all.iter().filter(|(to, _)| to == address).map(|(_, says)| says).collect::<Vec<_>>();
    assert!(!of(first).is_empty(), "{all:?}");
    assert_eq!(of(first), of(second));
}

#[tokio::test]
async fn who_gets_a_role_later_makes_nobody_hear_twice() {
    let test = TestApp::planned().await;
    tick_at(&test, datetime!(2026-11-30 14:00 UTC)).await;
    let before = to(&test, OFFICER);
    assert!(before > 0);
    test.somebody(Role::EducationOfficer).await;
    tick_at(&test, datetime!(2026-11-30 14:05 UTC)).await;
    assert_eq!(to(&test, OFFICER), before);
    assert_eq!(to(&test, "education-officer@example.org"), 1);
}
