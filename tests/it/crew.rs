//! The crew: positions, rules, questions, call sheets, and who is on site.

use crate::asks::rows;
use crate::support::{Answer, BURN_ON, Browser, NOW, TestApp};
use burnday::accounts::Role;
use burnday::asks;
use burnday::calc::duties::{self, Basis, Duty};
use burnday::crew::{self, CrewSnapshot, Hours, Kept, Placed, Placing, ReplyStatus, Seat};
use burnday::db::journal::Actor;
use burnday::events::{self, Details, Event, LIVE_BURN};
use burnday::mail;
use burnday::reminders;
use burnday::web::link::{Opens, without_links};
use burnday::web::words::{self, Reader};
use time::macros::{date, datetime, time};
use time::{Date, OffsetDateTime};

pub const RAIN: Date = date!(2027 - 06 - 12);
/// The morning of burn day in Chicago, 07:00.
const MORNING: OffsetDateTime = datetime!(2027-06-05 12:00 UTC);

impl TestApp {
    /// One of everything in the crew that has a page: positions from the template, and Olga
    /// in the first one, with a certificate, signed in once.
    pub async fn with_crew(&self) {
        let event = self.event().await;
        let write = self.app.db.write(move |tx| {
            let event = event.clone();
            Box::pin(async move {
                let olga = Actor::Account(1);
                crew::from_template(tx, olga, &event, 5, NOW).await?;
                let kept = Kept {
                    qualification_id: 1,
                    evidence: "certificate 7".to_owned(),
                    issued_by: String::new(),
                    expires_on: None,
                };
                crew::hold(tx, olga, 1, &kept, NOW).await?;
                let placing = Placing { post_id: 1, person_id: 1, is_standby: false, reason: "known".to_owned() };
                crew::place(tx, olga, &event, &placing, NOW).await?;
                crew::come_in(tx, olga, 1, (1, "Olga Wren"), NOW).await?;
                Ok(())
            })
        });
        write.await.unwrap();
    }

    pub async fn event(&self) -> Event {
        events::find(self.app.db.read(), 1).await.unwrap().unwrap()
    }

    pub async fn crew(&self) -> CrewSnapshot {
        let event = self.event().await;
        CrewSnapshot::load(&mut self.app.db.read().acquire().await.unwrap(), &event).await.unwrap()
    }

    /// A crew member's private page.
    pub async fn sheet_path(&self, person: i64) -> String {
        let event = self.event().await;
        let sheets = crew::call_sheets(&mut self.app.db.read().acquire().await.unwrap(), &event, NOW).await.unwrap();
        let number = sheets[&person].link;
        format!("/call-sheet/{}", self.app.link_key.secret(Opens::CallSheet, number, 1).reveal())
    }
}

/// A burn with the usual positions.
pub async fn posts() -> (TestApp, Browser) {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let filled = olga.post("/events/1/crew/template", &[("press", "12")]).await;
    assert_eq!(filled.status, 303);
    (test, olga)
}

pub fn post(snapshot: &CrewSnapshot, duty: &str) -> i64 {
    snapshot.posts.iter().find(|post| post.details.duty.as_str() == duty).unwrap().id
}

pub async fn assign(by: &mut Browser, post: i64, person: i64, more: &[(&str, &str)]) -> Answer {
    let person = person.to_string();
    let fields = [&[("person", person.as_str())], more].concat();
    by.post(&format!("/events/1/crew/positions/{post}/assign"), &fields).await
}

/// Records that someone holds a qualification, by its name.
pub async fn qualify(by: &mut Browser, snapshot: &CrewSnapshot, person: i64, name: &str, until: &str) -> Answer {
    let id = snapshot.qualifications.iter().find(|one| one.name == name).unwrap().id.to_string();
    let fields = [("qualification", id.as_str()), ("evidence", "certificate 12"), ("expires_on", until)];
    by.post(&format!("/events/1/crew/people/{person}/certificates"), &fields).await
}

/// Asks everyone who hasn't been asked yet, for both dates.
pub async fn ask(by: &mut Browser) {
    let form = by.get("/events/1/crew/ask").await.form();
    let asked = by.submit("/events/1/crew/ask", &form.with("act", "ask")).await;
    assert_eq!(asked.status, 303, "{}", asked.text("main"));
}

/// Answers a question by its link, once for each date.
pub async fn answer(test: &TestApp, request: i64, said: &[&str], more: &[(&str, &str)]) {
    let asks = asks::find(test.app.db.read(), request).await.unwrap().unwrap().asks;
    for (ask, said) in asks.iter().zip(said) {
        let say = format!("{} {said}", ask.id);
        let fields = [&[("say", say.as_str())], more].concat();
        assert_eq!(test.stranger().post(&test.answer_path(request), &fields).await.status, 303);
    }
}

/// A pump operator who gave these answers for burn day and the rain date.
async fn pump_operator(test: &TestApp, olga: &mut Browser, name: &str, said: &[&str]) -> (i64, i64) {
    let snapshot = test.crew().await;
    let person = test.person(name, &format!("{}@example.org", name.to_lowercase().replace(' ', "."))).await;
    assert_eq!(qualify(olga, &snapshot, person, "Driver/operator", "").await.status, 303);
    assert_eq!(assign(olga, post(&snapshot, "pump operator"), person, &[]).await.status, 303);
    ask(olga).await;
    let snapshot = test.crew().await;
    let request = snapshot.assigned.iter().find(|one| one.person_id == person).unwrap().request_id.unwrap();
    answer(test, request, said, &[]).await;
    (person, request)
}

/// How many positions are filled, are not confirmed and are open on a day, as the Crew page
/// says.
fn seats(page: &Answer, on: Date) -> [String; 3] {
    let line = format!(".missing[data-day='{}']", words::iso(on));
    ["filled", "waiting", "open"].map(|name| page.mark(&line, name))
}

/// Where a crew page shows someone's status on a day.
fn cell(person: i64, on: Date) -> String {
    format!("[data-person='{person}'] [data-day='{}']", words::iso(on))
}

/// Adds a position for one person, and returns its number.
pub async fn position(by: &mut Browser, name: &str, duty: &str, (from, until): (&str, &str)) -> i64 {
    let new = "/events/1/crew/positions/new";
    let form = by.get(new).await.form().with("name", name).with("duty", duty).with("from", from).with("until", until);
    let added = by.submit(new, &form).await;
    assert_eq!(added.status, 303, "{}", added.text("main"));
    added.location().rsplit('/').next().unwrap().parse().unwrap()
}

const SHEETS: &str = "/events/1/burn-day/call-sheets";

/// What became of the email with someone's call sheet, as the list says.
fn sent(page: &Answer, person: i64) -> String {
    page.mark(&format!("tr[data-person='{person}']"), "sent")
}

/// What became of the emails that only hold a call sheet, the oldest first.
fn sheets_sent(test: &TestApp) -> Vec<String> {
    let states = rows::<1>(test, "select state from mail where dedup glob 'call-sheet/*' order by id");
    states.into_iter().flatten().collect()
}

async fn change_spot(by: &mut Browser, post: i64, spot: &str) {
    let path = format!("/events/1/crew/positions/{post}/edit");
    let form = by.get(&path).await.form().with("spot", spot);
    assert_eq!(by.submit(&path, &form).await.status, 303);
}

/// The rules that kept someone from being assigned: their kind and their words.
fn rules(page: &Answer) -> Vec<(String, String)> {
    let kinds = page.attributes("[data-refused] li", "data-why");
    kinds.into_iter().zip(page.all("[data-refused] li")).collect()
}

/// What the countdown says is due at an address: the title and the line below it.
fn due(page: &Answer, href: &str) -> Vec<(String, String)> {
    let titles = page.all(&format!(".list .t > a[href='{href}']"));
    titles.into_iter().zip(page.all(&format!(".list .t > a[href='{href}'] + .d"))).collect()
}

/// The numbers in a text, the smallest first.
fn numbers(text: &str) -> Vec<u32> {
    let mut all: Vec<u32> =
        text.split(|c: char| !c.is_ascii_digit()).filter_map(|number| number.parse().ok()).collect();
    all.sort_unstable();
    all
}

#[tokio::test]
async fn a_crew_starts_from_the_usual_posts_once() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let needed = |duty: &str| {
        let posts = snapshot.posts.iter().filter(|post| post.details.duty.as_str() == duty);
        posts.map(|post| post.details.needed).sum::<u16>()
    };
    // 300 people are expected: one crowd manager for 250, and at least two, makes two. 12
    // reporters, one media escort for five, makes three.
    let wanted = [("crowd steward", 2), ("media escort", 3), ("pump operator", 2), ("safety officer", 1)];
    for (duty, number) in wanted {
        assert_eq!(needed(duty), number, "{duty}");
    }
    assert_eq!(needed("assistant safety officer"), 0, "only with both rooms at once");
    // Ignition is at 10:00; pumps run three and a half hours before it.
    let pumps = snapshot.posts.iter().find(|post| post.details.duty.as_str() == "pump operator").unwrap();
    assert_eq!(pumps.details.hours, Hours::between(time!(6:30), time!(11:30)));
    let again = olga.post("/events/1/crew/template", &[]).await;
    assert_eq!(again.status, 303);
    assert_eq!(test.crew().await.posts.len(), snapshot.posts.len());
    assert_eq!(seats(&olga.get("/events/1/crew").await, BURN_ON), ["0", "0", "35"]);
}

#[tokio::test]
async fn an_empty_crew_says_what_to_do_next() {
    let test = TestApp::planned().await;
    let page = test.olga().await.get("/events/1/crew").await;
    assert_eq!(page.mark("[data-empty=posts]", "next"), "template");
    assert!(page.has("form[action='/events/1/crew/template'] button.main"));
    let reader = test.somebody(Role::Reader).await.get("/events/1/crew").await;
    assert_eq!(reader.mark("[data-empty=posts]", "next"), "wait");
    assert!(!reader.has("button.main"));
    for path in ["crew/people", "burn-day/call-sheets", "crew/hours", "burn-day/crew"] {
        let page = test.olga().await.get(&format!("/events/1/{path}")).await;
        assert_eq!(page.status, 200);
        assert!(!page.text(".empty").is_empty(), "{path}");
    }
}

#[tokio::test]
async fn a_missing_qualification_is_refused_until_it_is_recorded() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let (pumps, ray) = (post(&snapshot, "pump operator"), test.person("Ray Ortiz", "ray@example.org").await);
    let refused = assign(&mut olga, pumps, ray, &[]).await;
    assert_eq!(refused.status, 422);
    assert_eq!(refused.mark("[data-refused]", "refused"), ray.to_string());
    assert!(refused.text("[data-refused]").contains("Ray Ortiz"));
    let broken = rules(&refused);
    assert_eq!((broken.len(), broken[0].0.as_str()), (1, "not-recorded"));
    let needed = snapshot.qualifications.iter().find(|one| one.name == "Driver/operator").unwrap();
    assert!(broken[0].1.contains(&needed.name), "{broken:?}");
    assert!(!needed.basis.is_empty() && refused.text("[data-refused] [data-basis]").contains(&needed.basis));
    assert!(test.crew().await.assigned.is_empty());

    assert_eq!(qualify(&mut olga, &snapshot, ray, "Driver/operator", "2027-06-08").await.status, 303);
    let assigned = assign(&mut olga, pumps, ray, &[]).await;
    assert_eq!(assigned.status, 303, "{}", assigned.text("main"));
    // It expires between burn day and the rain date, so only the rain date is short.
    let page = olga.get(assigned.location()).await;
    assert!(page.has(&format!("{}[data-why='']", cell(ray, BURN_ON))));
    assert_eq!(page.mark(&cell(ray, RAIN), "why"), "expired");
    let gap = page.text(&cell(ray, RAIN));
    for part in ["Driver/operator", &Reader::App.day(date!(2027 - 06 - 08)), &Reader::App.day(RAIN)] {
        assert!(gap.contains(part), "{part}: {gap}");
    }
    ask(&mut olga).await;
    let snapshot = test.crew().await;
    answer(&test, snapshot.assigned[0].request_id.unwrap(), &["yes", "yes"], &[]).await;
    let snapshot = test.crew().await;
    assert_eq!(snapshot.status(&snapshot.assigned[0], RAIN), ReplyStatus::Confirmed);
    assert_eq!(snapshot.seat(&snapshot.assigned[0], BURN_ON), Seat::Filled);
    assert_eq!(snapshot.seat(&snapshot.assigned[0], RAIN), Seat::Open);
}

#[tokio::test]
async fn a_higher_level_counts_as_the_lower_one() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let imre = test.person("Imre Kovalenko", "").await;
    qualify(&mut olga, &snapshot, imre, "Firefighter II", "").await;
    assert_eq!(assign(&mut olga, post(&snapshot, "attack line"), imre, &[]).await.status, 303);
    let nadia = test.person("Nadia Broussard", "").await;
    qualify(&mut olga, &snapshot, nadia, "Firefighter I", "").await;
    assert_eq!(assign(&mut olga, post(&snapshot, "rapid intervention"), nadia, &[]).await.status, 422);
}

#[tokio::test]
async fn two_duties_in_the_same_hours_are_refused_with_the_rule_and_its_basis() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let dele = test.person("Dele Aldous", "").await;
    qualify(&mut olga, &snapshot, dele, "Safety officer", "").await;
    assert_eq!(assign(&mut olga, post(&snapshot, "safety officer"), dele, &[]).await.status, 303);
    let refused = assign(&mut olga, post(&snapshot, "parking"), dele, &[]).await;
    assert_eq!(refused.status, 422);
    let broken = rules(&refused);
    assert_eq!((broken.len(), broken[0].0.as_str()), (1, "duties"));
    let rule = duties::rule(Duty::SafetyOfficer, Duty::Parking).unwrap();
    assert!(matches!(rule.basis, Basis::Published { standard: "NFPA 1403", .. }));
    let other = &snapshot.post(post(&snapshot, "safety officer")).unwrap().details;
    assert_eq!(other.hours, Hours::between(time!(5:00), time!(12:00)));
    for part in [rule.words, &rule.basis.says(), &other.name, &other.hours.says()] {
        assert!(broken[0].1.contains(part), "{part}: {broken:?}");
    }
    // An alternate doesn't count and has no duty.
    let elsewhere = test.person("Orla Hendry", "").await;
    assert_eq!(assign(&mut olga, post(&snapshot, "parking"), elsewhere, &[("standby", "yes")]).await.status, 303);
    assert_eq!(assign(&mut olga, post(&snapshot, "timekeeper"), elsewhere, &[]).await.status, 303);
}

#[tokio::test]
async fn hours_that_are_too_short_are_refused() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let dov = test.person("Dov Aldine", "").await;
    let hours = format!("/events/1/crew/people/{dov}/hours");
    let wrong = olga.post(&hours, &[("on", "2027-06-05"), ("from", "9"), ("until", "")]).await;
    assert_eq!(wrong.status, 422);
    assert_eq!(wrong.mistakes(), ["hours"]);
    let noted = olga.post(&hours, &[("on", "2027-06-05"), ("from", "09:30"), ("until", "12:00")]).await;
    assert_eq!(noted.status, 303);
    let refused = assign(&mut olga, post(&snapshot, "parking"), dov, &[]).await;
    assert_eq!(refused.status, 422);
    let broken = rules(&refused);
    assert_eq!((broken.len(), broken[0].0.as_str()), (1, "hours"));
    let (there, needed) =
        (Hours::between(time!(9:30), time!(12:00)).says(), Hours::between(time!(8:30), time!(11:00)).says());
    for part in [there, needed, Reader::App.day(BURN_ON)] {
        assert!(broken[0].1.contains(&part), "{part}: {broken:?}");
    }
    olga.post(&hours, &[("on", "2027-06-05"), ("from", "08:00"), ("until", "12:00")]).await;
    assert_eq!(assign(&mut olga, post(&snapshot, "parking"), dov, &[]).await.status, 303);
}

#[tokio::test]
async fn hours_said_with_an_answer_count_and_stand_in_the_ledger() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let dov = test.person("Dov Aldine", "dov@example.org").await;
    assign(&mut olga, post(&snapshot, "parking"), dov, &[]).await;
    ask(&mut olga).await;
    let request = test.crew().await.assigned[0].request_id.unwrap();
    let page = test.stranger().get(&test.answer_path(request)).await;
    assert!(page.has("form input[name=from]") && page.has("form input[name=until]"));
    let asks = asks::find(test.app.db.read(), request).await.unwrap().unwrap().asks;
    let say = format!("{} yes", asks[0].id);
    let wrong = [("say", say.as_str()), ("from", "10:00"), ("until", "25:99")];
    let refused = test.stranger().post(&test.answer_path(request), &wrong).await;
    assert_eq!(refused.status, 422);
    answer(&test, request, &["yes"], &[("from", "10:00"), ("until", "13:00")]).await;
    let snapshot = test.crew().await;
    let there = Hours::between(time!(10:00), time!(13:00));
    assert_eq!(snapshot.hours(dov, BURN_ON), Some(there));
    assert_eq!(snapshot.hours(dov, RAIN), None);
    assert_eq!(snapshot.seat(&snapshot.assigned[0], BURN_ON), Seat::Open, "the position starts at 08:30");
    let asked = olga.get(&format!("/events/1/replies/{request}")).await;
    assert!(asked.text("[data-answer=yes]").contains(&there.says()), "{}", asked.text("main"));
    assert!(olga.get("/events/1/replies").await.text("[data-said=yes]").contains(&there.says()));
}

#[tokio::test]
async fn a_rule_is_let_go_by_those_who_may_with_a_reason() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let (pumps, ray) = (post(&snapshot, "pump operator"), test.person("Ray Ortiz", "ray@example.org").await);
    let because = [("reason", "Certificate seen, renewal in the mail")];
    let mut lead = test.somebody(Role::CrewLead).await;
    let refused = assign(&mut lead, pumps, ray, &because).await;
    assert_eq!(refused.status, 422);
    assert_eq!(refused.mistakes(), ["reason"]);
    let offered = assign(&mut lead, pumps, ray, &[]).await;
    assert!(!offered.has("input[name=reason]"));
    for told in [refused.mistake("reason"), offered.text("#who-overrides")] {
        for role in [Role::SafetyOfficer, Role::EducationOfficer] {
            assert!(told.to_lowercase().contains(role.as_str()), "{role}: {told}");
        }
    }
    let mut safety = test.somebody(Role::SafetyOfficer).await;
    assert_eq!(assign(&mut safety, pumps, ray, &because).await.status, 303);
    let page = olga.get(&format!("/events/1/crew/positions/{pumps}")).await;
    let overridden = page.text(&format!("[data-person='{ray}'] [data-overridden]"));
    let (reason, by, today) = (because[0].1, "Somebody, safety officer", Reader::App.near_day(NOW.date(), NOW.date()));
    for part in ["Driver/operator", reason, by, &today] {
        assert!(overridden.contains(part), "{part}: {overridden}");
    }
    let decided = olga.get(&format!("/events/1/burn-day/call-sheets?person={ray}")).await.fact("Override");
    assert!(decided.contains(reason) && decided.contains(by), "in print too: {decided}");
    ask(&mut olga).await;
    let snapshot = test.crew().await;
    answer(&test, snapshot.assigned[0].request_id.unwrap(), &["yes", "yes"], &[]).await;
    let snapshot = test.crew().await;
    assert_eq!(snapshot.seat(&snapshot.assigned[0], BURN_ON), Seat::Filled);
    // Another rule that comes up later isn't overridden with it.
    olga.post(
        &format!("/events/1/crew/people/{ray}/hours"),
        &[("on", "2027-06-05"), ("from", "09:00"), ("until", "10:00")],
    )
    .await;
    let snapshot = test.crew().await;
    assert_eq!(snapshot.seat(&snapshot.assigned[0], BURN_ON), Seat::Open);
}

#[tokio::test]
async fn a_check_names_who_and_when_and_a_change_takes_it_away() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let ray = test.person("Ray Ortiz", "").await;
    qualify(&mut olga, &snapshot, ray, "Driver/operator", "2028-01-01").await;
    let here = format!("/events/1/crew/people/{ray}");
    let checked = |page: &Answer| page.attributes("[data-certificate='1']", "data-checked");
    assert_eq!(checked(&olga.get(&here).await), [""]);
    let mut lead = test.somebody(Role::CrewLead).await;
    let check = format!("{here}/certificates/1/check");
    assert_eq!(lead.post(&check, &[("version", "1")]).await.status, 403);
    let mut safety = test.somebody(Role::SafetyOfficer).await;
    assert_eq!(safety.post(&check, &[("version", "1")]).await.status, 303);
    let page = olga.get(&here).await;
    assert_eq!(checked(&page), ["2026-11-25"]);
    assert!(page.text("[data-certificate='1']").contains("Somebody, safety officer"));
    // Checking a version from before someone changed it doesn't count.
    let form = lead.get(&format!("{here}/certificates/1")).await.form().with("evidence", "card 99");
    assert_eq!(lead.submit(&format!("{here}/certificates/1"), &form).await.status, 303);
    assert_eq!(checked(&olga.get(&here).await), [""]);
    safety.post(&check, &[("version", "2")]).await;
    assert_eq!(checked(&olga.get(&here).await), [""]);
    // Saving an old version shows both texts.
    let stale = lead.submit(&format!("{here}/certificates/1"), &form.with("evidence", "card 100")).await;
    assert_eq!(stale.status, 409);
    assert!(stale.says("card 99") && stale.says("card 100"));
}

#[tokio::test]
async fn a_post_that_two_people_change_shows_both_texts() {
    let (test, mut olga) = posts().await;
    let mut lead = test.somebody(Role::CrewLead).await;
    let path = "/events/1/crew/positions/1/edit";
    let (mine, theirs) = (olga.get(path).await.form(), lead.get(path).await.form());
    assert_eq!(lead.submit(path, &theirs.with("spot", "By the well")).await.status, 303);
    let stale = olga.submit(path, &mine.with("spot", "By the gate")).await;
    assert_eq!(stale.status, 409);
    assert!(stale.says("By the well") && stale.says("By the gate"));
    let wrong = olga.submit(path, &olga.clone().get(path).await.form().with("needed", "0").with("from", "")).await;
    assert_eq!(wrong.status, 422);
    assert_eq!(wrong.mistakes(), ["needed", "from"]);
    // A night burn passes midnight.
    let form = olga.get(path).await.form().with("from", "19:00").with("until", "01:30");
    assert_eq!(olga.submit(path, &form).await.status, 303);
    let night = Hours::between(time!(19:00), time!(1:30));
    assert_eq!(olga.get("/events/1/crew/positions/1").await.fact("Hours"), night.says());
}

#[tokio::test]
async fn people_are_asked_once_about_all_their_posts_for_both_dates() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    assign(&mut olga, post(&snapshot, "parking"), wren, &[]).await;
    let page = olga.get("/events/1/crew/ask").await;
    let seen = olga.submit("/events/1/crew/ask", &page.form().with("act", "see")).await;
    assert_eq!(seen.status, 200);
    assert_eq!(seen.mark("[data-mails]", "mails"), "1");
    let (letter, form) = (seen.text("[data-mails]"), page.form());
    let parking = &snapshot.post(post(&snapshot, "parking")).unwrap().details;
    assert_eq!(parking.hours, Hours::between(time!(8:30), time!(11:00)));
    for part in [form.value("question"), &parking.hours.says_for(Reader::Public), &parking.spot] {
        assert!(!part.is_empty() && letter.contains(part), "{part}: {letter}");
    }
    let requests = |test: &TestApp| {
        let db = test.app.db.clone();
        async move { asks::of_event(&mut db.read().acquire().await.unwrap(), 1).await.unwrap() }
    };
    assert!(requests(&test).await.is_empty(), "looking asks nobody");
    ask(&mut olga).await;
    let asked = requests(&test).await;
    assert_eq!(asked.len(), 1);
    assert_eq!(asked[0].asks.iter().map(|ask| ask.for_on).collect::<Vec<_>>(), [BURN_ON, RAIN]);
    let waits = mail::of_request(test.app.db.read(), asked[0].id).await.unwrap();
    assert_eq!(waits.len(), 1);
    let again = olga.get("/events/1/crew/ask").await;
    assert_eq!(again.attributes("[data-empty]", "data-empty"), ["all done"]);
    let page = olga.get("/events/1/crew").await;
    assert_eq!(page.mark(&cell(wren, BURN_ON), "state"), "waiting");
    assert_eq!(seats(&page, BURN_ON), ["0", "1", "34"]);
}

#[tokio::test]
async fn somebody_asked_about_one_date_keeps_their_yes_when_asked_about_the_other() {
    let (test, mut olga) = posts().await;
    let snapshot = test.crew().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    assign(&mut olga, post(&snapshot, "parking"), wren, &[]).await;
    let form = olga.get("/events/1/crew/ask").await.form().without("date").and("date", "burn day");
    olga.submit("/events/1/crew/ask", &form.with("act", "ask")).await;
    let request = test.crew().await.assigned[0].request_id.unwrap();
    answer(&test, request, &["yes"], &[]).await;
    let page = olga.get("/events/1/crew").await;
    assert_eq!(page.mark(&cell(wren, RAIN), "state"), "other-date");
    let page = olga.get(&format!("/events/1/crew/positions/{}", post(&snapshot, "parking"))).await;
    assert!(page.text(&cell(wren, RAIN)).contains(&Reader::App.near_day(BURN_ON, NOW.date())));
    let form = olga.get(&format!("/events/1/crew/ask?person={wren}")).await.form();
    assert_eq!(olga.submit("/events/1/crew/ask", &form.with("act", "ask")).await.status, 303);
    let snapshot = test.crew().await;
    assert_eq!(snapshot.assigned[0].request_id, Some(request), "the same question");
    assert_eq!(snapshot.status(&snapshot.assigned[0], BURN_ON), ReplyStatus::Confirmed);
    assert_eq!(snapshot.status(&snapshot.assigned[0], RAIN), ReplyStatus::Waiting);
    assert_eq!(mail::of_request(test.app.db.read(), request).await.unwrap().len(), 3, "two asked, one confirmed");
}

#[tokio::test]
async fn a_move_makes_every_yes_stale_that_did_not_name_the_new_day() {
    let (test, mut olga) = posts().await;
    pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "no"]).await;
    let (solveig, _) = pump_operator(&test, &mut olga, "Solveig Marchetti", &["yes", "yes"]).await;
    let to = |day: Date| {
        let (app, event) = (test.app.clone(), test.event());
        async move {
            let event = event.await;
            let new = Details { burn_on: day, ..event.details.clone() };
            crew::moves(app, event, new, NOW).await.unwrap()
        }
    };
    let lines = to(RAIN).await;
    assert_eq!(lines.len(), 1, "{lines:?}");
    let (snapshot, today) = (test.crew().await, NOW.date());
    let pumps = snapshot.post(post(&snapshot, "pump operator")).unwrap();
    assert_eq!(
        (pumps.details.needed, snapshot.seats(pumps, RAIN).filled, snapshot.seats(pumps, BURN_ON).filled),
        (2, 1, 2)
    );
    assert_eq!(lines[0].href, format!("/events/1/crew/positions/{}", pumps.id));
    let (name, day) = (&pumps.details.name, Reader::App.near_day(RAIN, today));
    assert!(lines[0].what.contains(name) && lines[0].what.contains(&day), "{lines:?}");
    assert_eq!(numbers(&lines[0].what.replace(name, "").replace(&day, "")), [1, 2, 2], "{lines:?}");
    assert_eq!(lines[0].beneath, format!("Ray Ortiz: {}", ReplyStatus::Declined.says(today)));
    let lines = to(date!(2027 - 06 - 19)).await;
    assert_eq!(lines.len(), 2, "{lines:?}");
    let both = "Ray Ortiz, Solveig Marchetti";
    assert_eq!((lines[1].href.as_str(), lines[1].beneath.as_str()), ("/events/1/crew/ask", both));
    let day = Reader::App.near_day(date!(2027 - 06 - 19), today);
    assert!(lines[1].what.contains(&day), "{lines:?}");
    assert_eq!(numbers(&lines[1].what.replace(&day, "")), [2], "{lines:?}");
    // What the countdown shows about a new date before it is set.
    let fields = [("burn_on", "2027-06-19"), ("rain_on", "2027-06-26")];
    let seen = olga.get(&format!("/events/1/move?burn_on={}&rain_on={}", fields[0].1, fields[1].1)).await;
    assert!(seen.text("[data-about='/events/1/crew/ask']").contains(both), "{}", seen.text("main"));
    assert_eq!(seen.mark("#verdict", "open"), "1", "a position, and not those to ask");
    let moved = [fields[0], fields[1], ("chosen", "yes"), ("version", "1")];
    assert_eq!(olga.post("/events/1/move", &moved).await.status, 303);
    let snapshot = test.crew().await;
    assert_eq!(snapshot.status(&snapshot.assigned[1], date!(2027 - 06 - 19)), ReplyStatus::OtherDate(RAIN));
    assert_eq!(snapshot.all_seats(date!(2027 - 06 - 19)).filled, 0);
    let moved = cell(solveig, date!(2027 - 06 - 19));
    assert_eq!(olga.get("/events/1/crew").await.mark(&moved, "state"), "other-date");
    let page = olga.get(&format!("/events/1/crew/positions/{}", post(&snapshot, "pump operator"))).await;
    assert!(page.text(&moved).contains(&Reader::App.near_day(RAIN, today)), "{}", page.text(&moved));
}

#[tokio::test]
async fn the_countdown_shows_seats_and_what_is_due() {
    let (test, mut olga) = posts().await;
    let (ray, request) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    assert!(ray > 0);
    // People are found and asked 76 days before burn day.
    test.at(datetime!(2027-03-20 15:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1").await;
    // Of the 18 people in critical positions, by common practice with one room at a time.
    let gaps = due(&page, "/events/1/crew");
    assert_eq!(gaps.len(), 1, "{gaps:?}");
    assert_eq!(numbers(&gaps[0].0), [17], "{gaps:?}");
    let ready = |page: &Answer| ["done", "all"].map(|name| page.mark("[data-ready=Crew]", name));
    assert_eq!(ready(&page), ["1", "35"]);
    let snapshot = test.crew().await;
    let pumps = snapshot.post(post(&snapshot, "pump operator")).unwrap();
    let at_pumps = format!("/events/1/crew/positions/{}", pumps.id);
    assert_eq!(due(&page, &at_pumps), []);
    // A no shows up right away.
    answer(&test, request, &["no"], &[("note", "On shift that day")]).await;
    let page = olga.get("/events/1").await;
    let refused = due(&page, &at_pumps);
    assert_eq!(refused.len(), 1, "{refused:?}");
    let (title, beneath) = &refused[0];
    assert!(title.contains("Ray Ortiz") && title.contains(&pumps.details.name), "{title}");
    let today = Reader::App.near_day(date!(2027 - 03 - 20), date!(2027 - 03 - 20));
    for part in [asks::Way::Link.how(), &today, "On shift that day"] {
        assert!(beneath.contains(part), "{part}: {beneath}");
    }
    assert_eq!(ready(&page), ["0", "35"]);
    // The yes for the rain date still counts there.
    let on_rain_date = ["rain-done", "rain-all"].map(|name| page.mark("[data-ready=Crew]", name));
    assert_eq!(on_rain_date, ["1", "35"]);
    let rain = Reader::App.near_day(date!(2027 - 06 - 12), date!(2027 - 03 - 20));
    assert!(page.text("[data-ready=Crew] .rain").contains(&rain), "{}", page.text("[data-ready=Crew]"));
    assert!(!page.has("[data-ready=Loans] .rain, [data-ready=Approval] .rain"), "no one knows about the others");
    // The safety officer's list.
    test.at(datetime!(2027-05-12 15:00 UTC));
    let mut safety = test.somebody(Role::SafetyOfficer).await;
    let page = safety.get("/events/1").await;
    let to_check = due(&page, "/events/1/crew/people");
    assert_eq!(to_check.len(), 1, "{to_check:?}");
    let (title, beneath) = &to_check[0];
    assert_eq!(numbers(title), [1], "{title}");
    assert!(beneath.contains("Ray Ortiz") && beneath.contains("Driver/operator"), "{beneath}");
}

#[tokio::test]
async fn the_call_sheet_goes_out_five_days_before_and_is_asked_about_again() {
    let (test, mut olga) = posts().await;
    let (ray, request) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    // Changed after he was asked: the sheet shows the latest.
    let pumps = post(&test.crew().await, "pump operator");
    let path = format!("/events/1/crew/positions/{pumps}/edit");
    let form = olga.get(&path).await.form().with("spot", "North pump").with("bring", "radio, ear plugs");
    assert_eq!(olga.submit(&path, &form).await.status, 303);
    test.at(datetime!(2027-05-31 14:05 UTC));
    reminders::tick(&test.app).await.unwrap();
    let sent = reminder_to(&test, ray).await;
    assert!(sent.subject.contains(&Reader::Public.day(BURN_ON)), "{}", sent.subject);
    let hours = Reader::CallSheet.times(time!(6:30), time!(11:30));
    let rain = Reader::CallSheet.near_day(RAIN, date!(2027 - 05 - 31));
    for part in ["North pump", "radio, ear plugs", &hours, &rain, "/call-sheet "] {
        assert!(sent.text.contains(part), "{part}: {}", sent.text);
    }
    test.at(datetime!(2027-06-03 14:05 UTC));
    let mut olga = test.olga().await;
    reminders::tick(&test.app).await.unwrap();
    let again = reminder_to(&test, ray).await;
    assert!(again.id != sent.id && again.subject != sent.subject);
    assert!(again.subject.contains(&Reader::Public.day(BURN_ON)) && again.text.contains("/call-sheet "));
    let letters = [&sent, &again].map(|mail| format!("{}\n\n{}", mail.subject, without_links(&mail.text, "[link]")));
    insta::assert_snapshot!("call-sheet-reminders", letters.join("\n================\n\n"));
    // The first link no longer takes answers; this page does.
    let sheet = test.sheet_path(ray).await;
    let page = test.stranger().get(&sheet).await;
    assert_eq!((page.status, page.header("referrer-policy")), (200, "no-referrer"));
    assert!(page.says("North pump"));
    assert_eq!(page.mark("form.answers", "said"), "yes");
    assert!(!test.crew().await.reconfirmed(ray), "looking says nothing");
    let ring = due(&olga.get("/events/1").await, "/events/1/burn-day/crew");
    assert_eq!(ring.len(), 1, "{ring:?}");
    assert_eq!((numbers(&ring[0].0), ring[0].1.as_str()), (vec![1], "Ray Ortiz"));
    assert_eq!(test.stranger().post(&sheet, &[("act", "yes")]).await.status, 303);
    assert!(test.crew().await.reconfirmed(ray));
    assert_eq!(due(&olga.get("/events/1").await, "/events/1/burn-day/crew"), []);
    // In the morning, no one who confirmed is asked again.
    test.at(datetime!(2027-06-05 13:05 UTC));
    reminders::tick(&test.app).await.unwrap();
    assert_eq!(reminder_to(&test, ray).await.id, again.id, "no further mail");
    assert_eq!(asks::find(test.app.db.read(), request).await.unwrap().unwrap().asks[0].answers.len(), 2);
}

async fn reminder_to(test: &TestApp, person: i64) -> mail::Mail {
    let lines = mail::of_person(test.app.db.read(), person).await.unwrap();
    let mut db = test.app.db.read().acquire().await.unwrap();
    let mut newest = None;
    for line in lines {
        let mail = mail::outbox::find(&mut db, line.id).await.unwrap().unwrap();
        if mail.kind == mail::Kind::Reminder && newest.as_ref().is_none_or(|old: &mail::Mail| old.id < mail.id) {
            newest = Some(mail);
        }
    }
    newest.unwrap()
}

#[tokio::test]
async fn a_no_on_the_call_sheet_is_an_answer_and_opens_the_seat() {
    let (test, mut olga) = posts().await;
    let (ray, request) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    test.at(datetime!(2027-06-04 22:00 UTC));
    let mut olga = test.olga().await;
    let sheet = test.sheet_path(ray).await;
    let wrong = test.stranger().post(&sheet, &[("act", "perhaps")]).await;
    assert_eq!(wrong.status, 422);
    assert_eq!(test.stranger().post(&sheet, &[("act", "no"), ("note", "Fever")]).await.status, 303);
    let asked = asks::find(test.app.db.read(), request).await.unwrap().unwrap();
    let said = asked.stands_for(BURN_ON).unwrap();
    assert_eq!((said.says(), said.note.as_str()), ("no".to_owned(), "Fever"));
    let pumps = post(&test.crew().await, "pump operator");
    let refused = due(&olga.get("/events/1").await, &format!("/events/1/crew/positions/{pumps}"));
    assert!(refused.len() == 1 && refused[0].0.contains("Ray Ortiz"), "{refused:?}");
    let page = test.stranger().get(&sheet).await;
    assert!(page.text("[data-note=not-coming]").contains(&Reader::CallSheet.day(BURN_ON)), "{}", page.text("main"));
    assert!(!page.has("button[value=in]"));
    // Once the day is over, nothing is saved.
    test.at(datetime!(2027-06-06 15:00 UTC));
    assert_eq!(test.stranger().post(&sheet, &[("act", "yes")]).await.status, 303);
    let after = asks::find(test.app.db.read(), request).await.unwrap().unwrap();
    assert_eq!(after.asks[0].answers.len(), asked.asks[0].answers.len());
    // Thirty days after the last date, the page is gone.
    test.at(datetime!(2027-07-13 15:00 UTC));
    assert_eq!(test.stranger().get(&sheet).await.status, 404);
}

#[tokio::test]
async fn a_call_sheet_says_where_to_park_and_what_a_position_wears_and_then_the_answer_first() {
    let (test, mut olga) = posts().await;
    let (ray, _) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    let form = olga.get("/events/1/edit").await.form().with("parking", "Field 1").with("coordinates", "41.59, -93.62");
    let form = form.with("clothing", "A warm coat").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    let sheet = test.sheet_path(ray).await;
    let page = test.stranger().get(&sheet).await;
    assert_eq!(page.fact("Parking"), "Field 1");
    assert_eq!(page.attributes("a[data-map]", "href"), ["geo:41.59,-93.62"]);
    assert!(page.text("[data-live-burn]").contains(LIVE_BURN));
    let pumps = test.crew().await;
    let wear = pumps.post(post(&pumps, "pump operator")).unwrap().details.wear.clone();
    assert_eq!(page.all("dt").iter().filter(|label| *label == "Wear").count(), 1, "{}", page.text("main"));
    assert_eq!(page.fact("Wear"), wear, "the position's own");
    // Weeks before, they are asked once more.
    assert!(page.has("form.answers button.main") && !page.has("[data-change]"));
    test.at(datetime!(2027-06-04 22:00 UTC));
    assert_eq!(test.stranger().post(&sheet, &[("act", "yes")]).await.status, 303);
    let page = test.stranger().get(&sheet).await;
    assert!(page.has("[data-note=coming]") && page.has("details[data-change]:not([open]) form.answers"));
    assert!(!page.has("main > form.answers"), "the buttons are folded under the answer");
}

#[tokio::test]
async fn people_sign_in_and_out_and_hours_are_kept() {
    let (test, mut olga) = posts().await;
    let (ray, _) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    let sheet = test.sheet_path(ray).await;
    assert_eq!(test.stranger().post(&sheet, &[("act", "in")]).await.status, 303);
    assert!(test.crew().await.attendances.is_empty(), "only on the day");
    test.at(MORNING);
    let mut timekeeper = test.somebody(Role::Timekeeper).await;
    let page = timekeeper.get("/events/1/burn-day/crew").await;
    let on_site = |page: &Answer| ["here", "awaited"].map(|name| page.mark("[data-here]", name));
    assert_eq!(on_site(&page), ["0", "1"]);
    assert_eq!(page.mark("[data-unsure]", "unsure"), "1");
    for _ in 0..2 {
        assert_eq!(test.stranger().post(&sheet, &[("act", "in")]).await.status, 303);
    }
    assert_eq!(test.stranger().get(&sheet).await.mark("[data-note=signed-in]", "since"), "07:00");
    assert_eq!(on_site(&timekeeper.get("/events/1/burn-day/crew").await), ["1", "0"]);
    let orla = test.person("Orla Hendry", "").await;
    let found = timekeeper.get("/events/1/burn-day/crew?words=orla").await;
    assert!(found.says("Orla Hendry"));
    assert_eq!(timekeeper.post(&format!("/events/1/burn-day/crew/{orla}/in"), &[]).await.status, 303);
    test.at(MORNING + time::Duration::minutes(205));
    let mut olga = test.olga().await;
    assert_eq!(timekeeper.post(&format!("/events/1/burn-day/crew/{ray}/out"), &[]).await.status, 303);
    let hours = olga.get("/events/1/crew/hours").await;
    assert_eq!(["minutes", "people", "in"].map(|name| hours.mark("[data-minutes]", name)), ["205", "2", "1"]);
    // Orla left and no one signed her out.
    let id = test.crew().await.attendances.iter().find(|one| one.person_id == orla).unwrap().id;
    let path = format!("/events/1/crew/times/{id}");
    assert_eq!(timekeeper.get(&path).await.status, 403);
    let form = olga.get(&path).await.form().with("left", "10:00");
    let wrong = olga.submit(&path, &form).await;
    assert_eq!(wrong.status, 422);
    assert_eq!(wrong.mistakes(), ["reason"]);
    let late = olga.submit(&path, &form.clone().with("left", "23:00").with("reason", "seen leaving")).await;
    assert_eq!(late.mistakes(), ["left"]);
    assert_eq!(olga.submit(&path, &form.clone().with("reason", "seen leaving by the gate")).await.status, 303);
    assert_eq!(olga.submit(&path, &form.with("reason", "once more")).await.status, 409, "an old version");
    let file = olga.get("/events/1/crew/hours/file").await;
    assert_eq!(file.header("content-type"), "text/csv; charset=utf-8");
    let rows: Vec<csv::StringRecord> =
        csv::Reader::from_reader(file.body.as_bytes()).records().collect::<Result<_, _>>().unwrap();
    assert_eq!(rows.len(), 2);
    assert_eq!((&rows[0][0], &rows[0][3], &rows[0][4]), ("Orla Hendry", "180", "seen leaving by the gate"));
    assert_eq!((&rows[1][0], &rows[1][3]), ("Ray Ortiz", "205"));
    for part in [words::iso(BURN_ON).as_str(), "07:00", "10:25"] {
        assert!(rows[1][2].contains(part), "{part}: {}", &rows[1][2]);
    }
}

#[tokio::test]
async fn those_who_were_there_are_thanked_and_those_who_were_not_aren_t() {
    let (test, mut olga) = posts().await;
    let (ray, asked) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    let (solveig, also_asked) = pump_operator(&test, &mut olga, "Solveig Marchetti", &["yes", "yes"]).await;
    let orla = test.person("Orla Hendry", "orla@example.org").await;
    test.at(datetime!(2027-06-05 21:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/guests/thanks").await;
    let thanked = |page: &Answer, person: i64| page.attributes(&format!("[data-who='{person}']"), "data-for");
    let at_a_post = |request: i64| [format!("request/{request}")];
    // No one signed in, so the answers count.
    assert_eq!(thanked(&page, ray), at_a_post(asked));
    assert_eq!(thanked(&page, solveig), at_a_post(also_asked));
    for person in [ray, orla] {
        olga.post(&format!("/events/1/burn-day/crew/{person}/in"), &[]).await;
    }
    let page = olga.get("/events/1/guests/thanks").await;
    assert_eq!(thanked(&page, ray), at_a_post(asked));
    assert_eq!(thanked(&page, orla), [format!("day/1/{orla}")]);
    assert!(page.says("Ray Ortiz") && page.says("Orla Hendry") && !page.says("Solveig Marchetti"));
}

#[tokio::test]
async fn two_rows_of_one_person_become_one_with_their_posts_and_apart_again() {
    let (test, mut olga) = posts().await;
    let (ray, _) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    let keep = test.person("Raymond Ortiz", "").await;
    olga.post(
        &format!("/events/1/crew/people/{ray}/hours"),
        &[("on", "2027-06-05"), ("from", "05:00"), ("until", "14:00")],
    )
    .await;
    olga.post(&format!("/events/1/burn-day/crew/{ray}/in"), &[]).await;
    let before = test.dump();
    let merge = [("with", ray.to_string()), ("version", "1".to_owned()), ("with_version", "1".to_owned())];
    let fields: Vec<(&str, &str)> = merge.iter().map(|(name, value)| (*name, value.as_str())).collect();
    assert_eq!(olga.post(&format!("/people/{keep}/merge"), &fields).await.status, 303);
    let snapshot = test.crew().await;
    assert_eq!(snapshot.posts_of(keep).len(), 1);
    assert_eq!(snapshot.held(keep).count(), 1);
    assert!(snapshot.hours(keep, BURN_ON).is_some());
    assert_eq!(snapshot.attendances[0].person_id, keep);
    let positions = olga.get(&format!("/people/{keep}")).await;
    let positions = positions.all(&format!("dd a[href='/events/1/crew/people/{keep}']"));
    assert!(positions.contains(&snapshot.posts_of(keep)[0].1.details.name), "{positions:?}");
    let entry =
        olga.get(&format!("/people/{keep}")).await.attributes("form[action$='undo-merge'] input[name=entry]", "value");
    assert_eq!(olga.post(&format!("/people/{keep}/undo-merge"), &[("entry", &entry[0])]).await.status, 303);
    let crew = |dump: &str| {
        let tables = ["assignment", "holding", "crew_hours", "crew_link", "attendance"];
        let of = |line: &&str| tables.iter().any(|table| line.starts_with(&format!("INSERT INTO {table} ")));
        dump.lines().filter(of).map(str::to_owned).collect::<Vec<_>>()
    };
    assert_eq!(crew(&test.dump()), crew(&before));
}

#[tokio::test]
async fn somebody_forgotten_leaves_no_words_in_the_crew() {
    let (test, mut olga) = posts().await;
    let (ray, _) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    let sheet = test.sheet_path(ray).await;
    assert_eq!(test.stranger().get(&sheet).await.status, 200);
    assert_eq!(olga.post(&format!("/people/{ray}/erase"), &[("version", "1")]).await.status, 303);
    assert_eq!(test.stranger().get(&sheet).await.status, 404);
    for word in ["Ray Ortiz", "certificate 12", "ray.ortiz"] {
        assert!(!test.dump().contains(word), "{word}");
    }
    assert_eq!(olga.get("/events/1/crew").await.status, 200);
}

#[tokio::test]
async fn a_link_of_another_kind_opens_no_call_sheet() {
    let (test, mut olga) = posts().await;
    let (_, request) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    let answer = test.answer_path(request).replace("/answer/", "/call-sheet/");
    assert_eq!(test.stranger().get(&answer).await.status, 404);
    assert_eq!(test.stranger().post(&answer, &[("act", "in")]).await.status, 404);
}

#[tokio::test]
async fn taking_over_several_at_once_keeps_the_rules() {
    let (test, _) = posts().await;
    let snapshot = test.crew().await;
    let (ray, event) = (test.person("Ray Ortiz", "").await, test.event().await);
    let placing =
        Placing { post_id: post(&snapshot, "pump operator"), person_id: ray, is_standby: false, reason: String::new() };
    let write = test.app.db.write(move |tx| {
        let (event, placing) = (event.clone(), placing.clone());
        Box::pin(async move { crew::place(tx, Actor::Account(1), &event, &placing, NOW).await })
    });
    assert!(matches!(write.await.unwrap(), Placed::Refused(rules) if rules.len() == 1));
}

#[tokio::test]
async fn a_crew_has_no_more_places_than_a_proposal_takes() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let new = "/events/1/crew/positions/new";
    let post = olga.get(new).await.form().with("name", "Line").with("from", "08:00").with("until", "12:00");
    for _ in 0..10 {
        assert_eq!(olga.submit(new, &post.clone().with("needed", "99")).await.status, 303);
    }
    let refused = olga.submit(new, &post.clone().with("needed", "11")).await;
    assert_eq!((refused.status, refused.all("#needed-mistake").len()), (422, 1), "{}", refused.text("main"));
    assert_eq!(refused.value("needed"), "11");
    assert_eq!(olga.submit(new, &post.clone().with("needed", "10")).await.status, 303);
    // A position's own number doesn't count when it is edited.
    let edit = "/events/1/crew/positions/1/edit";
    let form = olga.get(edit).await.form();
    assert_eq!(olga.submit(edit, &form.with("name", "Spectator line")).await.status, 303);
    assert_eq!(olga.get("/events/1/crew/proposal").await.status, 200);
    // A store that already holds more.
    test.sql("update post set needed = 99");
    let refused = olga.get("/events/1/crew/proposal").await;
    assert_eq!(refused.status, 400);
    assert!(refused.says("1,000") || refused.says("1000"), "{}", refused.body);
}

#[tokio::test]
async fn problems_come_first_and_filled_positions_are_folded() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let hours = ("08:00", "12:00");
    let talk = position(&mut olga, "Talk", "presenter", hours).await;
    let cars = position(&mut olga, "Cars", "parking", hours).await;
    let times = position(&mut olga, "Room A times", "timekeeper", hours).await;
    let ada = test.person("Ada Fenn", "ada@example.org").await;
    let ben = test.person("Ben Roe", "ben@example.org").await;
    for (post, person) in [(talk, ada), (cars, ben)] {
        assert_eq!(assign(&mut olga, post, person, &[]).await.status, 303);
    }
    ask(&mut olga).await;
    let snapshot = test.crew().await;
    let asked = snapshot.assigned.iter().find(|one| one.person_id == ada).unwrap().request_id.unwrap();
    answer(&test, asked, &["yes", "yes"], &[]).await;

    let page = olga.get("/events/1/crew").await;
    let line = |post: i64| format!("tr[data-post='{post}']");
    let in_front = |page: &Answer| page.attributes("main > table tr[data-post]", "data-post");
    assert_eq!(in_front(&page), [times, cars, talk].map(|post| post.to_string()));
    let problems = |page: &Answer, post: i64| page.mark(&line(post), "problems");
    // One duty excludes the other, so neither could take over.
    assert_eq!([times, cars, talk].map(|post| problems(&page, post)), ["open", "waiting backup", "backup"]);
    let both = format!("{} {}", words::iso(BURN_ON), words::iso(RAIN));
    assert_eq!(page.mark(&format!("{} [data-lacks=backup]", line(talk)), "days"), both);
    assert!(!page.has("details[data-folded]"));
    let named = |page: &Answer, on: Date, why: &str| {
        page.all(&format!(".missing[data-day='{}'] [data-why='{why}'] a", words::iso(on)))
    };
    assert_eq!(named(&page, BURN_ON, "waiting"), ["Ben Roe"]);
    let open = named(&page, BURN_ON, "open");
    assert!(open.len() == 1 && open[0].contains("Room A times"), "{open:?}");
    assert!(page.has(&format!("{} a[href$='/{times}#assign']", line(times))));
    let mut reader = test.somebody(Role::Reader).await;
    assert!(!reader.get("/events/1/crew").await.has("main a[href$='#assign']"));

    // An alternate could.
    let cleo = test.person("Cleo Marsh", "").await;
    assert_eq!(assign(&mut olga, talk, cleo, &[("standby", "yes")]).await.status, 303);
    let page = olga.get("/events/1/crew").await;
    assert_eq!(in_front(&page), [times, cars].map(|post| post.to_string()));
    assert_eq!(page.attributes("details[data-folded='1'] tr[data-post]", "data-post"), [talk.to_string()]);
    assert_eq!((problems(&page, cars).as_str(), page.has("[data-lacks]")), ("waiting", false));
    assert!(page.has(&format!("{} [data-person='{cleo}'] [data-alternate]", line(talk))));

    // A rule that is broken on the rain date only.
    let there = [("on", "2027-06-12"), ("from", "09:00"), ("until", "10:00")];
    assert_eq!(olga.post(&format!("/events/1/crew/people/{ada}/hours"), &there).await.status, 303);
    let page = olga.get("/events/1/crew").await;
    assert_eq!(in_front(&page), [talk, times, cars].map(|post| post.to_string()));
    assert_eq!(problems(&page, talk), "open rule");
    assert_eq!([BURN_ON, RAIN].map(|on| page.mark(&cell(ada, on), "why")), ["", "hours"]);
    assert!(page.text(&cell(ada, BURN_ON)).is_empty() && !page.text(&cell(ada, RAIN)).is_empty());
    let broken = named(&page, RAIN, "rule");
    assert!(broken.len() == 1 && broken[0].starts_with("Ada Fenn ("), "named with the rule: {broken:?}");
    assert_eq!(named(&page, BURN_ON, "rule"), Vec::<String>::new());
}

#[tokio::test]
async fn call_sheets_are_listed_with_what_became_of_them_and_open_one_at_a_time() {
    let (test, mut olga) = posts().await;
    let (ray, _) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    let dov = test.person("Dov Aldine", "dov@example.org").await;
    assert_eq!(assign(&mut olga, post(&test.crew().await, "parking"), dov, &[]).await.status, 303);
    // Ida said yes and has no position.
    let ida = test.person("Ida Quill", "ida@example.org").await;
    let general = test.ask(&[ida], &["burn day"]).await[0];
    answer(&test, general, &["yes"], &[]).await;

    let page = olga.get(SHEETS).await;
    assert_eq!([ray, dov, ida].map(|person| sent(&page, person)), ["not-sent", "no-yes", ""]);
    assert_eq!((page.mark("[data-missing=call-time]", "count"), page.has("article")), ("1".to_owned(), false));
    assert_eq!(page.all("[data-missing=call-time] a"), ["Ida Quill"]);
    assert!(page.text(&format!("tr[data-person='{ray}']")).contains("06:30"));
    let one = olga.get(&format!("{SHEETS}?person={ray}")).await;
    assert_eq!(one.attributes("article", "data-who"), [ray.to_string()]);
    assert!(one.has(&format!("form input[name=person][value='{ray}']")));
    let none = olga.get(&format!("{SHEETS}?person={ida}")).await;
    assert!(none.has(".empty") && !none.has("button.main"));
    assert_eq!(olga.get(&format!("{SHEETS}?who=all")).await.count("article.sheet.alone"), 2);
    let mut reader = test.somebody(Role::Reader).await;
    let looked = reader.get(SHEETS).await;
    assert!(looked.has("a[href$='?who=all']") && !looked.has("button.main"));
    assert_eq!(reader.post(SHEETS, &[]).await.status, 403);
    assert!(test.stranger().get(SHEETS).await.location().starts_with("/sign-in"));
}

#[tokio::test]
async fn a_call_sheet_is_emailed_again_when_it_changes_and_when_it_changes_back() {
    let (test, mut olga) = posts().await;
    let (ray, _) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    let pumps = post(&test.crew().await, "pump operator");
    for _ in 0..2 {
        assert_eq!(olga.post(SHEETS, &[]).await.status, 303);
        assert_eq!(sheets_sent(&test), ["waiting"]);
    }
    assert_eq!(sent(&olga.get(SHEETS).await, ray), "waiting");
    // The newer one replaces it.
    change_spot(&mut olga, pumps, "North pump").await;
    assert_eq!(sent(&olga.get(SHEETS).await, ray), "changed");
    olga.post(SHEETS, &[("person", &ray.to_string())]).await;
    assert_eq!(sheets_sent(&test), ["cancelled", "waiting"]);
    test.sql("update mail set state = 'sent', settled_at = created_at where state = 'waiting'");
    assert_eq!(sent(&olga.get(SHEETS).await, ray), "sent");
    // Back and forth.
    for (spot, states) in [("South pump", vec!["sent"; 1]), ("North pump", vec!["sent"; 2])] {
        change_spot(&mut olga, pumps, spot).await;
        assert_eq!(sent(&olga.get(SHEETS).await, ray), "changed");
        for _ in 0..2 {
            olga.post(SHEETS, &[]).await;
        }
        assert_eq!(sheets_sent(&test), [vec!["cancelled"], states, vec!["waiting"]].concat());
        test.sql("update mail set state = 'sent', settled_at = created_at where state = 'waiting'");
    }
    // One that certainly didn't arrive doesn't count.
    test.sql("update mail set state = 'failed' where dedup glob 'call-sheet/*'");
    assert_eq!(sent(&olga.get(SHEETS).await, ray), "failed");
    olga.post(SHEETS, &[]).await;
    assert_eq!(sheets_sent(&test).iter().filter(|state| *state == "waiting").count(), 1);
}

#[tokio::test]
async fn whoever_got_their_call_sheet_as_scheduled_gets_no_second_one() {
    let (test, mut olga) = posts().await;
    let (ray, _) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    test.at(datetime!(2027-05-31 14:05 UTC));
    reminders::tick(&test.app).await.unwrap();
    let mut olga = test.olga().await;
    assert_eq!(sent(&olga.get(SHEETS).await, ray), "waiting");
    assert_eq!(olga.post(SHEETS, &[]).await.status, 303);
    assert_eq!(sheets_sent(&test), [""; 0]);
    let pumps = post(&test.crew().await, "pump operator");
    change_spot(&mut olga, pumps, "North pump").await;
    assert_eq!(sent(&olga.get(SHEETS).await, ray), "changed");
    olga.post(SHEETS, &[]).await;
    assert_eq!(sheets_sent(&test), ["waiting"]);
}

#[tokio::test]
async fn a_call_sheet_that_changes_back_before_it_went_out_is_not_sent_twice() {
    let (test, mut olga) = posts().await;
    let (ray, _) = pump_operator(&test, &mut olga, "Ray Ortiz", &["yes", "yes"]).await;
    let snapshot = test.crew().await;
    let pumps = post(&snapshot, "pump operator");
    let first = snapshot.post(pumps).unwrap().details.spot.clone();
    assert_eq!(olga.post(SHEETS, &[]).await.status, 303);
    test.sql("update mail set state = 'sent', settled_at = created_at where state = 'waiting'");
    change_spot(&mut olga, pumps, "South pump").await;
    olga.post(SHEETS, &[]).await;
    assert_eq!(sheets_sent(&test), ["sent", "waiting"]);
    change_spot(&mut olga, pumps, &first).await;
    for _ in 0..2 {
        assert_eq!(olga.post(SHEETS, &[]).await.status, 303);
        assert_eq!(sheets_sent(&test), ["sent", "cancelled"], "they have today's sheet");
    }
    assert_eq!(sent(&olga.get(SHEETS).await, ray), "sent");
    change_spot(&mut olga, pumps, "South pump").await;
    olga.post(SHEETS, &[]).await;
    assert_eq!(sheets_sent(&test), ["sent", "cancelled", "waiting"]);
}

#[tokio::test]
async fn nobody_is_asked_again_about_a_position_whose_question_was_closed() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let cars = position(&mut olga, "Cars", "parking", ("08:00", "12:00")).await;
    let times = position(&mut olga, "Room A times", "timekeeper", ("08:30", "11:00")).await;
    let talk = position(&mut olga, "Talk", "presenter", ("13:00", "14:00")).await;
    let ray = test.person("Ray Ortiz", "ray@example.org").await;
    let ben = test.person("Ben Roe", "ben@example.org").await;
    assert_eq!(assign(&mut olga, cars, ray, &[("standby", "yes")]).await.status, 303);
    ask(&mut olga).await;
    assert_eq!(assign(&mut olga, times, ray, &[]).await.status, 303);
    ask(&mut olga).await;
    let at = |snapshot: &CrewSnapshot, post: i64| {
        snapshot.assigned.iter().find(|one| one.post_id == post && one.person_id == ray).unwrap().clone()
    };
    let snapshot = test.crew().await;
    let asked = at(&snapshot, times).request_id.unwrap();
    answer(&test, asked, &["yes", "yes"], &[]).await;
    let close = format!("/events/1/replies/{asked}/close-others");
    assert_eq!(olga.post(&close, &[]).await.status, 303);
    assert_eq!(assign(&mut olga, talk, ben, &[]).await.status, 303);

    let snapshot = test.crew().await;
    assert_eq!([cars, times].map(|post| snapshot.is_withdrawn(&at(&snapshot, post))), [true, false]);
    let page = olga.get("/events/1/crew/ask").await;
    assert_eq!(page.attributes("input[name=person][checked]", "value"), [ben.to_string()]);
    assert!(page.has(&format!("input[name=person][value='{ray}']")), "they can be chosen");
    // The sheet is the one they would have without that position.
    let mut without = snapshot.clone();
    without.assigned.retain(|one| one.post_id != cars);
    let sheet = |snapshot: &CrewSnapshot| crew::Sheet::of(snapshot, &snapshot.people[&ray], NOW).unwrap();
    assert_eq!(sheet(&snapshot).posts.len(), 1);
    assert_eq!(sheet(&snapshot), sheet(&without));
    let contact = olga.get("/events/1/burn-day/contacts").await.text(&format!("[data-person='{ray}']"));
    assert!(contact.contains("Room A times") && !contact.contains("Cars"), "{contact}");
    test.at(datetime!(2027-03-20 15:00 UTC));
    let mut olga = test.olga().await;
    let to_ask = due(&olga.get("/events/1").await, "/events/1/crew/ask");
    assert_eq!(to_ask.len(), 1, "{to_ask:?}");
    assert_eq!((numbers(&to_ask[0].0), to_ask[0].1.as_str()), (vec![1], "Ben Roe"));

    // Asked about one more position, they are asked about that one alone.
    assert_eq!(assign(&mut olga, talk, ray, &[("standby", "yes")]).await.status, 303);
    ask(&mut olga).await;
    let snapshot = test.crew().await;
    assert!(snapshot.is_withdrawn(&at(&snapshot, cars)));
    assert_eq!(snapshot.status(&at(&snapshot, talk), BURN_ON), ReplyStatus::Waiting);
    // Whoever still wants them there chooses them.
    let form = olga.get(&format!("/events/1/crew/ask?person={ray}")).await.form();
    assert_eq!(olga.submit("/events/1/crew/ask", &form.with("act", "ask")).await.status, 303);
    let snapshot = test.crew().await;
    assert!(!snapshot.is_withdrawn(&at(&snapshot, cars)));
    assert_eq!(snapshot.status(&at(&snapshot, cars), BURN_ON), ReplyStatus::Waiting);
}
