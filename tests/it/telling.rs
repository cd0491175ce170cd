//! What each person is told when the event changes: one email, made from their own
//! answers. And who has to be told another way.

use crate::asks::rows;
use crate::support::post::letter;
use crate::support::{BURN_ON, Posted, TestApp, open};
use burnday::asks::{self, Request, Said};
use burnday::events::{self, Event};
use burnday::mail::{self, Letter, MailState};
use burnday::web::link::without_links;
use burnday::web::words::Reader;
use time::Duration;
use time::macros::{date, time};

const BURN_DAY: &str = "2027-06-05";
const RAIN_DATE: &str = "2027-06-12";

async fn request(test: &TestApp, id: i64) -> Request {
    asks::find(test.app.db.read(), id).await.unwrap().unwrap()
}

async fn event(test: &TestApp) -> Event {
    events::find(test.app.db.read(), 1).await.unwrap().unwrap()
}

/// Sends everything that is due.
async fn deliver(test: &TestApp) {
    test.at(test.app.clock.now() + Duration::minutes(11));
    test.tick().await;
}

/// Answers the date at that place among a question's live dates.
async fn say(test: &TestApp, id: i64, at: usize, said: &str) {
    let ask = request(test, id).await.live().nth(at).unwrap().id;
    let pressed = test.stranger().post(&test.answer_path(id), &[("say", &format!("{ask} {said}"))]).await;
    assert_eq!(pressed.status, 303);
}

async fn move_to(test: &TestApp, burn_on: &str, rain_on: &str) {
    let version = event(test).await.version.to_string();
    let fields = [("burn_on", burn_on), ("rain_on", rain_on), ("version", &version), ("again", "yes")];
    assert_eq!(test.olga().await.post("/events/1/move", &fields).await.location(), "/events/1");
}

/// A relay refuses an email.
async fn refuse(test: &TestApp, id: i64) {
    let now = test.app.clock.now();
    let fail = test
        .app
        .db
        .write(move |tx| Box::pin(async move { mail::note_past(tx, id, Some("550 5.1.1 no such user"), now).await }));
    fail.await.unwrap();
}

/// What is waiting to go out about a question: one email, or none.
async fn waiting(test: &TestApp, id: i64) -> Option<Posted> {
    let mut waiting: Vec<Posted> =
        test.posted(1).await.into_iter().filter(|mail| mail.request == id && mail.state == "waiting").collect();
    assert!(waiting.len() < 2, "two emails to one person: {waiting:?}");
    waiting.pop()
}

/// The kind of email: the first word of its key.
fn what(test: &TestApp, mail: &Posted) -> String {
    let [key] = rows::<1>(test, &format!("select dedup from mail where id = {}", mail.id)).remove(0);
    key.split('/').next().unwrap().to_owned()
}

/// An email's text, the same on every run.
fn read(mail: &Posted) -> String {
    without_links(&mail.text, "[link]")
}

#[tokio::test]
async fn moved_back_with_the_later_day_kept_as_rain_date_everybody_is_asked_again() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    say(&test, id, 0, "yes").await;
    deliver(&test).await;
    move_to(&test, RAIN_DATE, "").await;
    deliver(&test).await;
    let mut olga = test.olga().await;
    let preview = olga.get(&format!("/events/1/move?burn_on={BURN_DAY}&rain_on={RAIN_DATE}")).await;
    assert_eq!(preview.attributes("[data-tell]", "data-tell"), ["1"], "{}", preview.body);
    move_to(&test, BURN_DAY, RAIN_DATE).await;

    let now = request(&test, id).await;
    let live: Vec<_> = now.live().map(|ask| (ask.for_on, ask.stands().map(|answer| answer.said))).collect();
    assert_eq!(live, [(date!(2027 - 06 - 05), None), (date!(2027 - 06 - 12), None)], "no answer is carried over");
    let mail = waiting(&test, id).await.unwrap();
    assert!(mail.text.contains(&Reader::Public.day(BURN_ON)), "{}", mail.text);
    let page = test.stranger().get(&test.answer_path(id)).await;
    assert!(page.attributes("button[name=say]", "value").iter().any(|value| value.ends_with(" yes")));
    assert_eq!(page.all("[data-before]").len(), 1, "the yes from before the move is remembered as that");
    let ours = olga.get(&format!("/events/1/replies/{id}")).await;
    assert_eq!(ours.attributes(".facts [data-day]", "data-day"), [BURN_DAY, RAIN_DATE], "{}", ours.body);
    assert!(!ours.has(".facts [data-lapsed]"), "{}", ours.body);
    say(&test, id, 0, "yes").await;
    assert_eq!(request(&test, id).await.stands_for(date!(2027 - 06 - 05)).unwrap().said, Said::Yes);
}

#[tokio::test]
async fn who_said_no_to_burn_day_and_yes_to_the_rain_date_is_told_that_it_is_burn_day_now() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day", "rain date"]).await[0];
    say(&test, id, 0, "no").await;
    say(&test, id, 1, "yes").await;
    deliver(&test).await;
    let held = test.posted(1).await.into_iter().rfind(|mail| mail.request == id).unwrap();
    assert!(held.calendars[0].1.contains("STATUS:TENTATIVE"), "{held:?}");

    move_to(&test, RAIN_DATE, "").await;
    let mail = waiting(&test, id).await.unwrap();
    let [(method, calendar)] = &mail.calendars[..] else { panic!("one entry: {mail:?}") };
    assert_eq!(method, "REQUEST");
    assert!(calendar.contains("DTSTART:20270612T150000Z") && calendar.contains("STATUS:CONFIRMED"), "{calendar}");
    let stands = asks::said_to(Said::Yes, &Reader::Public.day(date!(2027 - 06 - 12)));
    assert!(mail.text.contains(&stands), "{}", mail.text);
    assert!(request(&test, id).await.is_answered(), "they aren't asked anything");
    insta::assert_snapshot!("rain-date-is-burn-day-letter", read(&mail));
    assert_eq!(request(&test, id).await.stands_for(date!(2027 - 06 - 12)).unwrap().said, Said::Yes);
}

#[tokio::test]
async fn another_hour_and_site_are_told_once_and_the_answer_page_says_what_changed() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let lena = test.person("Lena Ashby", "").await;
    let asked = test.ask(&[wren, lena], &["burn day"]).await;
    say(&test, asked[0], 0, "yes").await;
    deliver(&test).await;
    let by_phone = [("ask", &*request(&test, asked[1]).await.asks[0].id.to_string()), ("said", "yes")];
    let by_phone = [&by_phone[..], &[("way", "phone"), ("evidence", "called 10:20")]].concat();
    let mut olga = test.olga().await;
    assert_eq!(olga.post(&format!("/events/1/replies/{}/answers", asked[1]), &by_phone).await.status, 303);

    let form = olga.get("/events/1/edit").await.form().with("burn_time", "13:00").with("site", "School field");
    let before = test.dump();
    let preview = olga.submit("/events/1/edit", &form).await;
    assert_eq!(before, test.dump(), "a preview changes nothing");
    assert_eq!(preview.all("[data-changes] li").len(), 2);
    assert_eq!(preview.attributes("[data-tell]", "data-tell"), ["1"]);
    let saved = olga.submit("/events/1/edit", &preview.form_at("main form").and("act", "save")).await;
    assert_eq!(saved.status, 303, "{}", saved.body);

    let mail = waiting(&test, asked[0]).await.unwrap();
    assert!(
        mail.text.contains("School field") && mail.text.contains(&Reader::Public.time(time!(13:00))),
        "{}",
        mail.text
    );
    assert!(mail.calendars[0].1.contains("DTSTART:20270605T180000Z"), "{mail:?}");
    let page = test.stranger().get(&test.answer_path(asked[0])).await;
    assert!(!page.all("[data-changes] li").is_empty(), "the page says what changed");
    // People without an address stay on the list until called.
    let told = format!("/events/1/replies/{}/told", asked[1]);
    let list = olga.get("/events/1/replies").await;
    assert_eq!(list.attributes("#tell form[action$='/told']", "action"), [told.as_str()]);
    let seen = list.attributes("#tell input[name=as_of]", "value");
    assert_eq!(olga.post(&told, &[("as_of", &seen[0])]).await.status, 303);
    assert!(olga.get("/events/1/replies").await.all("#tell").is_empty());
}

/// An event has none of these facts until someone enters them.
#[tokio::test]
async fn an_address_or_parking_that_is_added_or_changed_is_told_like_the_site() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let lena = test.person("Lena Ashby", "").await;
    let asked = test.ask(&[wren, lena], &["burn day"]).await;
    say(&test, asked[0], 0, "yes").await;
    deliver(&test).await;
    let by_phone = [("ask", &*request(&test, asked[1]).await.asks[0].id.to_string()), ("said", "yes")];
    let by_phone = [&by_phone[..], &[("way", "phone"), ("evidence", "called 10:20")]].concat();
    let mut olga = test.olga().await;
    assert_eq!(olga.post(&format!("/events/1/replies/{}/answers", asked[1]), &by_phone).await.status, 303);
    assert!(olga.get("/events/1/replies").await.all("#tell").is_empty(), "no one is out of date before that");
    let path = test.answer_path(asked[0]);
    assert!(!test.stranger().get(&path).await.has("[data-map]"));

    let form = olga.get("/events/1/edit").await.form();
    let wrong = olga.submit("/events/1/edit", &form.clone().with("coordinates", "north of town")).await;
    assert_eq!((wrong.status, wrong.mistakes()), (422, vec!["coordinates".to_owned()]));
    assert_eq!(wrong.value("coordinates"), "north of town");
    let form = form.with("address", "1200 Fairground Road\nAlder Bend, Iowa").with("coordinates", "41.59, -93.62");
    let preview = olga.submit("/events/1/edit", &form.with("parking", "Field 1, north gate")).await;
    assert_eq!((preview.count("[data-changes] li"), preview.mark("[data-tell]", "tell")), (3, "1".to_owned()));
    let saved = olga.submit("/events/1/edit", &preview.form_at("main form").and("act", "save")).await;
    assert_eq!(saved.status, 303, "{}", saved.body);
    let mail = waiting(&test, asked[0]).await.unwrap();
    for says in ["1200 Fairground Road, Alder Bend, Iowa", "41.59, -93.62", "Field 1, north gate"] {
        assert!(mail.text.contains(says), "{says}: {}", mail.text);
    }
    let calendar = mail.calendars[0].1.replace("\r\n ", "");
    assert!(calendar.contains("GEO:41.590000;-93.620000"), "{calendar}");
    assert!(calendar.contains("LOCATION:Alder Bend fairground\\, east lot\\, 1200 Fairground Road"), "{calendar}");
    let page = test.stranger().get(&path).await;
    assert_eq!(page.attributes("a[data-map]", "href"), ["geo:41.59,-93.62"]);
    assert_eq!(page.fact("Parking"), "Field 1, north gate");
    assert_eq!(page.count("[data-changes] li"), 3, "{}", page.text("[data-changes]"));
    // People without an address stay on the list until called.
    let told = format!("/events/1/replies/{}/told", asked[1]);
    let list = olga.get("/events/1/replies").await;
    assert_eq!(list.attributes("#tell form[action$='/told']", "action"), [told.as_str()]);
    let seen = list.attributes("#tell input[name=as_of]", "value");
    assert_eq!(olga.post(&told, &[("as_of", &seen[0])]).await.status, 303);
    assert!(olga.get("/events/1/replies").await.all("#tell").is_empty());

    deliver(&test).await;
    let form = olga.get("/events/1/edit").await.form().with("parking", "Field 2").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    let mail = waiting(&test, asked[0]).await.unwrap();
    assert!(mail.text.contains("Field 2") && mail.text.contains("Field 1, north gate"), "{}", mail.text);
    // Other people expected are no one's business.
    deliver(&test).await;
    let form = olga.get("/events/1/edit").await.form().with("audience", "450").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    assert!(waiting(&test, asked[0]).await.is_none());
}

#[tokio::test]
async fn who_was_told_something_else_by_phone_than_what_is_true_stays_listed() {
    let test = TestApp::planned().await;
    let lena = test.person("Lena Ashby", "").await;
    let id = test.ask(&[lena], &["burn day"]).await[0];
    let ask = request(&test, id).await.asks[0].id.to_string();
    let fields = [("ask", ask.as_str()), ("said", "yes"), ("way", "phone"), ("evidence", "called 10:20")];
    let mut olga = test.olga().await;
    assert_eq!(olga.post(&format!("/events/1/replies/{id}/answers"), &fields).await.status, 303);
    let change = async |time: &str| {
        let form = test.olga().await.get("/events/1/edit").await.form().with("burn_time", time).and("act", "save");
        assert_eq!(test.olga().await.submit("/events/1/edit", &form).await.status, 303);
    };
    change("13:00").await;
    let seen = olga.get("/events/1/replies").await.attributes("#tell input[name=as_of]", "value");
    // While one person calls, another changes it again.
    change("14:00").await;
    olga.post(&format!("/events/1/replies/{id}/told"), &[("as_of", &seen[0])]).await;
    assert_eq!(olga.get("/events/1/replies").await.all("#tell li").len(), 1);
}

#[tokio::test]
async fn both_dates_answered_one_after_the_other_are_confirmed_by_one_mail_with_both_entries() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    for (said, presses) in [("one by one", vec![0, 1]), ("both at once", vec![])] {
        let id = test.ask(&[wren], &["burn day", "rain date"]).await[0];
        deliver(&test).await;
        for at in &presses {
            say(&test, id, *at, "yes").await;
        }
        if presses.is_empty() {
            let pressed = test.stranger().post(&test.answer_path(id), &[("say", "both yes")]).await;
            assert_eq!(pressed.status, 303);
        }
        let mail = waiting(&test, id).await.unwrap();
        let starts: Vec<bool> = mail.calendars.iter().map(|(_, text)| text.contains("STATUS:TENTATIVE")).collect();
        assert_eq!(starts, [false, true], "{said}: burn day first, then the rain date: {mail:?}");
        assert!(mail.calendars.iter().all(|(method, _)| method == "REQUEST"), "{said}");
        for on in [BURN_ON, date!(2027 - 06 - 12)] {
            assert!(mail.text.contains(&Reader::Public.day(on)), "{}", mail.text);
        }
        // The next round asks a new question.
        test.olga().await.post(&format!("/events/1/replies/{id}/withdraw"), &[]).await;
        deliver(&test).await;
    }
}

/// RFC 5546 section 3.2.2: someone who said yes is entered as accepted and isn't asked for
/// a reply.
#[tokio::test]
async fn a_calendar_entry_after_a_yes_asks_nothing() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    say(&test, id, 0, "yes").await;
    let mail = waiting(&test, id).await.unwrap();
    let calendar = mail.calendars[0].1.replace("\r\n ", "");
    assert!(calendar.contains("PARTSTAT=ACCEPTED") && calendar.contains("RSVP=FALSE"), "{calendar}");
    assert!(!calendar.contains("NEEDS-ACTION"));
    let mut olga = test.olga().await;
    assert_eq!(olga.post("/events/1/replies/calendar", &[("act", "new")]).await.status, 303);
    let feed = olga.get("/events/1/replies").await.text(".copy");
    let path = feed.strip_prefix(&test.app.config.base_url()).unwrap_or_else(|| panic!("{feed}"));
    let feed = test.stranger().get(path).await.body.replace("\r\n ", "");
    assert!(feed.lines().any(|line| line.starts_with("ORGANIZER") && line.ends_with("mailto:olga@example.org")));
}

#[tokio::test]
async fn a_yes_pressed_on_a_page_older_than_the_date_is_told_and_kept_as_a_note() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    let old = request(&test, id).await.asks[0].id;
    deliver(&test).await;
    move_to(&test, RAIN_DATE, "").await;
    let pressed = test.stranger().post(&test.answer_path(id), &[("say", &format!("{old} yes"))]).await;
    assert_eq!(pressed.status, 409);
    assert_eq!(pressed.all("[data-late]").len(), 1);
    assert!(pressed.attributes("button[name=say]", "value").iter().any(|value| value.ends_with(" yes")));
    let now = request(&test, id).await;
    assert!(now.stands_for(date!(2027 - 06 - 12)).is_none() && now.stands_for(date!(2027 - 06 - 05)).is_none());
    let kept = now.asks.iter().find(|ask| ask.id == old).unwrap();
    assert_eq!(kept.answers.len(), 1, "what was pressed is kept with the old date");
    // The old day is burn day again. The answer is from before, so it is asked again.
    move_to(&test, BURN_DAY, "").await;
    assert!(request(&test, id).await.stands_for(date!(2027 - 06 - 05)).is_none());
    let page = test.stranger().get(&test.answer_path(id)).await;
    assert_eq!(page.all("[data-before]").len(), 1);
}

#[tokio::test]
async fn a_dropped_rain_date_leaves_the_calendar_of_who_said_yes_to_it() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day", "rain date"]).await[0];
    let pressed = test.stranger().post(&test.answer_path(id), &[("say", "both yes")]).await;
    assert_eq!(pressed.status, 303);
    deliver(&test).await;
    let rain = request(&test, id).await.live().nth(1).unwrap().id;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/edit").await.form().with("rain_on", "").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    let mail = waiting(&test, id).await.unwrap();
    let methods: Vec<&str> = mail.calendars.iter().map(|(method, _)| method.as_str()).collect();
    assert_eq!(methods, ["REQUEST", "CANCEL"]);
    assert!(mail.calendars[1].1.contains(&format!("UID:ask-{rain}@")), "{mail:?}");
}

#[tokio::test]
async fn who_did_not_get_the_mail_about_a_change_is_on_the_list_again() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    say(&test, id, 0, "yes").await;
    deliver(&test).await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/edit").await.form().with("burn_time", "13:00").and("act", "save");
    olga.submit("/events/1/edit", &form).await;
    assert!(olga.get("/events/1/replies").await.all("#tell").is_empty(), "an email is on its way");
    refuse(&test, waiting(&test, id).await.unwrap().id).await;
    let list = olga.get("/events/1/replies").await;
    assert_eq!(list.all("#tell li").len(), 1, "{}", list.body);
    // The Countdown points there, too.
    assert!(olga.get("/events/1").await.body.contains("/events/1/replies#tell"));
}

#[tokio::test]
async fn who_says_no_just_before_the_date_changes_still_gets_the_entry_out_of_their_calendar() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    say(&test, id, 0, "yes").await;
    deliver(&test).await;
    let ask = request(&test, id).await.asks[0].id;
    say(&test, id, 0, "no").await;
    // The confirmation is still waiting, and the change cancels it.
    move_to(&test, RAIN_DATE, "").await;
    let mail = waiting(&test, id).await.unwrap();
    let methods: Vec<&str> = mail.calendars.iter().map(|(method, _)| method.as_str()).collect();
    assert_eq!(methods, ["CANCEL"]);
    assert!(mail.calendars[0].1.contains(&format!("UID:ask-{ask}@")), "{mail:?}");
}

/// Changes the lines under a question, as editing what it is about does.
async fn edit_lines(test: &TestApp, id: i64, lines: &[(&str, &str)]) {
    let lines: Vec<(String, String)> = lines.iter().map(|(label, text)| ((*label).into(), (*text).into())).collect();
    let (event, request, now) = (event(test).await, request(test, id).await, test.app.clock.now());
    let edit =
        test.app.db.write(move |tx| Box::pin(async move { asks::refresh(tx, &event, &request, &lines, now).await }));
    assert!(edit.await.unwrap());
}

#[tokio::test]
async fn a_question_that_waits_is_asked_as_it_is_now_and_tells_of_no_change() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    let first = waiting(&test, id).await.unwrap();
    edit_lines(&test, id, &[("Where", "north gate"), ("Bring", "a flashlight")]).await;
    let mut olga = test.olga().await;
    let form =
        olga.get("/events/1/replies").await.form_at("#tell form[action$='/tell']").with("request", &id.to_string());
    assert_eq!(olga.submit("/events/1/replies/tell", &form).await.status, 303);
    let now = waiting(&test, id).await.expect("it is still asked");
    assert_ne!(now.id, first.id);
    assert!(now.text.contains("a flashlight") && now.text.contains("Can you walk the spectator line"), "{}", now.text);
    assert!(!now.text.contains("Boots"), "{}", now.text);
    assert_eq!(what(&test, &now), "ask", "it doesn't mention a change");
    assert!(olga.get("/events/1/replies").await.all("#tell").is_empty());
    // Sent twice, it is still asked once.
    edit_lines(&test, id, &[("Where", "south gate")]).await;
    let form =
        olga.get("/events/1/replies").await.form_at("#tell form[action$='/tell']").with("request", &id.to_string());
    olga.submit("/events/1/replies/tell", &form).await;
    olga.submit("/events/1/replies/tell", &form).await;
    assert!(waiting(&test, id).await.unwrap().text.contains("south gate"));
}

#[tokio::test]
async fn who_is_told_by_phone_while_their_confirmation_waits_gets_it_as_it_is_now_and_can_be_taken_out_again() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    deliver(&test).await;
    let ask = request(&test, id).await.asks[0].id.to_string();
    let fields = [("ask", ask.as_str()), ("said", "yes"), ("way", "phone"), ("evidence", "called 10:20")];
    let mut olga = test.olga().await;
    assert_eq!(olga.post(&format!("/events/1/replies/{id}/answers"), &fields).await.status, 303);
    edit_lines(&test, id, &[("Where", "north gate")]).await;
    let seen = olga.get("/events/1/replies").await.attributes("#tell input[name=as_of]", "value");
    assert_eq!(olga.post(&format!("/events/1/replies/{id}/told"), &[("as_of", &seen[0])]).await.status, 303);
    let mail = waiting(&test, id).await.unwrap();
    assert!(mail.text.contains("north gate") && !mail.text.contains("Boots"), "{}", mail.text);
    assert_eq!(mail.calendars.len(), 1, "the entry of their yes comes with it: {mail:?}");
    deliver(&test).await;
    assert!(olga.get("/events/1/replies").await.all("#tell").is_empty());
    assert_eq!(olga.post(&format!("/events/1/replies/{id}/withdraw"), &[]).await.status, 303);
    let mail = waiting(&test, id).await.unwrap();
    assert_eq!(mail.calendars[0].0, "CANCEL", "{mail:?}");
    assert!(mail.calendars[0].1.contains(&format!("UID:ask-{ask}@")));
}

#[tokio::test]
async fn who_is_no_longer_needed_hears_it_though_the_first_mail_never_left() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    say(&test, id, 0, "yes").await;
    deliver(&test).await;
    let mut olga = test.olga().await;
    assert_eq!(olga.post(&format!("/events/1/replies/{id}/withdraw"), &[]).await.status, 303);
    let first = waiting(&test, id).await.unwrap();
    // A new time cancels what is waiting.
    let form = olga.get("/events/1/edit").await.form().with("burn_time", "13:00").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    let second = waiting(&test, id).await.expect("it is written again");
    assert_ne!(second.message_id, first.message_id);
    assert_eq!((what(&test, &first), what(&test, &second)), ("withdrawn".to_owned(), "withdrawn".to_owned()));
    assert!(second.text.contains(&Reader::Public.day(BURN_ON)), "{}", second.text);
    insta::assert_snapshot!("no-longer-needed-letter", read(&second));
    assert_eq!(second.calendars[0].0, "CANCEL");
    // The relay refuses it, so people on the list are emailed again.
    test.at(test.app.clock.now() + Duration::minutes(11));
    refuse(&test, second.id).await;
    let listed = olga.get("/events/1/replies").await.attributes("#tell input[type=checkbox]", "value");
    assert_eq!(listed, [id.to_string()]);
    assert_eq!(olga.post("/events/1/replies/tell", &[("request", &id.to_string())]).await.status, 303);
    let third = waiting(&test, id).await.expect("they are emailed again");
    assert_eq!(what(&test, &third), "withdrawn");
    assert_eq!(third.calendars[0].0, "CANCEL");
}

#[tokio::test]
async fn in_a_copy_a_lost_yes_leaves_the_calendar_until_it_is_said_again() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    deliver(&test).await;
    let folder = tempfile::tempdir().unwrap();
    test.app.db.copy_into(&folder.path().join(burnday::db::FILE)).await.unwrap();
    std::fs::copy(test.folder.path().join("link-key"), folder.path().join("link-key")).unwrap();
    say(&test, id, 0, "yes").await;
    let lost = waiting(&test, id).await.unwrap();
    let number = |text: &str| -> u32 {
        text.lines().find_map(|line| line.strip_prefix("SEQUENCE:")).unwrap().trim().parse().unwrap()
    };

    let app = open(folder.path(), &[]).await;
    app.clock.set(test.app.clock.now());
    let copy = TestApp::of(app, folder);
    let mut olga = copy.olga().await;
    assert_eq!(olga.post("/mail/release", &[]).await.status, 303);
    assert_eq!(olga.post("/events/1/replies/tell", &[("request", &id.to_string())]).await.status, 303);
    let told = waiting(&copy, id).await.unwrap();
    let (method, file) = &told.calendars[0];
    assert_eq!(method, "CANCEL", "their yes is unknown here");
    assert!(number(file) > number(&lost.calendars[0].1));
    assert_eq!(what(&copy, &told), "change");
    let question = "Can you walk the spectator line";
    assert!(told.text.contains(&Reader::Public.day(BURN_ON)) && told.text.contains(question), "{}", told.text);
    insta::assert_snapshot!("lost-yes-letter", read(&told));
    say(&copy, id, 0, "yes").await;
    let again = waiting(&copy, id).await.unwrap();
    assert_eq!(again.calendars[0].0, "REQUEST");
    assert!(number(&again.calendars[0].1) > number(file));
}

#[tokio::test]
async fn both_dates_on_an_old_page_mean_the_two_it_showed() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let lena = test.person("Lena Ashby", "").await;
    let asked = test.ask(&[wren, lena], &["burn day", "rain date"]).await;
    let shown = test.stranger().get(&test.answer_path(asked[0])).await.attributes("button[data-both]", "value");
    let list = test.olga().await.get(&format!("/events/1/replies/{}", asked[1])).await;
    let pressed = list.attributes("button[name=say][value*='+']", "value");
    deliver(&test).await;
    move_to(&test, RAIN_DATE, "2027-06-19").await;
    let nothing = async |id: i64| request(&test, id).await.live().all(|ask| ask.stands().is_none());
    assert_eq!(request(&test, asked[0]).await.live().count(), 2, "two dates, and only one of them was shown");
    for (say, status) in [(shown[0].as_str(), 409), ("both yes", 422)] {
        assert_eq!(test.stranger().post(&test.answer_path(asked[0]), &[("say", say)]).await.status, status, "{say}");
        assert!(nothing(asked[0]).await, "{say}");
    }
    let mut olga = test.olga().await;
    for say in [pressed[0].as_str(), "both yes"] {
        let path = format!("/events/1/replies/{}/answers", asked[1]);
        assert_eq!(olga.post(&path, &[("say", say)]).await.status, 303);
        assert!(request(&test, asked[1]).await.asks.iter().all(|ask| ask.answers.is_empty()), "{say}");
    }
    let page = test.stranger().get(&test.answer_path(asked[0])).await;
    let now = page.attributes("button[data-both]", "value");
    assert_eq!(test.stranger().post(&test.answer_path(asked[0]), &[("say", &now[0])]).await.status, 303);
    assert!(request(&test, asked[0]).await.is_answered());
}

#[tokio::test]
async fn another_place_to_park_leaves_the_waiting_emails_of_everyone_it_does_not_concern() {
    let test = TestApp::planned().await;
    let lena = test.person("Lena Ashby", "lena@example.org").await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/replies/new?kind=loan").await.form().and("person", &lena.to_string());
    assert_eq!(olga.submit("/events/1/replies/new", &form.and("act", "ask")).await.status, 303);
    let mut db = test.app.db.read().acquire().await.unwrap();
    let loan = asks::of_event(&mut db, 1).await.unwrap().last().unwrap().id;
    drop(db);
    let crew = test.ask(&[wren], &["burn day"]).await[0];
    deliver(&test).await;
    say(&test, loan, 0, "yes").await;
    say(&test, crew, 0, "yes").await;
    let (loaned, helps) = (waiting(&test, loan).await.unwrap(), waiting(&test, crew).await.unwrap());
    let revision = event(&test).await.facts_revision;
    let queue = async |number: usize, key: &str| {
        let now = test.app.clock.now();
        let (dedup, facts_revision, not_after) = (key.to_owned(), Some(revision), now + Duration::DAY);
        test.queue(Letter { dedup, facts_revision, due_at: now, not_after, ..letter(number) }).await
    };
    let (reading, sheet) = (queue(1, "paper-reading/7").await, queue(2, "call-sheet/1/7/abc/0").await);

    let form = olga.get("/events/1/edit").await.form().with("parking", "Field 2").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    assert_eq!(waiting(&test, loan).await.unwrap().id, loaned.id, "a lender isn't told where to park");
    assert_eq!(test.stands(reading).await.0, MailState::Waiting);
    assert_eq!(test.stands(sheet).await.0, MailState::Cancelled, "a call sheet says where to park");
    let told = waiting(&test, crew).await.unwrap();
    assert!(told.id != helps.id && told.text.contains("Field 2"), "{}", told.text);
    deliver(&test).await;
    for id in [loaned.id, reading, told.id] {
        assert_eq!(test.stands(id).await.0, MailState::Sent, "{id}");
    }
    // Another time concerns everyone.
    let late = queue(3, "paper-reading/8").await;
    let form = olga.get("/events/1/edit").await.form().with("burn_time", "13:00").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    assert_eq!(test.stands(late).await.0, MailState::Cancelled);
}
