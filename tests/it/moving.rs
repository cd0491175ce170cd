//! Choosing a burn day and changing it.

use crate::support::{Answer, BURN_ON, TestApp};
use burnday::asks;
use burnday::calc::calendar::Basis;
use burnday::db::journal::{self, Wanted};
use burnday::events;
use burnday::permit_records;
use burnday::web::form;
use burnday::web::words::{self, Reader};
use time::Weekday;
use time::macros::{date, datetime, time};

async fn new_event_form(test: &TestApp, burn_on: &str) -> (crate::support::Browser, crate::support::Filled) {
    let mut olga = test.olga().await;
    let form = olga.get("/events/new").await.form();
    let form = form.with("name", "Spring burn").with("site", "East lot").with("burn_on", burn_on);
    (olga, form.with("rain_on", ""))
}

#[tokio::test]
async fn a_new_event_starts_with_the_usual_tasks_and_is_the_current_one() {
    let test = TestApp::planned().await;
    let (mut olga, form) = new_event_form(&test, "2027-10-09").await;
    let answer = olga.submit("/events/new", &form).await;
    assert_eq!((answer.status, answer.location()), (303, "/events/2"));
    let page = olga.get("/events/2").await;
    assert!(!page.said().is_empty() && page.has("#chain [data-note=common-practice]"));
    let what = page.text(".what");
    assert!(what.contains(&Reader::App.moment(date!(2027 - 10 - 09).with_time(time!(10:00)))), "{what}");
    assert_eq!(what.matches("Sat, ").count(), 1, "no rain date: {what}");
    assert_eq!(olga.get("/events/2/edit").await.value("rain_on"), "");
    let event = events::find(test.app.db.read(), 2).await.unwrap().unwrap();
    assert_eq!(event.details.rain_on, None);
    assert_eq!(olga.get("/").await.location(), "/events/2");
    assert_eq!(olga.get("/events/2/tasks?state=all").await.all(".press > li").len(), 92);

    assert_eq!(olga.post("/events/1/current", &[]).await.status, 303);
    assert_eq!(olga.get("/").await.location(), "/events/1");
    assert_eq!(olga.get("/events").await.all(".plain-list li").len(), 2);
}

#[tokio::test]
async fn a_day_the_plan_can_not_meet_is_told_before_saving_with_the_earliest() {
    let test = TestApp::planned().await;
    let (mut olga, form) = new_event_form(&test, "2027-01-02").await;
    let answer = olga.submit("/events/new", &form).await;
    assert_eq!(answer.status, 422);
    // Thu, Mar 18 is the first day the plan can meet; Sat, Mar 20 is the first Saturday.
    assert_eq!(answer.mark("#refusal", "short"), "75");
    assert!(answer.text("#refusal").contains(&Reader::App.day(date!(2027 - 01 - 02))), "{}", answer.text("#refusal"));
    assert_eq!(answer.mark("#earliest", "earliest"), "2027-03-20");
    let earliest = answer.text("#earliest");
    for part in [Reader::App.day(date!(2027 - 03 - 20)), words::days(115, Basis::Calendar)] {
        assert!(earliest.contains(&part), "{part}: {earliest}");
    }
    assert_eq!(answer.value("name"), "Spring burn");
    assert!(events::find(test.app.db.read(), 2).await.unwrap().is_none());

    // The button is sent with everything else on the page.
    let taken = answer.form().with("act", "earliest").with("rain_on", "2027-01-09");
    assert_eq!(olga.submit("/events/new", &taken).await.location(), "/events/2");
    let event = events::find(test.app.db.read(), 2).await.unwrap().unwrap();
    assert_eq!(event.details.burn_on, date!(2027 - 03 - 20));
    assert_eq!(event.details.rain_on, Some(date!(2027 - 03 - 27)), "as far behind as before");
    let page = olga.get("/events/2").await;
    assert_eq!(page.mark("#chain", "spare"), "2");

    let anyway = olga.submit("/events/new", &form.and("act", "anyway")).await;
    assert_eq!(anyway.location(), "/events/3");
    let page = olga.get("/events/3").await;
    assert_eq!(page.mark("#chain", "spare"), "-75");
    assert_eq!(page.mark("#chain", "earliest"), "2027-03-18");
    let chain = page.text("#chain");
    for day in
        [date!(2027 - 01 - 02), date!(2027 - 03 - 18)].map(|day| Reader::App.near_day(day, date!(2026 - 11 - 25)))
    {
        assert!(chain.contains(&day), "{day}: {chain}");
    }
}

#[tokio::test]
async fn mistakes_in_an_event_are_told_by_field() {
    let test = TestApp::planned().await;
    let (mut olga, form) = new_event_form(&test, "2027-10-09").await;
    let form = form.with("name", "").with("burn_time", "25:00").with("rain_on", "2027-10-02").with("audience", "many");
    let answer = olga.submit("/events/new", &form.with("weekday", "Someday")).await;
    assert_eq!(answer.status, 422);
    let typed =
        [("name", ""), ("burn_time", "25:00"), ("rain_on", "2027-10-02"), ("audience", "many"), ("weekday", "none")];
    assert_eq!(answer.mistakes(), typed.map(|(field, _)| field));
    assert_eq!(answer.value("audience"), "many");
    let remedies = typed.map(|(field, value)| format!("{field}: {value} → {}", answer.mistake(field)));
    insta::assert_snapshot!("mistakes-in-an-event", remedies.join("\n"));
}

#[tokio::test]
async fn an_event_is_changed_but_not_its_day() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/edit").await.form().with("site", "West lot").and("burn_on", "2030-01-01");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!((event.details.site.as_str(), event.details.burn_on), ("West lot", BURN_ON));
    assert_eq!(event.date_revision, 1);
    let stale = olga.submit("/events/1/edit", &form).await;
    assert_eq!(stale.status, 409);
}

#[tokio::test]
async fn a_move_is_shown_first_and_then_made_by_one_confirmation() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let permit = test.task("event-permit").await;
    let goal = test.task("goal").await;
    for id in [permit, goal] {
        olga.post(&format!("/events/1/tasks/{id}/state"), &[("state", "done")]).await;
    }
    let before = test.dump();
    let preview = olga.get("/events/1/move?burn_on=2027-06-12&rain_on=2027-06-19").await;
    assert_eq!(before, test.dump());
    assert_eq!(preview.mark("#verdict", "later"), "7");
    assert!(preview.says(&Reader::App.day(date!(2027 - 06 - 12))));
    assert!(preview.mark("#verdict", "uneven").parse::<usize>().unwrap() > 0, "{}", preview.text("#verdict"));
    assert_eq!(preview.attributes("input[name=redo]", "value"), [permit.to_string()]);
    assert!(preview.has(&format!("tr[data-task='{}']", test.task("burn-permit").await)));

    let move_it =
        [("burn_on", "2027-06-12"), ("rain_on", "2027-06-19"), ("version", "1"), ("redo", &permit.to_string())];
    let answer = olga.post("/events/1/move", &move_it).await;
    assert_eq!((answer.status, answer.location()), (303, "/events/1"));
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!(event.date_revision, 2);
    assert_eq!(event.details.burn_on, date!(2027 - 06 - 12));
    assert_eq!(state(&test, permit).await, "to do");
    assert_eq!(state(&test, goal).await, "done");
    let told = journal::page(test.app.db.read(), Some(1), &Wanted::default(), i64::MAX, 10).await.unwrap();
    let told = told.iter().find(|told| told.subject == "event").unwrap();
    let (from, to) = (Reader::App.day(BURN_ON), Reader::App.day(date!(2027 - 06 - 12)));
    let moved = told.changes.iter().find(|change| change.field == "burn day").unwrap();
    assert_eq!((told.who.as_str(), &moved.before, &moved.after), ("Olga Wren", &from, &to));
    let lines = olga.get("/events/1/journal").await.all(".plain-list > li");
    assert!(lines.iter().any(|line| ["Olga Wren", &from, &to].iter().all(|part| line.contains(*part))), "{lines:?}");
}

async fn state(test: &TestApp, id: i64) -> String {
    test.tasks().await.into_iter().find(|task| task.id == id).unwrap().state.to_string()
}

#[tokio::test]
async fn a_move_counts_only_what_is_ticked_to_be_done_again() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let permit = test.task("event-permit").await;
    olga.post(&format!("/events/1/tasks/{permit}/state"), &[("state", "done")]).await;
    let all = olga.get("/events/1/move?burn_on=2027-06-12").await;
    let none = olga.get("/events/1/move?burn_on=2027-06-12&chosen=yes").await;
    assert_eq!(all.attributes("input[name=redo][checked]", "value").len(), 1);
    assert_eq!(none.attributes("input[name=redo][checked]", "value").len(), 0);
    let row = format!("tr[data-task='{permit}']");
    assert!(all.has(&row) && !none.has(&row));
}

#[tokio::test]
async fn of_two_moves_the_second_is_told() {
    let test = TestApp::planned().await;
    let (mut olga, mut other) = (test.olga().await, test.olga().await);
    let to = |day: &'static str| [("burn_on", day), ("rain_on", ""), ("version", "1")];
    assert_eq!(olga.post("/events/1/move", &to("2027-06-12")).await.status, 303);
    let second = other.post("/events/1/move", &to("2027-06-19")).await;
    assert_eq!(second.status, 409);
    assert!(second.has("[data-note=stale]") && !second.has("#verdict"), "the preview no longer holds");
    assert_eq!(second.value("burn_on"), "2027-06-19", "what was chosen is still there");
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!((event.date_revision, event.details.burn_on), (2, date!(2027 - 06 - 12)));
    // After another look it can be confirmed.
    let preview = other.get("/events/1/move?burn_on=2027-06-19&rain_on=").await;
    let confirmed = other.submit("/events/1/move", &preview.form_at(CONFIRM)).await;
    assert_eq!((confirmed.status, confirmed.location()), (303, "/events/1"));
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!((event.date_revision, event.details.burn_on), (3, date!(2027 - 06 - 19)));
}

#[tokio::test]
async fn what_was_chosen_before_someone_else_changed_the_date_is_previewed_again() {
    let test = TestApp::planned().await;
    let ids = done(&test, &["event-permit", "guest-replies"]).await;
    let (mut olga, mut other) = (test.olga().await, test.olga().await);
    let first = [("burn_on", "2027-06-12"), ("rain_on", ""), ("version", "1"), ("chosen", "yes")];
    assert_eq!(olga.post("/events/1/move", &first).await.status, 303);
    let redo = ids[0].to_string();
    for again in ["yes", ""] {
        let to = [("burn_on", "2027-06-19"), ("rain_on", ""), ("version", "1"), ("chosen", "yes"), ("redo", &redo)];
        let stale = other.post("/events/1/move", &[&to[..], &[("again", again)]].concat()).await;
        assert_eq!(stale.status, 409);
        let form = stale.form_at("[data-choose]");
        assert_eq!((form.value("chosen"), form.value("again")), ("yes", again));
        let preview = other.get(&format!("/events/1/move?{}", form.body())).await;
        assert_eq!(preview.attributes("input[name=redo]", "value").len(), 2, "{}", preview.text("main"));
        assert_eq!(redone(&preview), [redo.as_str()]);
        assert_eq!(preview.form_at("[data-choose]").value("chosen"), "", "what is chosen next is chosen there");
    }
}

#[tokio::test]
async fn of_two_moves_at_once_one_is_made() {
    let test = TestApp::planned().await;
    let (mut olga, mut other) = (test.olga().await, test.olga().await);
    let to = |day: &'static str| [("burn_on", day), ("rain_on", ""), ("version", "1")];
    let (one, two) = (to("2027-06-12"), to("2027-06-19"));
    let (one, two) = tokio::join!(olga.post("/events/1/move", &one), other.post("/events/1/move", &two));
    let mut statuses = [one.status, two.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [303, 409]);
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!(event.date_revision, 2);
}

/// The form that confirms a previewed date.
const CONFIRM: &str = "main form[method=post][action$='/move']";

#[tokio::test]
async fn the_rain_date_takes_one_button_and_one_confirmation() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let slack: i32 = olga.get("/events/1").await.mark("#chain", "spare").parse().unwrap();
    let before = test.dump();
    let page = olga.get("/events/1/move").await;
    assert_eq!(page.count("main button.main"), 1);
    let button = page.form_at("form[method=get][data-use='rain date']");
    let preview = olga.get(&format!("/events/1/move?{}", button.body())).await;
    let verdict = ["verdict", "slack", "open"].map(|name| preview.mark("#verdict", name));
    assert_eq!(verdict, ["possible".to_owned(), (slack + 7).to_string(), "0".to_owned()]);
    let (first, table) = (preview.body.find("id=\"verdict\"").unwrap(), preview.body.find("data-deadlines").unwrap());
    assert!(first < table, "the verdict comes first");
    assert!(preview.has("details[data-deadlines]:not([open]) tr[data-task]"), "the deadlines are folded");
    assert_eq!(preview.count("main button.main"), 1);
    assert_eq!(before, test.dump(), "nothing happened yet");
    let confirmed = olga.submit("/events/1/move", &preview.form_at(CONFIRM)).await;
    assert_eq!((confirmed.status, confirmed.location()), (303, "/events/1"));
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!((event.details.burn_on, event.details.rain_on), (date!(2027 - 06 - 12), None));
    assert!(!olga.get("/events/1/move").await.has("[data-use]"), "it is used");
    // Moved back, with the later day as rain date again.
    let back = olga.get("/events/1/move?burn_on=2027-06-05&rain_on=2027-06-12").await;
    assert_eq!(back.mark("#verdict", "slack"), slack.to_string());
    assert_eq!(olga.submit("/events/1/move", &back.form_at(CONFIRM)).await.status, 303);
    assert!(olga.get("/events/1/move").await.has("[data-use]"));
}

#[tokio::test]
async fn another_weekday_takes_a_check_of_its_box() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for (dates, wrong) in
        [("burn_on=2027-06-15&rain_on=", "burn_on"), ("burn_on=2027-06-19&rain_on=2027-06-22", "rain_on")]
    {
        let page = olga.get(&format!("/events/1/move?{dates}")).await;
        assert_eq!((page.status, page.mistakes()), (422, vec![wrong.to_owned()]), "{dates}");
        assert!(page.has("[data-choose] input[name=anyway]:not([checked])") && !page.has("#verdict"), "{dates}");
        assert!(page.text("[data-choose] label.tick").contains("Tuesday"), "{dates}");
        let anyway = olga.get(&format!("/events/1/move?{dates}&anyway=yes")).await;
        assert_eq!((anyway.status, anyway.value("anyway").as_str()), (200, "yes"), "{dates}");
    }
    assert!(!olga.get("/events/1/move?burn_on=2027-06-19&rain_on=").await.has("input[type=checkbox][name=anyway]"));
    let tuesday = [("burn_on", "2027-06-15"), ("rain_on", ""), ("version", "1")];
    let refused = olga.post("/events/1/move", &tuesday).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["burn_on".to_owned()]));
    let confirm = olga.get("/events/1/move?burn_on=2027-06-15&rain_on=&anyway=yes").await.form_at(CONFIRM);
    assert_eq!(olga.submit("/events/1/move", &confirm).await.status, 303);
    let event = events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    assert_eq!(event.details.burn_on, date!(2027 - 06 - 15));
}

#[tokio::test]
async fn a_rain_date_that_was_agreed_on_is_used_whatever_its_weekday() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/edit").await.form().with("rain_on", "2027-06-13").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    assert_eq!(olga.get("/events/1/move?burn_on=2027-06-13&rain_on=2027-06-20").await.status, 200);
    assert_eq!(olga.get("/events/1/move?burn_on=2027-06-20&rain_on=").await.status, 422, "another Sunday");
}

#[tokio::test]
async fn only_the_events_weekdays_are_suggested_and_only_days_the_plan_can_meet() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let suggested = |page: &Answer| page.attributes("[data-suggestions] li", "data-day");
    let weekday = |day: &String| form::day(day).unwrap().weekday();
    let page = olga.get("/events/1/move").await;
    let days = suggested(&page);
    assert_eq!((days.len(), days[0].as_str()), (4, page.mark("#earliest", "earliest").as_str()));
    assert!(days.iter().all(|day| weekday(day) == Weekday::Saturday), "{days:?}");
    for (day, href) in days.iter().zip(page.attributes("[data-suggestions] a", "href")) {
        let preview = olga.get(&href).await;
        assert_eq!(preview.mark("#verdict", "verdict"), "possible", "{day}");
        let apart = form::day(&preview.value("rain_on")).unwrap() - form::day(day).unwrap();
        assert_eq!(apart.whole_days(), 7, "the rain date is as far behind it as before: {day}");
    }
    let form = olga.get("/events/1/edit").await.form().and("weekday", "Sunday").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    let days = suggested(&olga.get("/events/1/move").await);
    assert_eq!(days.iter().filter(|day| weekday(day) == Weekday::Sunday).count(), 2, "{days:?}");
    // Close to burn day, what is suggested leaves the plan the time it needs.
    test.at(datetime!(2027-06-01 15:00 UTC));
    let days = suggested(&test.olga().await.get("/events/1/move").await);
    assert!(days.len() == 4 && days.iter().all(|day| day.as_str() > "2027-06-12"), "{days:?}");
}

#[tokio::test]
async fn a_suggested_day_brings_no_rain_date_on_a_weekday_that_does_not_work() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/edit").await.form().with("rain_on", "2027-06-06").and("weekday", "Sunday");
    assert_eq!(olga.submit("/events/1/edit", &form.and("act", "save")).await.status, 303);
    let page = olga.get("/events/1/move").await;
    let days = page.attributes("[data-suggestions] li", "data-day");
    let mut weekdays = Vec::new();
    for (day, href) in days.iter().zip(page.attributes("[data-suggestions] a", "href")) {
        let day = form::day(day).unwrap();
        let preview = olga.get(&href).await;
        assert_eq!(preview.status, 200, "{day}: {:?}", preview.mistakes());
        let rain = if day.weekday() == Weekday::Saturday { words::iso(day.next_day().unwrap()) } else { String::new() };
        assert_eq!(preview.value("rain_on"), rain, "{day}");
        weekdays.push(day.weekday());
    }
    assert!(weekdays.contains(&Weekday::Saturday) && weekdays.contains(&Weekday::Sunday), "{weekdays:?}");
}

/// Marks tasks of the usual plan as done.
async fn done(test: &TestApp, keys: &[&str]) -> Vec<i64> {
    let mut ids = Vec::new();
    for key in keys {
        let id = test.task(key).await;
        assert_eq!(
            test.olga().await.post(&format!("/events/1/tasks/{id}/state"), &[("state", "done")]).await.status,
            303
        );
        ids.push(id);
    }
    ids
}

/// The tasks that a page has checked to do again.
fn redone(page: &Answer) -> Vec<String> {
    page.attributes("input[name=redo][checked]", "value")
}

#[tokio::test]
async fn what_covers_both_dates_is_not_done_again_and_no_one_is_asked_again() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let lena = test.person("Lena Ashby", "lena@example.org").await;
    let asked = test.ask(&[wren, lena], &["burn day", "rain date"]).await;
    for (id, say) in asked.iter().zip(["both yes", "both no"]) {
        assert_eq!(test.stranger().post(&test.answer_path(*id), &[("say", say)]).await.status, 303);
    }
    let ids = done(&test, &["crew-confirmed", "guest-replies"]).await;
    let mut olga = test.olga().await;
    let page = olga.get("/events/1/move?burn_on=2027-06-12&rain_on=").await;
    assert_eq!(redone(&page), [ids[1].to_string()], "no guest was asked, so nothing says that this covers the day");
    assert_eq!(page.attributes("[data-covered] input[name=redo]", "value"), [ids[0].to_string()]);
    assert_eq!((page.mark("[data-tell]", "tell"), page.mark("[data-tell]", "ask")), ("1".to_owned(), "0".to_owned()));
    assert!(!page.has("input[name=again]"));
    // It can still be checked.
    let both = format!("/events/1/move?burn_on=2027-06-12&rain_on=&chosen=yes&redo={}&redo={}", ids[0], ids[1]);
    assert_eq!(redone(&olga.get(&both).await).len(), 2);

    assert_eq!(olga.submit("/events/1/move", &page.form_at(CONFIRM)).await.status, 303);
    assert_eq!((state(&test, ids[0]).await, state(&test, ids[1]).await), ("done".to_owned(), "to do".to_owned()));
    let request = asks::find(test.app.db.read(), asked[0]).await.unwrap().unwrap();
    assert!(request.is_answered() && request.live().count() == 1, "{request:?}");
}

#[tokio::test]
async fn a_task_is_done_again_if_one_answer_for_the_new_date_is_missing() {
    for (dates, say) in
        [(&["burn day"][..], "both yes"), (&["burn day", "rain date"], "both maybe"), (&["burn day", "rain date"], "")]
    {
        let test = TestApp::planned().await;
        let wren = test.person("Wren Ibarra", "wren@example.org").await;
        let lena = test.person("Lena Ashby", "lena@example.org").await;
        let sure = test.ask(&[wren], &["burn day", "rain date"]).await[0];
        test.stranger().post(&test.answer_path(sure), &[("say", "both yes")]).await;
        let open = test.ask(&[lena], dates).await[0];
        if !say.is_empty() {
            assert_eq!(test.stranger().post(&test.answer_path(open), &[("say", say)]).await.status, 303);
        }
        let ids = done(&test, &["crew-confirmed"]).await;
        let page = test.olga().await.get("/events/1/move?burn_on=2027-06-12&rain_on=").await;
        assert_eq!(redone(&page), [ids[0].to_string()], "{dates:?} {say}");
    }
}

#[tokio::test]
async fn a_notice_that_names_both_days_is_not_sent_again() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let ids = done(&test, &["air-notice"]).await;
    let mut db = test.app.db.read().acquire().await.unwrap();
    let all = permit_records::of_event(&mut db, 1).await.unwrap();
    drop(db);
    let notice = all.iter().find(|permit| permit.details.task_id == Some(ids[0])).unwrap().id;
    let preview = "/events/1/move?burn_on=2027-06-12&rain_on=";
    assert_eq!(redone(&olga.get(preview).await), [ids[0].to_string()]);
    let sent = [("sent_on", "2026-11-24"), ("burn_day", "2027-06-05"), ("rain_date", "2027-06-12")];
    assert_eq!(olga.post(&format!("/events/1/permits/{notice}/sendings"), &sent).await.status, 303);
    assert!(redone(&olga.get(preview).await).is_empty());
    let later = olga.get("/events/1/move?burn_on=2027-06-19&rain_on=").await;
    assert_eq!(redone(&later), [ids[0].to_string()], "a day that isn't on it");
    // A later notice counts instead, and of two on one day the second.
    let path = format!("/events/1/permits/{notice}/sendings");
    for (rain_date, again) in [("", vec![ids[0].to_string()]), ("2027-06-12", Vec::new())] {
        let sent = [("sent_on", "2026-11-25"), ("burn_day", "2027-06-05"), ("rain_date", rain_date)];
        assert_eq!(olga.post(&path, &sent).await.status, 303);
        assert_eq!(redone(&olga.get(preview).await), again, "{rain_date}");
    }
}

#[tokio::test]
async fn a_move_to_nowhere_is_refused() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    for (burn_on, rain_on, field) in [
        ("2027-06-05", "", "burn_on"),
        ("never", "", "burn_on"),
        ("1900-01-01", "", "burn_on"),
        ("2026-11-24", "", "burn_on"),
        ("2027-06-12", "2027-06-12", "rain_on"),
    ] {
        let fields = [("burn_on", burn_on), ("rain_on", rain_on), ("version", "1")];
        let answer = olga.post("/events/1/move", &fields).await;
        assert_eq!(answer.status, 422, "{burn_on}");
        assert!(!answer.text(&format!("#{field}-mistake")).is_empty(), "{burn_on}");
        let preview = olga.get(&format!("/events/1/move?burn_on={burn_on}&rain_on={rain_on}")).await;
        assert_eq!(preview.status, 422);
    }
}
