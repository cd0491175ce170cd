//! Loans: requests, pickups, returns and condition records.

use crate::support::{Answer, Browser, Filled, HeldWriter, NOW, TestApp, picture, plan};
use burnday::accounts::Role;
use burnday::loans::{Free, LoanSnapshot, Step};
use burnday::web::link::without_links;
use burnday::web::words::{self, Reader};
use burnday::{asks, reminders};
use time::macros::{date, datetime};
use time::{Date, Duration, OffsetDateTime};

const LIST: &str = "/events/1/loans";
const NEW: &str = "/events/1/loans/new";
const CLOCK: &str = "/events/1/loans/1";
/// The clock's line in the list.
const CLOCK_LINE: &str = "[data-loan='1']";
/// The lender of the clock, as pages name it.
const SCHOOL: &str = "Alder Bend Middle School (Coach Bell)";
/// Burn day is Saturday, June 5, 2027. This is the Monday morning after it.
const AFTER: OffsetDateTime = datetime!(2027-06-07 14:00 UTC);

impl TestApp {
    /// The school's clock, lent by Coach Bell. Returns the lender's number.
    pub async fn clock(&self) -> i64 {
        let coach = self.person("Coach Bell", "coach@example.org").await;
        let mut olga = self.olga().await;
        let edit = format!("/people/{coach}/edit");
        let form = olga.get(&edit).await.form().with("organization", "Alder Bend Middle School");
        assert_eq!(olga.submit(&edit, &form).await.status, 303);
        let form = clock(&mut olga, coach).await;
        add(&mut olga, &form).await;
        coach
    }
}

async fn clock(olga: &mut Browser, lender: i64) -> Filled {
    let form = olga.get(NEW).await.form().with("what", "sports clock").with("kind", "clock").with("serial", "AB-0412");
    let form = form.with("lender", &lender.to_string()).and("is_school", "yes").with("our_contact", "Olga Wren");
    let form = form.with("burn_free", "free").with("burn_from", "2027-06-03").with("burn_until", "2027-06-07");
    let form = form.with("checks", "screen: whole\npower: working").with("accessories", "remote: 1\ncable: 3");
    form.with("collect_place", "Gym door").with("collect_time", "15:30").with("distance", "60")
}

async fn add(olga: &mut Browser, form: &Filled) -> String {
    let answer = olga.submit(NEW, form).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
    answer.location().to_owned()
}

async fn note(olga: &mut Browser, step: &str, date: &str) -> Answer {
    let fields = [("step", step), ("date", date), ("on", "2026-11-24"), ("who", "Coach Bell"), ("note", "by letter")];
    olga.post(&format!("{CLOCK}/steps"), &fields).await
}

/// A record that can be saved: the answer for the screen, and how many remotes.
fn handing<'a>(on: &'a str, screen: &'a str, words: &'a str, remotes: &'a str) -> Vec<(&'a str, &'a str)> {
    vec![
        ("check-0", screen),
        ("words-0", words),
        ("check-1", "well"),
        ("count-0", remotes),
        ("count-1", "3"),
        ("given_by", "Coach Bell"),
        ("taken_by", "Tomás Brandt"),
        ("on", on),
        ("at", "15:40"),
        ("notes", "Strap is frayed"),
    ]
}

async fn hand_over(olga: &mut Browser, on: &str) {
    let answer = olga.post_files(&format!("{CLOCK}/pickup"), &handing(on, "well", "", "1"), &[]).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
}

async fn give_back(olga: &mut Browser, on: &str) {
    let record = handing(on, "otherwise", "scratched", "0");
    let answer = olga.post_files(&format!("{CLOCK}/return"), &record, &[]).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
}

/// Olga, signing in again on a later day.
async fn at(test: &TestApp, now: OffsetDateTime) -> Browser {
    test.at(now);
    test.olga().await
}

/// The clock's status, by its page.
fn state(page: &Answer) -> String {
    page.mark("#state", "state")
}

/// The next thing to do, by where its button leads.
fn next(page: &Answer) -> Vec<String> {
    page.attributes("a.main", "href")
}

/// The problems, the worst first.
fn problems(page: &Answer) -> Vec<String> {
    page.attributes("[data-problem]", "data-problem")
}

/// The lines about the clock in the countdown.
fn due(countdown: &Answer) -> Vec<String> {
    countdown.all(".press > li").into_iter().filter(|line| line.contains("Sports clock")).collect()
}

/// What the page for moving the burn day to that date says about the clock.
async fn moved(olga: &mut Browser, to: Date) -> (Vec<String>, String) {
    let page = olga.get(&format!("/events/1/move?burn_on={to}&rain_on=")).await;
    let link = format!("main a[href='{CLOCK}']");
    (page.all(&link), page.text(&format!("{link} + .d")))
}

/// Whether the clock is available on a date, and its status for it.
async fn availability(test: &TestApp, on: Date) -> (Free, Option<Step>) {
    let snapshot = LoanSnapshot::of(&test.app, 1, test.app.clock.now()).await.unwrap();
    let availability = snapshot.availability(snapshot.find(1).unwrap(), on);
    (availability.free, availability.stage)
}

/// A day as pages show it at the start of a test.
fn near(on: Date) -> String {
    Reader::App.near_day(on, date!(2026 - 11 - 25))
}

fn mails(test: &TestApp) -> Vec<String> {
    let rows = test.dump();
    rows.lines().filter(|line| line.starts_with("INSERT INTO mail VALUES")).map(str::to_owned).collect()
}

#[tokio::test]
async fn a_clock_goes_from_asked_to_closed() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    assert!(olga.get(LIST).await.has("[data-empty=loans]"));
    test.clock().await;
    let page = olga.get(CLOCK).await;
    assert_eq!(state(&page), "not asked");
    assert!(page.fact("Lender").starts_with(SCHOOL) && page.has("dl[data-school]"), "{}", page.text("main"));
    assert_eq!(page.fact("Pickup"), format!("{}, 15:30 · Gym door", near(date!(2027 - 06 - 03))));
    let place = page.fact("Place on burn day");
    assert!(place.starts_with("60 ft (18 m)"), "{place}");
    assert_eq!(next(&page), [format!("{CLOCK}/ask")]);

    let ask = format!("{CLOCK}/ask");
    let form = olga.get(&ask).await.form();
    let look = olga.submit(&ask, &form.clone().and("act", "see")).await;
    let letter = look.text(".letter");
    let (from, until) = (Reader::Public.day(date!(2027 - 06 - 03)), Reader::Public.day(date!(2027 - 06 - 07)));
    for says in ["sports clock", "AB-0412", &from, &until, "60 ft (18 m)"] {
        assert!(letter.contains(says), "{says}: {letter}");
    }
    assert!(mails(&test).is_empty(), "looking sends nothing");
    assert_eq!(olga.submit(&ask, &form.clone().and("act", "ask")).await.location(), CLOCK);
    assert!(!olga.get(CLOCK).await.said().is_empty());
    olga.submit(&ask, &form.and("act", "ask")).await;
    let all = mails(&test);
    assert_eq!(all.len(), 1, "sent twice, asked once");
    assert!(all[0].contains("'coach@example.org'"), "{}", all[0]);
    insta::assert_snapshot!("loan-question", without_links(&test.posted(1).await[0].text, "[link]"));
    assert!(olga.get(&ask).await.has("[data-asked='1']"));
    assert_eq!(olga.get(LIST).await.mark(CLOCK_LINE, "state"), "asked");

    let request = asks::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!(request.asks.len(), 2, "both dates");
    for (ask, said) in request.asks.iter().zip(["yes", "no"]) {
        let say = format!("{} {said}", ask.id);
        assert_eq!(test.stranger().post(&test.answer_path(1), &[("say", &say)]).await.status, 303);
    }
    let page = olga.get(CLOCK).await;
    assert_eq!(state(&page), "promised");
    assert_eq!(page.mark("[data-said][data-for='2027-06-05']", "said"), "yes");
    assert_eq!(page.mark("[data-said][data-for='2027-06-12']", "said"), "no");
    assert_eq!(problems(&page), ["not-free-on-rain-date"]);
    assert_eq!(page.mark("[data-problem]", "from"), "2027-06-12");

    let to_confirm = format!("section[data-group=to-confirm] {CLOCK_LINE}");
    assert!(olga.get(LIST).await.has(&to_confirm), "a promise is to be confirmed");
    assert_eq!(note(&mut olga, "confirmed in writing", "burn day").await.status, 303);
    assert!(
        olga.get(LIST).await.has(&format!("details[data-group=to-come]:not([open]) {CLOCK_LINE}")),
        "it is settled"
    );
    assert_eq!(state(&olga.get(CLOCK).await), "confirmed in writing");
    assert_eq!(note(&mut olga, "promised", "burn day").await.status, 422, "it only goes forward");
    assert_eq!(note(&mut olga, "collected", "").await.status, 422, "that takes a condition record");

    hand_over(&mut olga, "2026-11-25").await;
    assert_eq!(next(&olga.get(CLOCK).await), [format!("{CLOCK}/return")]);
    assert_eq!(note(&mut olga, "tested", "").await.status, 303);
    assert_eq!(olga.get(LIST).await.mark(CLOCK_LINE, "state"), "tested");
    give_back(&mut olga, "2026-11-25").await;
    let page = olga.get(CLOCK).await;
    assert!(page.has("[data-differs=screen][data-then=whole][data-now=scratched][data-means=damaged]"));
    assert!(page.has("[data-differs=remote][data-then='1'][data-now='0'][data-means=missing]"));
    assert_eq!((page.count("[data-differs]"), page.mark("#state", "harms").as_str()), (2, "damaged missing"));
    assert_eq!(next(&page), [format!("{CLOCK}/letter")]);
    assert_eq!(note(&mut olga, "closed", "").await.status, 303);
    let list = olga.get(LIST).await;
    assert_eq!(list.mark("details[data-group=over]:not([open]) > ul > li", "state"), "closed");
    assert_eq!((list.count("[data-group]"), list.count("[data-loan]")), (1, 1));
}

#[tokio::test]
async fn what_was_noted_last_is_taken_back_and_nothing_before_it() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    note(&mut olga, "promised", "burn day").await;
    note(&mut olga, "confirmed in writing", "burn day").await;
    olga.post(&format!("{CLOCK}/steps/1/back"), &[]).await;
    let page = olga.get(CLOCK).await;
    assert!(!page.said().is_empty() && !page.has("[data-taken-back]"), "only the latest update");
    olga.post(&format!("{CLOCK}/steps/2/back"), &[]).await;
    let page = olga.get(CLOCK).await;
    assert!(!page.said().is_empty());
    assert_eq!(page.attributes("[data-taken-back]", "data-step"), ["confirmed in writing"]);
    assert_eq!(page.count("[data-taken-back] del"), 1);
    assert_eq!(olga.get(LIST).await.mark(CLOCK_LINE, "state"), "promised");
    hand_over(&mut olga, "2026-11-25").await;
    olga.post(&format!("{CLOCK}/steps/3/back"), &[]).await;
    assert!(olga.get(&format!("{CLOCK}/condition")).await.has("[data-empty=records]"));
    hand_over(&mut olga, "2026-11-25").await;
    assert_eq!(olga.post(&format!("{CLOCK}/steps/99/back"), &[]).await.status, 404);
}

/// What the page of a loan shows is old by the time its write runs.
#[tokio::test]
async fn an_update_that_comes_in_meanwhile_is_not_passed_over_by_an_undo() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    note(&mut olga, "promised", "burn day").await;
    let mut second = olga.clone();
    let held = HeldWriter::of(&test.app).await;
    let update = tokio::spawn(async move { note(&mut second, "confirmed in writing", "burn day").await });
    held.until_wait(1).await;
    let mut third = olga.clone();
    let undo = tokio::spawn(async move { third.post(&format!("{CLOCK}/steps/1/back"), &[]).await });
    held.until_wait(2).await;
    held.release();
    assert_eq!((update.await.unwrap().status, undo.await.unwrap().status), (303, 303));
    assert!(!olga.get(CLOCK).await.has("[data-taken-back]"), "only the latest update");
}

#[tokio::test]
async fn a_promise_holds_for_its_date_alone() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    note(&mut olga, "confirmed in writing", "burn day").await;
    let (new_day, rain_day) = (date!(2027 - 06 - 19), date!(2027 - 06 - 12));
    // Nobody has asked about it: an answer for burn day doesn't count for it.
    assert_eq!(availability(&test, new_day).await, (Free::Open, None));
    let (says, beneath) = moved(&mut olga, new_day).await;
    assert_eq!(says.len(), 1, "{says:?}");
    assert!(says[0].contains("Sports clock") && says[0].contains(&near(new_day)), "{says:?}");
    assert!(beneath.contains(SCHOOL) && beneath.contains(&near(date!(2027 - 06 - 05))), "{beneath}");

    let edit = format!("{CLOCK}/edit");
    let form = olga.get(&edit).await.form().with("rain_free", "free").with("rain_from", "2027-06-10");
    assert_eq!(olga.submit(&edit, &form.with("rain_until", "2027-06-14")).await.status, 303);
    assert_eq!(availability(&test, rain_day).await, (Free::Free, None));
    let (says, beneath) = moved(&mut olga, rain_day).await;
    let (before, after) = (near(date!(2027 - 06 - 07)), near(date!(2027 - 06 - 14)));
    assert_eq!(says.len(), 1, "{says:?}");
    assert!(says[0].contains("Sports clock") && says[0].contains(&after), "{says:?}");
    assert!(beneath.contains(&after) && beneath.contains(&before), "{beneath}");

    let form = olga.get(&edit).await.form().with("rain_free", "not free").with("rain_from", "").with("rain_until", "");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    assert_eq!(availability(&test, rain_day).await, (Free::NotFree, None));
    let (says, _) = moved(&mut olga, rain_day).await;
    assert_eq!(says.len(), 1, "{says:?}");
    assert!(says[0].contains("Sports clock") && says[0].contains(&near(rain_day)), "{says:?}");
    assert!(olga.get(CLOCK).await.has("[data-problem=not-free-on-rain-date][data-lacks=backup]"));

    let moved = [("burn_on", "2027-06-19"), ("rain_on", ""), ("chosen", "yes"), ("version", "1")];
    assert_eq!(olga.post("/events/1/move", &moved).await.status, 303);
    let page = olga.get(CLOCK).await;
    assert_eq!(state(&page), "not asked", "{}", page.text("main"));
    assert!(page.has("[data-step='confirmed in writing'][data-for='2027-06-05'][data-lapsed]"));
}

#[tokio::test]
async fn what_there_is_only_one_of_needs_a_backup() {
    let test = TestApp::planned().await;
    let coach = test.clock().await;
    let mut olga = test.olga().await;
    let edit = format!("{CLOCK}/edit");
    let form = olga.get(&edit).await.form().and("is_single", "yes");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    let list = olga.get(LIST).await;
    assert_eq!(problems(&list), ["no-backup"]);
    assert_eq!(list.attributes("[data-problem] a", "href"), [CLOCK]);
    let soon = datetime!(2027-05-24 15:00 UTC);
    assert_eq!(due(&at(&test, soon).await.get("/events/1").await).len(), 1, "a backup must be named");
    let mut olga = at(&test, NOW).await;

    let timers = olga.get(NEW).await.form().with("what", "hand timers").with("kind", "timers");
    add(&mut olga, &timers.with("lender", &coach.to_string())).await;
    let form = olga.get(&edit).await.form();
    let own = olga.submit(&edit, &form.clone().with("backup_id", "1")).await;
    assert_eq!(own.mistakes(), ["backup_id"]);
    assert_eq!(olga.submit(&edit, &form.with("backup_id", "2")).await.status, 303);
    assert_eq!(olga.get(CLOCK).await.fact("Backup"), "hand timers");
    assert_eq!(olga.get(LIST).await.all(".note").len(), 0);
    assert_eq!(due(&at(&test, soon).await.get("/events/1").await).len(), 0, "it is named");
    let mut olga = at(&test, NOW).await;

    let gone = [("step", "not lent"), ("on", "2026-11-24"), ("who", "Coach Bell")];
    assert_eq!(olga.post("/events/1/loans/2/steps", &gone).await.status, 303);
    let list = olga.get(LIST).await;
    assert_eq!(problems(&list), ["no-backup"], "the backup fell through");
    assert_eq!(list.attributes("[data-problem] a", "href"), [CLOCK]);
}

#[tokio::test]
async fn one_thing_at_two_events_on_the_same_days_is_told_to_both() {
    let test = TestApp::planned().await;
    let coach = test.clock().await;
    plan(&test.app).await;
    let mut olga = test.olga().await;
    let other = "/events/2/loans/new";
    let form = clock(&mut olga, coach).await;
    assert_eq!(olga.submit(other, &form.clone().with("serial", "another")).await.status, 303);
    assert_eq!(olga.get(LIST).await.all(".note").len(), 0, "another clock of the same school");
    assert_eq!(olga.submit(other, &form.with("serial", " ab-0412")).await.status, 303);
    for list in [LIST, "/events/2/loans"] {
        let page = olga.get(list).await;
        assert_eq!(problems(&page), ["two-events"], "{list}");
        let (from, until) = (page.mark("[data-problem]", "from"), page.mark("[data-problem]", "until"));
        assert_eq!((from.as_str(), until.as_str()), ("2027-06-03", "2027-06-07"), "{list}");
        let note = page.text("[data-problem]");
        assert!(note.contains("Sports clock") && note.contains("Two Rooms, One Spark"), "{list}: {note}");
        assert!(note.contains(&near(date!(2027 - 06 - 03))) && note.contains(&near(date!(2027 - 06 - 07))), "{note}");
    }
    assert_eq!(olga.get(CLOCK).await.fact("Also in"), "Two Rooms, One Spark");

    // The other event moves to days after these.
    let moved = [("burn_on", "2027-06-19"), ("rain_on", ""), ("chosen", "yes"), ("version", "1")];
    assert_eq!(olga.post("/events/2/move", &moved).await.status, 303);
    assert_eq!(olga.get(LIST).await.all(".note").len(), 0);
}

/// The calendar is the federal one plus the department's closed days: Monday, June 7, 2027,
/// is open, so it is the next working day after Saturday, June 5.
#[tokio::test]
async fn a_schools_things_go_back_on_the_next_working_day_and_others_as_agreed() {
    let test = TestApp::planned().await;
    let coach = test.clock().await;
    let mut olga = test.olga().await;
    assert_eq!(olga.get(LIST).await.mark(CLOCK_LINE, "due"), "2027-06-07");
    let closed = [("on", "2027-06-07"), ("reason", "Founders' Day")];
    assert_eq!(olga.post("/settings/closed-days", &closed).await.status, 303);
    let list = olga.get(LIST).await;
    assert_eq!(list.mark(CLOCK_LINE, "due"), "2027-06-08");
    assert!(list.text(&format!("{CLOCK_LINE} .due")).contains(&near(date!(2027 - 06 - 08))));
    assert_eq!(olga.get(CLOCK).await.mark("dl", "why"), "school");

    let form = clock(&mut olga, coach).await.without("is_school").with("burn_return", "2027-06-06");
    let other = add(&mut olga, &form.with("what", "barriers").with("serial", "")).await;
    let page = olga.get(&other).await;
    assert_eq!((page.mark("dl", "due").as_str(), page.mark("dl", "why").as_str()), ("2027-06-06", "agreed"));
    assert!(page.fact("Return").starts_with(&near(date!(2027 - 06 - 06))), "{}", page.fact("Return"));
}

#[tokio::test]
async fn what_is_not_back_is_due_on_burn_day_evening_and_the_officers_two_days_after() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let crew = test.somebody(Role::CrewLead).await;
    drop(crew);
    let edit = format!("{CLOCK}/edit");
    let form = olga.get(&edit).await.form().with("our_contact", "Somebody, crew lead");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    hand_over(&mut olga, "2026-11-25").await;
    let everybodys = "/events/1?who=";
    // Noon, then 6:30 p.m., where the burn is.
    let mut olga = at(&test, datetime!(2027-06-05 17:00 UTC)).await;
    assert_eq!(due(&olga.get("/events/1").await).len(), 0);
    test.at(datetime!(2027-06-05 23:30 UTC));
    let lines = due(&olga.get(everybodys).await);
    assert!(lines.len() == 1 && lines[0].contains("Somebody, crew lead"), "{lines:?}");
    let printed = olga.get("/events/1/lists?who=all").await.all(".sheet td");
    assert!(printed.iter().any(|cell| cell.contains("Sports clock")), "it is on the printed lists");
    let mut olga = at(&test, AFTER + Duration::DAY).await;
    let lines = due(&olga.get(everybodys).await);
    let one_day = words::count(1_usize, "day", "days");
    assert!(lines.len() == 1 && lines[0].contains("Olga Wren") && lines[0].contains(&one_day), "{lines:?}");
    let list = olga.get(LIST).await;
    assert_eq!(list.attributes("[data-group]", "data-group")[0], "late", "late ones come first");
    assert_eq!(list.mark(CLOCK_LINE, "late"), "1");
    assert_eq!(list.mark(CLOCK_LINE, "due"), "2027-06-07");
    let when = list.text(&format!("{CLOCK_LINE} .due.late"));
    let due_on = Reader::App.near_day(date!(2027 - 06 - 07), date!(2027 - 06 - 08));
    assert!(when.contains(&one_day) && when.contains(&due_on), "{when}");
    give_back(&mut olga, "2027-06-08").await;
    // What is left: settle with the lender by the next working day.
    let lines = due(&olga.get(everybodys).await);
    let by = Reader::App.near_day(date!(2027 - 06 - 09), date!(2027 - 06 - 08));
    assert!(lines.len() == 1 && lines[0].contains(&by) && !lines[0].contains(&one_day), "{lines:?}");
    assert_eq!(next(&olga.get(CLOCK).await), [format!("{CLOCK}/letter")]);
}

fn reminded(test: &TestApp, about: &str) -> Vec<String> {
    mails(test).into_iter().filter(|mail| mail.contains("'reminder'") && mail.contains(about)).collect()
}

#[tokio::test]
async fn whoever_answers_for_it_is_reminded_and_stops_being_once_it_is_back() {
    let test = TestApp::planned().await;
    test.clock().await;
    test.person("Rae Lund", "rae@example.org").await;
    let mut olga = test.olga().await;
    let edit = format!("{CLOCK}/edit");
    let form = olga.get(&edit).await.form().with("our_contact", "Rae Lund");
    assert_eq!(olga.submit(&edit, &form).await.status, 303);
    hand_over(&mut olga, "2026-11-25").await;
    // 5:45 p.m. and 6:15 p.m.
    test.at(datetime!(2027-06-05 22:45 UTC));
    reminders::tick(&test.app).await.unwrap();
    assert_eq!(reminded(&test, CLOCK).len(), 0);
    for minutes in [15, 16] {
        test.at(datetime!(2027-06-05 23:00 UTC) + Duration::minutes(minutes));
        reminders::tick(&test.app).await.unwrap();
    }
    let all = reminded(&test, CLOCK);
    assert_eq!(all.len(), 1, "once: {all:?}");
    for says in ["'rae@example.org'", "Sports clock", SCHOOL, &Reader::App.day(date!(2027 - 06 - 07))] {
        assert!(all[0].contains(says), "{says}: {}", all[0]);
    }
    let mut olga = at(&test, datetime!(2027-06-06 01:00 UTC)).await;
    give_back(&mut olga, "2027-06-05").await;
    test.at(datetime!(2027-06-06 15:00 UTC));
    reminders::tick(&test.app).await.unwrap();
    assert_eq!(reminded(&test, CLOCK).len(), 1, "it is back");
}

#[tokio::test]
async fn the_lenders_reminder_says_how_things_stand_now() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let ask = format!("{CLOCK}/ask");
    let form = olga.get(&ask).await.form().and("act", "ask");
    olga.submit(&ask, &form).await;
    let asks = asks::find(test.app.db.read(), 1).await.unwrap().unwrap().asks;
    test.stranger().post(&test.answer_path(1), &[("say", &format!("{} yes", asks[0].id))]).await;
    let edit = format!("{CLOCK}/edit");
    let form = olga.get(&edit).await.form().with("collect_place", "Back door of the gym");
    olga.submit(&edit, &form.with("collect_by", "Tomás Brandt")).await;
    // Five days before burn day, at 9 a.m.
    test.at(datetime!(2027-05-31 14:00 UTC));
    reminders::tick(&test.app).await.unwrap();
    let all = reminded(&test, "coach@example.org");
    assert_eq!(all.len(), 1, "{all:?}");
    let day = Reader::Public.day(date!(2027 - 06 - 03));
    let trip = format!("{day}, at 3:30 p.m.; Back door of the gym; driver: Tomás Brandt");
    for says in [trip, Reader::Public.day(date!(2027 - 06 - 07)), "60 ft (18 m)".to_owned()] {
        assert!(all[0].contains(&says), "{says}: {}", all[0]);
    }
}

#[tokio::test]
async fn what_was_typed_stays_and_each_line_says_what_it_needs() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let before = test.dump();
    let path = format!("{CLOCK}/pickup");
    let empty = olga.post_files(&path, &[], &[]).await;
    assert_eq!(empty.status, 422);
    let all = ["check-0", "check-1", "count-0", "count-1", "given_by", "taken_by", "on", "at"];
    assert_eq!(empty.mistakes(), all);
    let mut record = handing("2026-11-26", "otherwise", "", "many");
    record.retain(|(name, _)| *name != "check-1");
    let page = olga.post_files(&path, &record, &[]).await;
    assert_eq!(page.status, 422);
    assert_eq!(page.mistakes(), ["check-0", "check-1", "count-0", "on"]);
    assert!(page.mistake("check-0").contains("whole"), "{}", page.mistake("check-0"));
    assert_eq!((page.value("given_by"), page.value("count-1")), ("Coach Bell".to_owned(), "3".to_owned()));
    assert!(page.text("textarea").contains("Strap is frayed"));
    assert_eq!(before, test.dump());
}

/// Files that aren't photos, or not usable ones.
fn bad_files() -> Vec<(&'static str, Vec<u8>)> {
    let mut half = picture([10, 120, 200]);
    half.truncate(half.len() / 2);
    // 10,000 by 10,000 pixels in 70 bytes: a PNG's header (RFC 2083, section 4.1.1) with its
    // checksum and nothing else.
    let mut header = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
    header.extend(10_000_u32.to_be_bytes());
    header.extend(10_000_u32.to_be_bytes());
    header.extend([8, 2, 0, 0, 0]);
    header.extend(crc(&header[12..]).to_be_bytes());
    header.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e\0\0\0\0IEND\xae\x42\x60\x82");
    let mut heic = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec();
    heic.extend([0; 200]);
    vec![
        ("half.jpg", half),
        ("huge.png", header),
        ("phone.heic", heic),
        (
            "old.gif",
            b"GIF89a\x01\0\x01\0\x80\0\0\0\0\0\xff\xff\xff!\xf9\x04\0\0\0\0\0,\0\0\0\0\x01\0\x01\0\0\x02\x02D\x01\0;"
                .to_vec(),
        ),
        ("drawn.svg", b"<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>".to_vec()),
        ("page.jpg", b"<!doctype html><script>alert(1)</script>".to_vec()),
        ("empty.jpg", Vec::new()),
    ]
}

/// The checksum of PNG chunks: CRC-32 as ISO 3309 has it (RFC 2083, section 3.4).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(!0_u32, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |crc, _| if crc & 1 == 1 { 0xedb8_8320 ^ (crc >> 1) } else { crc >> 1 })
    })
}

#[tokio::test]
async fn a_photo_that_is_none_is_refused_by_name_and_the_rest_stays() {
    assert_eq!(crc(b"IEND"), 0xae42_6082, "as every PNG ends");
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let path = format!("{CLOCK}/pickup");
    for (name, bytes) in bad_files() {
        let files = [("photo-0", "good.jpg", picture([200, 60, 20])), ("photo-2", name, bytes)];
        let page = olga.post_files(&path, &handing("2026-11-25", "well", "", "1"), &files).await;
        assert_eq!(page.status, 422, "{name}");
        assert_eq!(page.all(".mistake").len(), 1, "{name}: {:?}", page.all(".mistake"));
        assert!(!page.text("#photo-2-mistake").is_empty(), "{name}");
        assert_eq!(page.value("given_by"), "Coach Bell", "{name}");
        assert!(page.text("textarea").contains("Strap is frayed"), "{name}");
        assert_eq!(page.attributes("input[value=well][checked]", "name"), ["check-0", "check-1"], "{name}");
        assert_eq!(page.value("photo-0_kept").len(), 64, "{name}: the good one is kept");
    }
    assert!(!test.dump().contains("INSERT INTO loan_photo"));
    let files = [("photo-2", "bad.gif", bad_files().remove(3).1)];
    let page = olga.post_files(&path, &handing("2026-11-25", "well", "", "1"), &files).await;
    assert_eq!(page.status, 422);
    let mut again = handing("2026-11-25", "well", "", "1");
    let kept = olga
        .post_files(&path, &handing("2026-11-25", "well", "", "x"), &[("photo-0", "good.jpg", picture([1, 2, 3]))])
        .await
        .value("photo-0_kept");
    again.push(("photo-0_kept", &kept));
    let side = [("photo-3", "side.jpg", picture([9, 9, 90]))];
    assert_eq!(olga.post_files(&path, &again, &side).await.status, 303);
    let page = olga.get(&format!("{CLOCK}/condition")).await;
    assert_eq!(page.attributes(".shots figure", "data-side"), ["0", "3"]);
    assert_eq!(page.attributes(".shots figure", "data-record"), ["hand-over", "hand-over"]);
    let named = page.attributes(".shots img", "alt");
    assert!(named.iter().all(|name| name.contains("sports clock") && name.contains("AB-0412")), "{named:?}");
    assert_ne!(named[0], named[1], "each side has a name of its own");
    let photo = page.attributes(".shots a", "href")[0].clone();
    let shown = olga.get(&photo).await;
    assert_eq!(shown.header("content-type"), "image/jpeg");
}

#[tokio::test]
async fn the_return_shows_what_was_found_and_ticks_nothing() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    assert!(olga.get(&format!("{CLOCK}/return")).await.has("[data-refused=not-here]"));
    let early = olga.post_files(&format!("{CLOCK}/return"), &handing("2026-11-25", "well", "", "1"), &[]).await;
    assert_eq!(early.status, 422);
    hand_over(&mut olga, "2026-11-24").await;
    let page = olga.get(&format!("{CLOCK}/return")).await;
    assert_eq!(page.mark("[data-part=screen]", "before"), "whole");
    assert!(page.text("[data-part=screen] legend").contains("whole"), "{}", page.text("main"));
    assert_eq!(page.mark("[data-counted=remote]", "before"), "1");
    assert!(page.text("[data-counted=remote] label").contains('1'), "{}", page.text("main"));
    assert!(page.attributes("input[checked]", "name").is_empty());
    assert_eq!(page.value("count-0"), "");
    let before = olga.post_files(&format!("{CLOCK}/return"), &handing("2026-11-23", "well", "", "1"), &[]).await;
    assert_eq!(before.mistakes(), ["on"]);
    let again = olga.post_files(&format!("{CLOCK}/pickup"), &handing("2026-11-25", "well", "", "1"), &[]).await;
    assert_eq!(again.status, 422);
    assert!(again.has("[data-refused=handed-over]"));
    let back = olga.post_files(&format!("{CLOCK}/return"), &handing("2026-11-25", "well", "", "1"), &[]).await;
    assert_eq!(back.status, 303);
    assert_eq!(olga.get(&format!("{CLOCK}/condition")).await.mark("[data-differences]", "differences"), "0");
}

#[tokio::test]
async fn the_lender_is_written_to_once_in_the_words_of_the_officer() {
    let test = TestApp::planned().await;
    test.clock().await;
    hand_over(&mut test.olga().await, "2026-11-24").await;
    let path = format!("{CLOCK}/letter");
    // When the item is late, the draft leaves a gap for the day it will be returned.
    let mut olga = at(&test, AFTER + Duration::DAY).await;
    let gap = olga.get(&format!("{path}?about=its%20return")).await.form();
    assert_eq!(olga.submit(&path, &gap.and("act", "mail")).await.mistakes(), ["text"]);
    let mut olga = at(&test, NOW).await;
    give_back(&mut olga, "2026-11-25").await;
    let draft = olga.get(&path).await.form();
    let found: Vec<&str> = draft.value("text").lines().filter(|line| line.starts_with("- ")).collect();
    assert_eq!(found.len(), 2, "{}", draft.value("text"));
    assert!(["screen", "whole", "scratched"].iter().all(|says| found[0].contains(says)), "{found:?}");
    assert!(["remote", "1", "0"].iter().all(|says| found[1].contains(says)), "{found:?}");
    let own = "The screen is scratched and the remote is missing.\n\nWe pay for both.";
    let letter = [("about", "its condition"), ("text", own), ("act", "mail")];
    assert_eq!(olga.post(&path, &[("about", "its condition"), ("text", own), ("act", "see")]).await.status, 200);
    assert!(mails(&test).is_empty());
    assert_eq!(olga.post(&path, &[("text", " "), ("act", "mail")]).await.status, 422);
    assert_eq!(olga.post(&path, &letter).await.location(), CLOCK);
    let all = mails(&test);
    assert_eq!(all.len(), 1);
    assert!(all[0].contains("'coach@example.org'") && all[0].contains("We pay for both."), "{}", all[0]);
    let page = olga.get(CLOCK).await;
    assert!(page.has("[data-about='its condition'][data-way=mail]"), "{}", page.text("main"));
    assert_eq!(page.count("a.main"), 0, "nothing is left to be done first");
}

#[tokio::test]
async fn an_old_edit_is_shown_beside_the_new_one() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let edit = format!("{CLOCK}/edit");
    let old = olga.get(&edit).await.form();
    assert_eq!(olga.submit(&edit, &old.clone().with("power", "120 V, 3 A")).await.status, 303);
    let page = olga.submit(&edit, &old.with("power", "240 V")).await;
    assert_eq!(page.status, 409);
    assert!(page.says("120 V, 3 A") && page.says("240 V"));
    assert!(olga.get(CLOCK).await.says("120 V, 3 A"));
}

#[tokio::test]
async fn labels_lead_to_the_thing_in_its_own_event() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/loans/labels").await;
    assert_eq!(page.attributes(".tag svg", "role"), ["img"]);
    assert_eq!(page.all(".tag b"), [SCHOOL]);
    assert!(!page.body.contains("<?xml"));
    assert_eq!(olga.get("/loans/1").await.location(), CLOCK);
    assert_eq!(olga.get("/loans/99").await.status, 404);
    assert!(test.stranger().get("/loans/1").await.location().starts_with("/sign-in?next=/loans/1"));
}

#[tokio::test]
async fn the_agreement_says_what_is_not_agreed() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    let page = olga.get(&format!("{CLOCK}/agreement")).await;
    assert_eq!(page.attributes("[data-missing]", "data-missing"), ["value", "insurer"]);
    let terms = page.text(".paper .terms");
    for says in ["60 ft (18 m)", &Reader::Public.day(date!(2027 - 06 - 07))] {
        assert!(terms.contains(says), "{says}: {terms}");
    }
    assert!(page.has(".paper [data-note=counsel]"));
    let signed = page.all(".paper .signatures p");
    assert_eq!(signed.len(), 2, "{signed:?}");
    assert!(signed[0].contains("Alder Bend Middle School") && signed[1].contains("Alder Bend Fire District"));
    let paper = page.all(".paper > p, .paper h2, .paper dl > div, .paper .terms > li, .paper .signatures p");
    insta::assert_snapshot!("loan-agreement", paper.join("\n"));
}

#[tokio::test]
async fn loans_go_along_when_two_become_one_and_come_back() {
    let test = TestApp::planned().await;
    let coach = test.clock().await;
    let other = test.person("Bell, Coach", "").await;
    let mut olga = test.olga().await;
    let version = olga.get(&format!("/people/{coach}/edit")).await.value("version");
    let fields = [("with", coach.to_string()), ("version", "1".to_owned()), ("with_version", version)];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    assert_eq!(olga.post(&format!("/people/{other}/merge"), &fields).await.status, 303);
    assert!(olga.get(LIST).await.says("Bell, Coach"), "{}", olga.get(LIST).await.text("main"));
    let entry = olga.get(&format!("/people/{other}")).await.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{other}/undo-merge"), &[("entry", &entry)]).await.status, 303);
    assert!(olga.get(LIST).await.says("(Coach Bell)"));
}

#[tokio::test]
async fn whoever_is_forgotten_is_in_no_loan_any_more() {
    let test = TestApp::planned().await;
    let lender = test.person("Zeb Vantongeren", "zeb@example.org").await;
    let mut olga = test.olga().await;
    let form = clock(&mut olga, lender).await.without("is_school").with("lender_contact", "Zeb Vantongeren");
    let form = form
        .with("our_contact", "Zeb Vantongeren")
        .with("collect_by", "Zeb Vantongeren")
        .with("return_by", "Zeb Vantongeren");
    add(&mut olga, &form.with("operator", "Zeb Vantongeren").with("notes", "Secretnote")).await;
    let step = [
        ("step", "promised"),
        ("date", "burn day"),
        ("on", "2026-11-24"),
        ("who", "Zeb Vantongeren"),
        ("note", "Secretnote"),
    ];
    assert_eq!(olga.post(&format!("{CLOCK}/steps"), &step).await.status, 303);
    let mut record = handing("2026-11-24", "well", "", "1");
    record.retain(|(name, _)| !["given_by", "notes"].contains(name));
    record.extend([("given_by", "Zeb Vantongeren"), ("notes", "Secretnote")]);
    assert_eq!(olga.post_files(&format!("{CLOCK}/pickup"), &record, &[]).await.status, 303);
    give_back(&mut olga, "2026-11-25").await;
    let letter = [("about", "its condition"), ("text", "Dear Zeb Vantongeren, Secretnote"), ("act", "mail")];
    assert_eq!(olga.post(&format!("{CLOCK}/letter"), &letter).await.status, 303);
    assert!(test.dump().contains("Secretnote"));
    let forget = olga.post(&format!("/people/{lender}/erase"), &[("version", "1")]).await;
    assert_eq!(forget.status, 303, "{}", forget.text("main"));
    let dump = test.dump();
    for secret in ["Zeb", "Vantongeren", "Secretnote", "zeb@example.org"] {
        let line = dump.lines().find(|line| line.contains(secret));
        assert_eq!(line, None, "{secret}");
    }
    let called = olga.get(CLOCK).await.fact("Lender");
    assert!(called.ends_with(&lender.to_string()), "{called}: only their number is left");
}

#[tokio::test]
async fn the_lender_is_thanked_once_it_is_back() {
    let test = TestApp::planned().await;
    test.clock().await;
    let mut olga = test.olga().await;
    hand_over(&mut olga, "2026-11-24").await;
    let mut olga = at(&test, AFTER).await;
    let thanks = "/events/1/guests/thanks";
    let thanked = |page: &Answer| page.count("[data-list]:not([data-list=later]) li[data-for~='loan/1']");
    assert_eq!(thanked(&olga.get(thanks).await), 0);
    give_back(&mut olga, "2027-06-07").await;
    let page = olga.get(thanks).await;
    assert_eq!(thanked(&page), 1, "{}", page.text("main"));
}

#[tokio::test]
async fn a_thing_of_another_event_is_not_found() {
    let test = TestApp::planned().await;
    test.clock().await;
    plan(&test.app).await;
    let mut olga = test.olga().await;
    for end in ["", "/edit", "/ask", "/pickup", "/return", "/condition", "/agreement", "/letter"] {
        assert_eq!(olga.get(&format!("/events/2/loans/1{end}")).await.status, 404, "{end}");
    }
    assert_eq!(
        olga.post_files("/events/2/loans/1/return", &handing("2026-11-25", "well", "", "1"), &[]).await.status,
        404
    );
}
