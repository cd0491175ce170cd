//! Gates, readings, and the decisions that two people sign.

use crate::asks::rows;
use crate::support::{Answer, Browser, HeldWriter, NOW, TestApp};
use burnday::accounts::Role;
use burnday::events::Event;
use time::OffsetDateTime;
use time::macros::datetime;

const GATES: &str = "/events/1/burn-day/gates";
const LAST: &str = "/events/1/burn-day/gates?for=last+minutes";
/// Ten minutes before first ignition.
const READY: OffsetDateTime = datetime!(2027-06-05 14:50 UTC);

struct Crew {
    test: TestApp,
    officer: Browser,
    boss: Browser,
}

impl Crew {
    /// All gates are there, adopted, and read as good.
    async fn ready() -> Self {
        let Self { test, mut officer, boss } = Self::on_the_day().await;
        for gate in ids(&officer.get(LAST).await) {
            adopt(&mut officer, &gate).await;
            good(&mut officer, &gate).await;
        }
        Self { test, officer, boss }
    }

    /// The same ten minutes before first ignition.
    async fn on_the_day() -> Self {
        let Self { test, .. } = Self::started().await;
        test.at(READY);
        let officer = test.somebody(Role::SafetyOfficer).await;
        let boss = test.somebody(Role::BurnBoss).await;
        Self { test, officer, boss }
    }

    async fn started() -> Self {
        let test = TestApp::planned().await;
        assert_eq!(test.olga().await.post(&format!("{GATES}/start"), &[]).await.location(), GATES);
        let officer = test.somebody(Role::SafetyOfficer).await;
        let boss = test.somebody(Role::BurnBoss).await;
        Self { test, officer, boss }
    }
}

impl TestApp {
    /// The usual gates, the first of them read once.
    pub async fn with_gates(&self) {
        let mut olga = self.olga().await;
        assert_eq!(olga.post(&format!("{GATES}/start"), &[]).await.status, 303);
        assert_eq!(read(&mut olga, "1", &[("value", "7")]).await.status, 303);
    }
}

fn ids(page: &Answer) -> Vec<String> {
    page.attributes("[data-gate]", "data-gate")
}

fn named(page: &Answer, name: &str) -> String {
    page.attributes(&format!("[data-name='{name}']"), "data-gate")[0].clone()
}

fn light(page: &Answer, gate: &str) -> String {
    page.attributes(&format!("[data-gate='{gate}'] [data-light]"), "data-light")[0].clone()
}

fn verdict(page: &Answer) -> String {
    page.mark("[data-verdict]", "verdict")
}

async fn adopt(who: &mut Browser, gate: &str) {
    let form = who.get(&format!("{GATES}/{gate}")).await;
    let path = format!("{GATES}/{gate}/adopt");
    if form.has(&format!("form[action='{path}']")) {
        let filled = form.form_at(&format!("form[action='{path}']"));
        assert_eq!(who.submit(&path, &filled).await.status, 303);
    }
}

async fn read(who: &mut Browser, gate: &str, fields: &[(&str, &str)]) -> Answer {
    who.post(&format!("{GATES}/{gate}/readings"), fields).await
}

/// The first answer of each kind is the good one.
async fn good(who: &mut Browser, gate: &str) {
    let page = who.get(&format!("{GATES}/{gate}")).await;
    let value = if page.has("input[name=value][value=yes]") {
        "yes"
    } else if page.has("input[type=radio][value='0']") {
        "0"
    } else if page.text("h1").contains("Cold") || page.text("h1").contains("Daylight") {
        "60"
    } else {
        "5"
    };
    let answer = read(who, gate, &[("value", value), ("temperature", "70"), ("humidity", "40")]).await;
    assert_eq!(answer.status, 303, "{gate}: {:?}", answer.mistakes());
}

async fn sign(who: &mut Browser, says: &str, reason: &str) -> String {
    let page = who.get(LAST).await;
    let form = page.form_at("#sign form").with("reason", reason).and("says", says);
    assert_eq!(who.submit(&format!("{GATES}/sign"), &form).await.status, 303);
    verdict(&who.get(LAST).await)
}

fn signatures(test: &TestApp) -> Vec<[String; 2]> {
    rows::<2>(test, "select role, says from decision_signature order by id")
}

#[tokio::test]
async fn nothing_counts_until_it_is_adopted_and_read() {
    let Crew { test, mut officer, mut boss } = Crew::on_the_day().await;
    let page = officer.get(LAST).await;
    let wind = named(&page, "Wind");
    assert_eq!((light(&page, &wind).as_str(), verdict(&page).as_str()), ("missing", "open"));
    let due = test.olga().await.get("/events/1").await;
    assert!(due.has("a[href='/events/1/burn-day/gates']"), "{}", due.text("main"));
    assert_eq!(read(&mut officer, &wind, &[("value", "7")]).await.location(), GATES);
    assert_eq!(light(&officer.get(LAST).await, &wind), "missing", "its limits are not adopted");
    // Only the safety officer adopts.
    assert_eq!(boss.post(&format!("{GATES}/{wind}/adopt"), &[("version", "1")]).await.status, 403);
    adopt(&mut officer, &wind).await;
    assert_eq!(light(&officer.get(LAST).await, &wind), "good");
    // Fifteen minutes later it is stale.
    test.at(READY + time::Duration::minutes(16));
    assert_eq!(light(&officer.get(LAST).await, &wind), "missing");
    // Other limits have to be adopted again.
    let path = format!("{GATES}/{wind}/edit");
    let form = boss.get(&path).await.form_at("form.stack").with("red", "12");
    assert_eq!(boss.submit(&path, &form).await.status, 303);
    assert_eq!(rows::<1>(&test, &format!("select adopted_at is null from gate where id = {wind}")), [["1"]]);
    assert_eq!(sign(&mut officer, "go", "").await, "open");
    assert!(signatures(&test).is_empty());
}

#[tokio::test]
async fn go_takes_two_people_and_one_is_enough_for_anything_else() {
    let Crew { test, mut officer, mut boss } = Crew::ready().await;
    let page = officer.get(LAST).await;
    assert_eq!(page.mark("[data-good]", "good"), page.mark("[data-all]", "all"), "{}", page.text("main"));
    assert_eq!(sign(&mut officer, "go", "").await, "open");
    // The same person once more is nothing more.
    assert_eq!(sign(&mut officer, "go", "").await, "open");
    assert_eq!(signatures(&test).len(), 1);
    let mut lead = test.somebody(Role::CrewLead).await;
    let form = officer.get(LAST).await.form_at("#sign form").and("says", "go");
    assert_eq!(lead.submit(&format!("{GATES}/sign"), &form).await.status, 303);
    assert_eq!(signatures(&test).len(), 1, "a crew lead signs nothing");
    assert_eq!(sign(&mut boss, "go", "").await, "go");
    // Anyone on the crew stops it; then both sign again. In the same second, a stop outweighs a go.
    assert_eq!(sign(&mut lead, "stop", "").await, "no");
    test.at(READY + time::Duration::minutes(1));
    assert_eq!(sign(&mut boss, "go", "").await, "no");
    assert_eq!(sign(&mut officer, "go", "").await, "go");
    test.at(READY + time::Duration::minutes(2));
    assert_eq!(sign(&mut boss, "hold", "smoke drifts").await, "hold");
    let sheet = officer.get(&format!("{GATES}/sheet?for=last+minutes")).await;
    assert!(sheet.text("main").contains("smoke drifts") && sheet.has("[data-verdict=hold]"), "{}", sheet.text("main"));
    let reader = test.somebody(Role::Reader).await.post(&format!("{GATES}/sign"), &[("says", "stop")]).await;
    assert_eq!(reader.status, 403);
}

#[tokio::test]
async fn amber_is_read_again_and_then_takes_a_reason() {
    let Crew { test, mut officer, mut boss } = Crew::ready().await;
    let gusts = named(&officer.get(LAST).await, "Gusts");
    let later = |minutes| test.at(READY + time::Duration::minutes(minutes));
    later(1);
    assert_eq!(read(&mut boss, &gusts, &[("value", "16")]).await.status, 303);
    let page = officer.get(LAST).await;
    assert_eq!((light(&page, &gusts).as_str(), verdict(&page).as_str()), ("amber", "hold"));
    assert_eq!(sign(&mut officer, "go", "gusts fall").await, "hold");
    later(3);
    read(&mut boss, &gusts, &[("value", "16")]).await;
    assert_eq!(sign(&mut officer, "go", "").await, "hold");
    assert!(signatures(&test).is_empty(), "no reason was given");
    sign(&mut officer, "go", "gusts are falling since 9:40").await;
    assert_eq!(sign(&mut boss, "go", "").await, "go");
    // Red ends it, and good again brings nothing back.
    later(4);
    read(&mut boss, &gusts, &[("value", "21")]).await;
    assert_eq!(verdict(&officer.get(LAST).await), "hold");
    later(5);
    read(&mut boss, &gusts, &[("value", "5")]).await;
    assert_eq!(verdict(&officer.get(LAST).await), "open");
    sign(&mut boss, "go", "").await;
    assert_eq!(sign(&mut officer, "go", "").await, "go");
}

#[tokio::test]
async fn another_day_or_hour_takes_new_signatures_also_after_moving_back() {
    let Crew { test, mut officer, mut boss } = Crew::ready().await;
    sign(&mut officer, "go", "").await;
    assert_eq!(sign(&mut boss, "go", "").await, "go");
    let was = event(&test).await;
    for hour in ["11:00", "10:00"] {
        change_hour(&test, hour).await;
    }
    let now = event(&test).await;
    assert_eq!((was.details.burn_time, was.details.burn_on), (now.details.burn_time, now.details.burn_on));
    let page = officer.get(LAST).await;
    assert_eq!(verdict(&page), "open", "{}", page.text("main"));
}

async fn event(test: &TestApp) -> Event {
    burnday::events::found(test.app.db.read(), 1).await.unwrap()
}

async fn change_hour(test: &TestApp, hour: &str) {
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/edit").await.form().with("burn_time", hour).and("act", "save");
    let answer = olga.submit("/events/1/edit", &form).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
}

/// What a page shows is old by the time the signature is written.
#[tokio::test]
async fn a_reading_that_comes_before_the_signature_refuses_it() {
    let Crew { test, mut officer, mut boss } = Crew::ready().await;
    let gusts = named(&officer.get(LAST).await, "Gusts");
    let form = officer.get(LAST).await.form_at("#sign form").and("says", "go");
    let held = HeldWriter::of(&test.app).await;
    let reading = tokio::spawn(async move { read(&mut boss, &gusts, &[("value", "25")]).await });
    held.until_wait(1).await;
    let signing = tokio::spawn(async move { officer.submit(&format!("{GATES}/sign"), &form).await });
    held.until_wait(2).await;
    held.release();
    assert_eq!((reading.await.unwrap().status, signing.await.unwrap().status), (303, 303));
    assert!(signatures(&test).is_empty());
}

#[tokio::test]
async fn both_sign_at_once_and_both_count() {
    let Crew { test, mut officer, mut boss } = Crew::ready().await;
    let (one, two) = (officer.get(LAST).await.form_at("#sign form"), boss.get(LAST).await.form_at("#sign form"));
    let held = HeldWriter::of(&test.app).await;
    let path = format!("{GATES}/sign");
    let first = {
        let (path, form) = (path.clone(), one.and("says", "go"));
        tokio::spawn(async move { officer.submit(&path, &form).await })
    };
    held.until_wait(1).await;
    let second = tokio::spawn(async move { boss.submit(&path, &two.and("says", "go")).await });
    held.until_wait(2).await;
    held.release();
    assert_eq!((first.await.unwrap().status, second.await.unwrap().status), (303, 303));
    assert_eq!(verdict(&test.olga().await.get(LAST).await), "go");
    assert_eq!(signatures(&test).len(), 2);
}

#[tokio::test]
async fn a_forecast_counts_before_burn_day_only() {
    let Crew { test, mut officer, .. } = Crew::started().await;
    let page = officer.get(GATES).await;
    let wind = named(&officer.get(LAST).await, "Wind");
    adopt(&mut officer, &wind).await;
    assert_eq!(read(&mut officer, &wind, &[("value", "8"), ("forecast", "yes")]).await.status, 303);
    let early = officer.get(&format!("{GATES}?for=two+days+before")).await;
    assert_eq!((light(&early, &wind).as_str(), page.count(".tabs a")), ("good", 4));
    assert_eq!(light(&officer.get(LAST).await, &wind), "missing");
    assert_eq!(test.app.clock.now(), NOW);
}

#[tokio::test]
async fn what_is_wrong_is_said_at_its_field_and_stays() {
    let Crew { test, mut officer, .. } = Crew::started().await;
    let page = officer.get(&format!("{GATES}?for=morning")).await;
    let (heat, wind) = (named(&page, "Heat index"), named(&page, "Wind"));
    let answer = read(&mut officer, &heat, &[("temperature", "hot"), ("humidity", "140")]).await;
    assert_eq!((answer.status, answer.mistakes().len()), (422, 2));
    assert_eq!(answer.attributes("#temperature", "value"), ["hot"]);
    let answer = read(&mut officer, &wind, &[("value", "7"), ("at", "25:00")]).await;
    assert_eq!((answer.status, answer.mistakes()), (422, vec!["at".to_owned()]));
    // 90 °F and 60 percent are 100 °F by the National Weather Service's chart (published, heat index).
    assert_eq!(read(&mut officer, &heat, &[("temperature", "90"), ("humidity", "60")]).await.status, 303);
    let shown: f64 = rows::<1>(&test, "select value from gate_reading")[0][0].parse().unwrap();
    assert!((shown - 100.0).abs() < 1.3, "{shown}");
    let new = officer.post(&format!("{GATES}/new"), &[("name", "")]).await;
    assert_eq!(new.status, 422);
}

#[tokio::test]
async fn a_permits_conditions_become_a_gate_once() {
    let Crew { test, mut officer, .. } = Crew::started().await;
    test.sql("update permit set conditions = 'A hose line at the fence.' where id = 1");
    let before = rows::<1>(&test, "select count(*) from gate");
    assert!(officer.get(GATES).await.has(&format!("form[action='{GATES}/conditions']")));
    for _ in 0..2 {
        assert_eq!(officer.post(&format!("{GATES}/conditions"), &[]).await.location(), GATES);
    }
    let [[count]] = rows::<1>(&test, "select count(*) from gate where permit_id = 1").try_into().unwrap();
    assert_eq!(count, "1");
    assert!(!officer.get(GATES).await.has(&format!("form[action='{GATES}/conditions']")));
    assert_ne!(before, rows::<1>(&test, "select count(*) from gate"));
}

#[tokio::test]
async fn a_gate_is_removed_and_its_readings_stay_on_record() {
    let Crew { test, mut officer, .. } = Crew::started().await;
    let wind = named(&officer.get(LAST).await, "Wind");
    read(&mut officer, &wind, &[("value", "7")]).await;
    assert_eq!(officer.post(&format!("{GATES}/{wind}/remove"), &[("version", "9")]).await.status, 400);
    assert_eq!(officer.post(&format!("{GATES}/{wind}/remove"), &[("version", "1")]).await.location(), GATES);
    assert!(!officer.get(LAST).await.has(&format!("[data-gate='{wind}']")));
    assert_eq!(rows::<1>(&test, "select count(*) from gate_reading"), [["1"]]);
}
