//! The list of replies as whoever is on the phone uses it: whom to call and text, replies
//! recorded with one press, messages left, and questions that a yes leaves over.

use crate::asks::rows;
use crate::support::{Answer, Browser, NOW, TestApp};
use burnday::accounts::Role;
use burnday::asks::{self, Request, Said, Way};
use burnday::db::journal::Actor;
use burnday::people;
use burnday::web::link::Opens;
use burnday::web::query::query_escape;
use burnday::web::words::Reader;
use std::collections::BTreeSet;
use time::Duration;
use time::macros::date;

const LIST: &str = "/events/1/replies";
/// On a message that someone left.
const NOTE: &str = "call after six";

async fn request(test: &TestApp, id: i64) -> Request {
    asks::find(test.app.db.read(), id).await.unwrap().unwrap()
}

/// Adds someone with a phone.
async fn person(test: &TestApp, name: &str, mail: &str, phone: &str) -> i64 {
    let mut details = people::Details::of_name(name);
    (details.mail, details.phone) = (mail.to_owned(), phone.to_owned());
    let add =
        test.app.db.write(move |tx| Box::pin(async move { people::add(tx, Actor::Account(1), &details, NOW).await }));
    add.await.unwrap()
}

/// Asks someone to work a position at these hours, and returns the question's number.
async fn position(test: &TestApp, person: i64, question: &str, hours: &str, dates: &[&str]) -> i64 {
    let mut olga = test.olga().await;
    let mut form = olga.get("/events/1/replies/new?kind=post").await.form().without("date");
    form = form.with("question", question).with("at", hours).and("person", &person.to_string());
    for date in dates {
        form = form.and("date", date);
    }
    assert_eq!(olga.submit("/events/1/replies/new", &form.and("act", "ask")).await.status, 303);
    let mut db = test.app.db.read().acquire().await.unwrap();
    asks::of_event(&mut db, 1).await.unwrap().last().unwrap().id
}

/// The number of a question's ask for burn day or the rain date.
async fn ask(test: &TestApp, id: i64, place: usize) -> i64 {
    request(test, id).await.asks[place].id
}

async fn press(browser: &mut Browser, id: i64, say: &str) -> Answer {
    browser.post(&format!("{LIST}/{id}/answers"), &[("say", say), ("back", "list")]).await
}

async fn leave_a_message(browser: &mut Browser, id: i64, note: &str) -> Answer {
    let fields = [("did", "left a message"), ("left_note", note), ("back", "list")];
    browser.post(&format!("{LIST}/{id}/calls"), &fields).await
}

/// The names of those to call, in order.
fn called(page: &Answer) -> Vec<String> {
    page.all("[data-caller] [data-who]")
}

/// Everything that waits to be emailed has gone out.
fn deliver(test: &TestApp) {
    test.sql("update mail set state = 'sent' where state = 'waiting'");
}

/// The keys of the emails that are waiting, without their numbers.
fn waiting(test: &TestApp) -> Vec<String> {
    let rows: Vec<[String; 1]> = rows(test, "select dedup from mail where state = 'waiting' order by id");
    rows.into_iter().map(|[key]| key.split('/').take(2).collect::<Vec<_>>().join("/")).collect()
}

#[tokio::test]
async fn a_reply_is_recorded_with_one_press_and_the_list_keeps_its_place() {
    let test = TestApp::planned().await;
    let nora = person(&test, "Nora Stone", "", "(555) 555-0133").await;
    let id = test.ask(&[nora], &["burn day", "rain date"]).await[0];
    let (burn, rain) = (ask(&test, id, 0).await, ask(&test, id, 1).await);
    let mut lead = test.somebody(Role::CrewLead).await;
    let page = lead.get(&format!("{LIST}?q=nora")).await;
    let buttons = |page: &Answer| page.attributes("[data-caller] button[name=say]", "value");
    let each = |ask: i64| [format!("{ask} yes"), format!("{ask} no")];
    assert_eq!(buttons(&page), [each(burn).as_slice(), &each(rain), &[format!("{burn}+{rain} yes")]].concat());
    assert_eq!(page.attributes("[data-caller] a[href^='tel:']", "href"), ["tel:+15555550133"]);

    let form = page.form_at("[data-caller] form").with("say", &format!("{burn} yes"));
    let pressed = lead.submit(&format!("{LIST}/{id}/answers"), &form).await;
    assert_eq!((pressed.status, pressed.location()), (303, "/events/1/replies?q=nora"));
    let page = lead.get(pressed.location()).await;
    assert!(page.said().contains("Nora Stone") && page.said().contains("Jun 5"), "{}", page.said());
    let answer = request(&test, id).await.asks[0].answers[0].clone();
    assert_eq!((answer.said, answer.way, answer.at), (Said::Yes, Way::Phone, NOW));
    assert_eq!(answer.recorded_by.as_deref(), Some("Somebody, crew lead"));
    assert_eq!(buttons(&page), each(rain), "the other date is still open");

    press(&mut lead, id, &format!("{rain} no")).await;
    let page = lead.get(LIST).await;
    assert!(called(&page).is_empty());
    assert!(page.has(&format!("#answered:not([open]) [data-request='{id}']")), "answered, and folded away");
    // No one can be sent away by a page that says where to go.
    let away = lead.post(&format!("{LIST}/{id}/answers"), &[("say", "both yes"), ("back", "//evil.example")]).await;
    assert_eq!(away.location(), format!("{LIST}/{id}"));
}

#[tokio::test]
async fn both_dates_are_answered_at_once_and_confirmed_in_one_letter() {
    let test = TestApp::planned().await;
    let wren = person(&test, "Wren Ibarra", "wren@example.org", "555-0135").await;
    let nora = person(&test, "Nora Stone", "", "").await;
    let ids = test.ask(&[wren, nora], &["burn day", "rain date"]).await;
    deliver(&test);
    let mut olga = test.olga().await;
    for id in &ids {
        // They know the second answer to each date, too.
        press(&mut olga, *id, "both no").await;
        assert_eq!(press(&mut olga, *id, "both yes").await.location(), LIST);
        let now = request(&test, *id).await;
        for on in [date!(2027 - 06 - 05), date!(2027 - 06 - 12)] {
            assert_eq!(now.stands_for(on).unwrap().said, Said::Yes);
        }
    }
    assert_eq!(waiting(&test), [format!("confirm/{}", ids[0])], "one letter, to the one with an address");
    let mail = test.posted(1).await.into_iter().find(|mail| mail.state == "waiting").unwrap();
    assert_eq!(mail.calendars.len(), 2, "with both entries");
    let page = olga.get(LIST).await;
    assert!(!page.has("#tell"), "everyone knows what they said: {}", page.text("#tell"));
}

#[tokio::test]
async fn a_press_that_comes_too_late_or_means_nothing_saves_nothing() {
    let test = TestApp::planned().await;
    let nora = person(&test, "Nora Stone", "", "").await;
    let id = test.ask(&[nora], &["burn day"]).await[0];
    let old = ask(&test, id, 0).await;
    let mut olga = test.olga().await;
    for odd in ["both", "yes", "x yes", &format!("{old} deputy"), &format!("{old} maybe"), "999 yes"] {
        let before = test.dump();
        let answer = press(&mut olga, id, odd).await;
        assert_eq!((answer.status, answer.location()), (303, LIST), "{odd}");
        assert_eq!(before, test.dump(), "{odd}");
    }
    let to = [("burn_on", "2027-06-19"), ("rain_on", ""), ("version", "1")];
    assert_eq!(olga.post("/events/1/move", &to).await.status, 303);
    press(&mut olga, id, &format!("{old} yes")).await;
    assert!(!olga.get(LIST).await.said().is_empty());
    assert!(request(&test, id).await.asks.iter().all(|ask| ask.answers.is_empty()), "the date has changed");
}

#[tokio::test]
async fn who_got_a_message_is_called_after_the_others_and_again_the_next_day() {
    let test = TestApp::planned().await;
    let nora = person(&test, "Nora Stone", "", "555-0133").await;
    let otto = person(&test, "Otto Vale", "", "555-0134").await;
    let ids = test.ask(&[nora, otto], &["burn day"]).await;
    let mut olga = test.olga().await;
    assert_eq!(called(&olga.get(LIST).await), ["Nora Stone", "Otto Vale"]);
    let button = olga.get(LIST).await.attributes("[data-caller] button[name=did]", "formaction");
    assert_eq!(button, ids.iter().map(|id| format!("{LIST}/{id}/calls")).collect::<Vec<_>>());

    assert_eq!(leave_a_message(&mut olga, ids[0], NOTE).await.location(), LIST);
    let page = olga.get(LIST).await;
    assert!(page.said().contains("Nora Stone"));
    assert_eq!(called(&page), ["Otto Vale", "Nora Stone"]);
    let left = page.text("[data-caller][data-called] [data-left]");
    let today = Reader::App.near_day(date!(2026 - 11 - 25), date!(2026 - 11 - 25));
    assert!(left.contains(&today) && left.contains(NOTE), "{left}");
    assert!(request(&test, ids[0]).await.asks[0].answers.is_empty(), "it is no answer");

    // The second time, from a page of its own.
    leave_a_message(&mut olga, ids[0], "").await;
    let calls: Vec<[String; 2]> = rows(&test, "select request_id, note from ask_call order by id");
    let nora = ids[0].to_string();
    assert_eq!(calls, [[nora.as_str(), NOTE], [nora.as_str(), ""]]);
    let own = olga.get(&format!("{LIST}/{}", ids[0])).await;
    assert_eq!(own.count("[data-message]"), 2);
    assert!(own.text("[data-left]").contains('2'), "{}", own.text("[data-left]"));
    let query = format!("select verb from journal where subject = 'question' and subject_id = {nora} order by id");
    let verbs: Vec<[String; 1]> = rows(&test, &query);
    assert_eq!(verbs.len(), 3, "asked, and two messages: {verbs:?}");
    assert_eq!(verbs[1], verbs[2]);

    test.at(NOW + Duration::DAY);
    let page = olga.get(LIST).await;
    assert_eq!(called(&page), ["Nora Stone", "Otto Vale"], "the next day it counts for nothing");
    assert!(page.has("[data-left]") && !page.has("[data-called]"));
    // A note is what someone said, so not everyone reads it.
    let page = test.somebody(Role::Timekeeper).await.get(LIST).await;
    assert!(page.has("[data-left]") && !page.body.contains(NOTE));
}

#[tokio::test]
async fn a_message_pressed_twice_counts_once_and_can_be_undone() {
    let test = TestApp::planned().await;
    let nora = person(&test, "Nora Stone", "", "").await;
    let id = test.ask(&[nora], &["burn day"]).await[0];
    let (mut lead, mut reader) = (test.somebody(Role::CrewLead).await, test.somebody(Role::Reader).await);
    let count = || rows::<1>(&test, "select count(*) from ask_call")[0][0].clone();
    let path = format!("{LIST}/{id}/calls");
    let form = lead.get(LIST).await.keyed_form_at("[data-caller] form").and("did", "left a message");
    for _ in 0..2 {
        assert_eq!(lead.submit(&path, &form).await.status, 303);
    }
    assert_eq!(count(), "1");

    let page = lead.get(LIST).await;
    let undo = page.keyed_form_at(".said form");
    assert_eq!(page.attributes(".said form", "action"), [path.as_str()]);
    assert_eq!(lead.submit(&path, &undo).await.status, 303);
    assert_eq!(count(), "0");
    assert!(!lead.get(LIST).await.has("[data-left]"));
    let before = test.dump();
    let again = lead.submit(&path, &undo.without("tap-key").without(burnday::web::form_key::FIELD)).await;
    assert_eq!(again.status, 303);
    assert_eq!(before, test.dump(), "it is gone already");

    let long = "x".repeat(201);
    let refused = leave_a_message(&mut lead, id, &long).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["left_note".to_owned()]));
    assert_eq!(refused.value("left_note"), long, "what was typed is still there");
    assert_eq!(lead.post(&path, &[("did", "sang")]).await.status, 400);
    assert_eq!(reader.post(&path, &[("did", "left a message")]).await.status, 403);
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn a_text_has_the_answer_link_for_the_education_officer_alone() {
    let test = TestApp::planned().await;
    let wren = person(&test, "Wren Ibarra", "wren@example.org", "(555) 555-0133").await;
    let nora = person(&test, "Nora Stone", "", "555-0135").await;
    let odd = person(&test, "Odd Number", "", "ask at the desk").await;
    let ids = test.ask(&[wren, nora, odd], &["burn day"]).await;
    let secret = |id: i64| test.app.link_key.secret(Opens::Question, id, 1).reveal().to_owned();
    let pages = [LIST.to_owned(), format!("{LIST}/{}", ids[0]), format!("{LIST}/{}", ids[1])];
    let texts = |page: &Answer| page.attributes("a[href^='sms:']", "href");

    let mut olga = test.olga().await;
    let before = test.dump();
    let page = olga.get(LIST).await;
    assert_eq!(page.header("cache-control"), "no-store");
    let shown = texts(&page);
    assert_eq!(shown.len(), 2, "one can't be texted: {shown:?}");
    for (id, number) in [(ids[0], "sms:+15555550133?&body="), (ids[1], "sms:555-0135?&body=")] {
        let link = shown.iter().find(|href| href.starts_with(number)).unwrap_or_else(|| panic!("{number}: {shown:?}"));
        assert!(link.contains(&format!("%2Fanswer%2F{}", secret(id))), "their own link: {link}");
        // By its words, each as RFC 3986 escapes it.
        for word in ["Olga%20Wren", "spectator", &query_escape("Jun 5")] {
            assert!(link.contains(word), "{word}: {link}");
        }
    }
    assert!(page.all("[data-caller]").iter().any(|caller| caller.contains("555-0135")));
    assert!(page.says("ask at the desk") && page.attributes("a[href^='tel:']", "href").len() == 2);
    for (id, path) in ids.iter().zip(&pages[1..]) {
        let page = olga.get(path).await;
        assert_eq!((texts(&page).len(), page.count("a[href^='tel:']")), (1, 1));
        assert!(texts(&page)[0].contains(&secret(*id)));
        assert_eq!(page.header("cache-control"), "no-store");
    }
    assert_eq!(before, test.dump(), "nothing counts as said");
    assert_eq!(test.stranger().get(&test.answer_path(ids[1])).await.status, 200, "the link opens the question");

    for (role, many) in [(Role::InformationOfficer, 2), (Role::CrewLead, 2), (Role::Timekeeper, 0), (Role::Reader, 0)] {
        let mut browser = test.somebody(role).await;
        assert_eq!(texts(&browser.get(LIST).await).len(), many, "{role}");
        for path in &pages {
            let page = browser.get(path).await;
            assert!(!page.body.contains("answer%2F") && !page.body.contains("/answer/"), "{role}: {path}");
            assert!(ids.iter().all(|id| !page.body.contains(&secret(*id))), "{role}: {path}");
            assert!(many > 0 || !page.has("a[href^='tel:']"), "{role}: {path}");
        }
    }
    for path in &pages {
        assert!(test.stranger().get(path).await.location().starts_with("/sign-in"));
    }
}

#[tokio::test]
async fn a_question_that_is_closed_answered_or_withdrawn_has_no_link_to_text() {
    let test = TestApp::planned().await;
    let nora = person(&test, "Nora Stone", "", "555-0133").await;
    let otto = person(&test, "Otto Vale", "", "555-0134").await;
    let ids = test.ask(&[nora, otto], &["burn day"]).await;
    let mut olga = test.olga().await;
    let yes = format!("{} yes", ask(&test, ids[0], 0).await);
    press(&mut olga, ids[0], &yes).await;
    assert!(!olga.get(&format!("{LIST}/{}", ids[0])).await.has("a[href^='sms:']"));
    let own = format!("{LIST}/{}", ids[1]);
    let links = |page: Answer| page.attributes("a[href^='sms:']", "href");
    assert!(links(olga.get(&own).await)[0].contains("answer%2F"));
    test.at(request(&test, ids[1]).await.closes_at);
    let mut olga = test.olga().await;
    let late = links(olga.get(&own).await);
    assert!(late.len() == 1 && !late[0].contains("answer%2F"), "the link takes no answer any more: {late:?}");
    assert_eq!(olga.post(&format!("{own}/withdraw"), &[]).await.status, 303);
    assert!(links(olga.get(&own).await).is_empty());
}

#[tokio::test]
async fn people_are_found_by_name_and_organization_and_each_is_listed_once() {
    let test = TestApp::planned().await;
    let tomas = person(&test, "Tomás Brandt", "", "").await;
    let ray = person(&test, "Ray Ortiz", "ray@example.org", "").await;
    test.sql("insert into organization (id, name, created_at) values (77, 'Alder Bend Hardware', 0);");
    test.sql(&format!("update person set organization_id = 77 where id = {ray};"));
    test.ask(&[tomas, ray], &["burn day"]).await;
    position(&test, tomas, "Can you park cars?", "", &["burn day"]).await;
    let mut olga = test.olga().await;
    let all = olga.get(LIST).await;
    assert_eq!((all.count("[data-request]"), all.count("[data-caller]"), all.count("[data-call]")), (3, 1, 2));
    for (q, many) in [
        ("tomas", 2),
        ("TOMÁS  brandt", 2),
        ("hardware", 1),
        ("ortiz bend", 1),
        ("ortiz brandt", 0),
        ("nobody", 0),
        ("%", 0),
    ] {
        let page = olga.get(&format!("{LIST}?q={}", query_escape(q))).await;
        assert_eq!((page.status, page.count("[data-request]")), (200, many), "{q}");
        assert_eq!(page.value("q"), q, "what was typed is still there");
        assert_eq!(page.has(".empty"), many == 0, "{q}");
    }
    let waiting = olga.get(&format!("{LIST}?state=waiting&kind=post&q=ray")).await;
    assert_eq!(waiting.count("[data-request]"), 1);
    assert_eq!(olga.get(&format!("{LIST}?kind=guest")).await.count("[data-request]"), 0);
}

/// People with a question each: a third has no email, a third has answered.
fn ask_many(test: &TestApp, many: usize) {
    test.sql(&format!(
        "begin;
         with recursive n (i) as (select 1 union all select i + 1 from n where i < {many})
         insert into person (id, name, mail, phone, search, created_at)
         select 10000 + i, 'Person ' || i || ' Castellane', iif(i % 3 = 0, '', 'p' || i || '@example.org'),
                '(555) 555-0133', 'person ' || i, 0 from n;
         insert into request (id, event_id, person_id, kind, question, facts, words, closes_at, asked_at, asked_by)
         select id, 1, id, 'post', 'Can you walk the spectator line on burn day and help to pack up after it?',
                '[[\"Time\",\"07:00 to 13:00\"],[\"Bring\",\"Boots\"]]', '', 1811800000 + id, 1795600000, 1
         from person where id > 10000;
         insert into ask (request_id, for_on, date_revision)
         select r.id, d.value, 1 from request r, json_each('[\"2027-06-05\",\"2027-06-12\"]') d where r.id > 10000;
         insert into answer (ask_id, said, channel, at)
         select a.id, 'yes', 'link', 1795600500 from ask a where a.request_id > 10000 and a.request_id % 3 = 2;
         commit;"
    ));
}

#[tokio::test]
async fn thousands_of_questions_make_a_page_that_a_phone_loads() {
    let test = TestApp::planned().await;
    ask_many(&test, 5_000);
    let mut olga = test.olga().await;
    let first = olga.get(LIST).await;
    assert!(first.body.len() < 200_000, "{} bytes", first.body.len());
    let numbers =
        |page: &Answer, part: &str| -> BTreeSet<String> { page.attributes(part, "data-request").into_iter().collect() };
    let (call, wait, done) =
        ("[data-caller] [data-request]", "#waiting ~ ul > [data-request]", "#answered [data-request]");
    for part in [call, wait, done] {
        let shown = numbers(&first, part).len();
        assert!((20..=100).contains(&shown), "{part}: {shown}");
    }
    // Each page of a part goes on where the one before ended.
    for (part, name) in [(call, "calls"), (wait, "waiting"), (done, "answered")] {
        let mut seen = numbers(&first, part);
        let mut page = olga.get(LIST).await;
        for number in 2..4 {
            let more = page.attributes(&format!("a[href*='{name}={number}']"), "href");
            assert_eq!(more, [format!("{LIST}?{name}={number}#{name}")]);
            page = olga.get(more[0].split('#').next().unwrap()).await;
            assert!(page.body.len() < 200_000, "{} bytes", page.body.len());
            let shown = numbers(&page, part);
            assert!(shown.len() >= 20 && seen.is_disjoint(&shown), "{name} {number}");
            seen.extend(shown);
        }
        let last = numbers(&olga.get(&format!("{LIST}?{name}=99999")).await, part);
        assert!(!last.is_empty() && seen.is_disjoint(&last), "past the end is the last page");
    }
    let found = olga.get(&format!("{LIST}?q=person+4999")).await;
    assert_eq!(found.count("[data-request]"), 1);
}

#[tokio::test]
async fn one_person_with_many_questions_fills_no_page_alone() {
    let test = TestApp::planned().await;
    ask_many(&test, 300);
    test.sql("update request set person_id = 10003 where id > 10000;");
    let page = test.olga().await.get(LIST).await;
    assert_eq!(page.count("[data-caller]"), 1);
    assert!((1..=20).contains(&page.count("[data-call]")), "{}", page.count("[data-call]"));
}

#[tokio::test]
async fn what_was_kept_is_read_again_once_something_changed() {
    let test = TestApp::planned().await;
    let nora = person(&test, "Nora Stone", "", "").await;
    let id = test.ask(&[nora], &["burn day"]).await[0];
    let (mut olga, mut lead) = (test.olga().await, test.somebody(Role::CrewLead).await);
    assert_eq!(called(&olga.get(LIST).await).len(), 1);
    // Somebody else answers, and then another program changes the store.
    let say = format!("{} yes", ask(&test, id, 0).await);
    press(&mut lead, id, &say).await;
    assert!(called(&olga.get(LIST).await).is_empty());
    test.sql("update person set name = 'Nora Vale', surname = 'Vale' where name = 'Nora Stone';");
    assert!(olga.get(LIST).await.text("#answered").contains("Nora Vale"));
}

#[tokio::test]
async fn a_yes_to_a_position_offers_to_close_other_questions_for_the_same_hours() {
    let test = TestApp::planned().await;
    let ray = person(&test, "Ray Ortiz", "ray@example.org", "555-0133").await;
    let gate = position(&test, ray, "Can you open the gate?", "07:00 to 13:00", &["burn day"]).await;
    let cars = position(&test, ray, "Can you park cars?", "08:00 to 10:00", &["burn day"]).await;
    let evening = position(&test, ray, "Can you sweep the lot?", "13:00 to 15:00", &["burn day"]).await;
    let both = position(&test, ray, "Can you carry water?", "08:00 to 10:00", &["burn day", "rain date"]).await;
    deliver(&test);
    let say = format!("{} yes", ask(&test, gate, 0).await);
    let link = test.answer_path(gate);
    assert_eq!(test.stranger().post(&link, &[("say", &say)]).await.status, 303);
    let open = async |id: i64| !request(&test, id).await.is_withdrawn;
    assert!(open(cars).await, "an answer by itself closes nothing");

    let mut olga = test.olga().await;
    let page = olga.get(LIST).await;
    assert_eq!(page.attributes("[data-settled]", "data-settled"), [gate.to_string()]);
    let offered = page.text("[data-settled]");
    assert!(offered.contains("park cars") && !offered.contains("sweep") && !offered.contains("water"), "{offered}");
    let close = format!("{LIST}/{gate}/close-others");
    assert!(olga.get(&format!("{LIST}/{gate}")).await.has(&format!("#settled form[action='{close}']")));
    for other in [cars, evening, both] {
        assert!(!olga.get(&format!("{LIST}/{other}")).await.has("#settled"));
    }
    let mut lead = test.somebody(Role::CrewLead).await;
    assert!(!lead.get(LIST).await.has("#settled") && !lead.get(&format!("{LIST}/{gate}")).await.has("#settled"));
    assert_eq!(lead.post(&close, &[]).await.status, 403);
    assert!(open(cars).await);

    deliver(&test);
    assert_eq!(olga.post(&close, &[("back", "list")]).await.location(), LIST);
    assert!(!open(cars).await && open(evening).await && open(both).await && open(gate).await);
    assert!(waiting(&test).is_empty(), "whoever said yes isn't told that we don't need them");
    let page = olga.get(LIST).await;
    assert!(!page.has("#tell") && !page.has("#settled"), "{}", page.text("main"));
    assert!(test.stranger().get(&test.answer_path(cars)).await.has("[data-note=taken-back]"));

    // Undone: the question is open as before, and nobody need be told.
    let undo = page.keyed_form_at(".said form");
    assert_eq!(olga.submit(&format!("{LIST}/reopen"), &undo).await.status, 303);
    assert!(open(cars).await && waiting(&test).is_empty());
    let page = olga.get(LIST).await;
    assert!(!page.has("#tell") && page.has("#settled"));
    assert!(test.stranger().get(&test.answer_path(cars)).await.has("button[name=say]"));
    let query = format!("select verb from journal where subject = 'question' and subject_id = {cars} order by id");
    let verbs: Vec<[String; 1]> = rows(&test, &query);
    assert_eq!(verbs, [["asked"], ["withdrew"], ["reopened"]]);
    let before = test.dump();
    olga.post(&format!("{LIST}/reopen"), &[("request", &cars.to_string())]).await;
    assert_eq!(before, test.dump(), "it is open already");
}

#[tokio::test]
async fn a_press_on_the_phone_says_what_else_could_be_closed_and_a_question_that_never_went_out_is_asked_again() {
    let test = TestApp::planned().await;
    let ray = person(&test, "Ray Ortiz", "ray@example.org", "").await;
    let gate = position(&test, ray, "Can you open the gate?", "07:00 to 13:00", &["burn day"]).await;
    let cars = position(&test, ray, "Can you park cars?", "08:00 to 10:00", &["burn day"]).await;
    let mut olga = test.olga().await;
    let say = format!("{} yes", ask(&test, gate, 0).await);
    press(&mut olga, gate, &say).await;
    let said = olga.get(LIST).await.said();
    let mut lead = test.somebody(Role::CrewLead).await;
    press(&mut lead, gate, &say).await;
    assert_ne!(said, lead.get(LIST).await.said(), "only the education officer can close them");

    assert_eq!(waiting(&test), [format!("ask/{cars}"), format!("confirm/{gate}")]);
    olga.post(&format!("{LIST}/{gate}/close-others"), &[("back", "list")]).await;
    assert_eq!(waiting(&test), [format!("confirm/{gate}")]);
    let undo = olga.get(LIST).await.keyed_form_at(".said form");
    olga.submit(&format!("{LIST}/reopen"), &undo).await;
    assert_eq!(waiting(&test), [format!("confirm/{gate}"), format!("ask/{cars}")]);
    assert!(!olga.get(LIST).await.has("#tell"));
}

#[tokio::test]
async fn nothing_is_closed_while_something_else_changed_that_they_do_not_know() {
    let test = TestApp::planned().await;
    let ray = person(&test, "Ray Ortiz", "ray@example.org", "").await;
    let gate = position(&test, ray, "Can you open the gate?", "07:00 to 13:00", &["burn day"]).await;
    let cars = position(&test, ray, "Can you park cars?", "08:00 to 10:00", &["burn day"]).await;
    deliver(&test);
    let say = format!("{} yes", ask(&test, gate, 0).await);
    test.stranger().post(&test.answer_path(gate), &[("say", &say)]).await;
    deliver(&test);
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/edit").await.form().with("burn_time", "13:00").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    let close = format!("{LIST}/{gate}/close-others");
    assert_eq!(olga.post(&close, &[]).await.location(), LIST);
    assert!(!request(&test, cars).await.is_withdrawn);
    assert!(olga.get(LIST).await.said().contains("Ray Ortiz"));
    deliver(&test);
    olga.post(&close, &[]).await;
    assert!(request(&test, cars).await.is_withdrawn, "they know the new hour now");
}

#[tokio::test]
async fn who_was_told_that_a_question_is_withdrawn_is_listed_once_it_is_open_again() {
    let test = TestApp::planned().await;
    let wren = person(&test, "Wren Ibarra", "wren@example.org", "").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    deliver(&test);
    let mut olga = test.olga().await;
    let (withdraw, reopen, number) = (format!("{LIST}/{id}/withdraw"), format!("{LIST}/reopen"), id.to_string());
    let own = format!("{LIST}/{id}");
    assert!(!olga.get(&own).await.has(&format!("form[action='{reopen}']")));
    olga.post(&withdraw, &[]).await;
    assert!(olga.get(&own).await.has(&format!("form[action='{reopen}']")));
    assert_eq!(waiting(&test), [format!("withdrawn/{id}")]);
    // In time: that email stays here.
    assert_eq!(olga.post(&reopen, &[("request", &number)]).await.location(), own);
    assert!(waiting(&test).is_empty() && !olga.get(LIST).await.has("#tell"));
    // Too late: they think we don't need them.
    olga.post(&withdraw, &[]).await;
    deliver(&test);
    olga.post(&reopen, &[("request", &number)]).await;
    assert!(!request(&test, id).await.is_withdrawn);
    assert_eq!(olga.get(LIST).await.attributes("#tell input[type=checkbox]", "value"), [number.as_str()]);
    // Not by anyone else, and not another event's.
    assert_eq!(test.somebody(Role::CrewLead).await.post(&reopen, &[("request", &number)]).await.status, 403);
}

#[tokio::test]
async fn what_changed_while_a_question_was_closed_is_listed_once_it_is_open_again() {
    let test = TestApp::planned().await;
    let ray = person(&test, "Ray Ortiz", "ray@example.org", "555-0133").await;
    let gate = position(&test, ray, "Can you open the gate?", "07:00 to 13:00", &["burn day"]).await;
    let cars = position(&test, ray, "Can you park cars?", "08:00 to 10:00", &["burn day"]).await;
    deliver(&test);
    let say = format!("{} yes", ask(&test, gate, 0).await);
    assert_eq!(test.stranger().post(&test.answer_path(gate), &[("say", &say)]).await.status, 303);
    deliver(&test);
    let mut olga = test.olga().await;
    olga.post(&format!("{LIST}/{gate}/close-others"), &[]).await;
    let closed = request(&test, cars).await;
    assert!(closed.is_withdrawn);
    let event = burnday::events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    let lines = vec![("Time".to_owned(), "09:00 to 11:00".to_owned())];
    let new = lines.clone();
    let edit =
        test.app.db.write(move |tx| Box::pin(async move { asks::refresh(tx, &event, &closed, &new, NOW).await }));
    assert!(!edit.await.unwrap(), "no one needs an update while it is closed");
    assert_eq!(request(&test, cars).await.facts, lines);
    assert!(!olga.get(LIST).await.has("#tell"));
    olga.post(&format!("{LIST}/reopen"), &[("request", &cars.to_string())]).await;
    assert!(!request(&test, cars).await.is_withdrawn);
    assert_eq!(olga.get(LIST).await.attributes("#tell input[type=checkbox]", "value"), [cars.to_string()]);
}

#[tokio::test]
async fn a_question_stays_withdrawn_while_a_newer_one_asks_the_same() {
    let test = TestApp::planned().await;
    let wren = person(&test, "Wren Ibarra", "wren@example.org", "").await;
    let old = test.ask(&[wren], &["burn day"]).await[0];
    deliver(&test);
    let mut olga = test.olga().await;
    olga.post(&format!("{LIST}/{old}/withdraw"), &[]).await;
    let new = test.ask(&[wren], &["burn day"]).await[0];
    assert_ne!(old, new);
    let (own, reopen, number) = (format!("{LIST}/{old}"), format!("{LIST}/reopen"), old.to_string());
    let button = format!("form[action='{reopen}']");
    let page = olga.get(&own).await;
    assert!(!page.has(&button) && page.has("[data-replaced]"));
    let before = test.dump();
    olga.post(&reopen, &[("request", &number)]).await;
    assert_eq!(before, test.dump(), "from a page that is still open");
    // Another question is none of its business.
    olga.post(&format!("{LIST}/{new}/withdraw"), &[]).await;
    position(&test, wren, "Can you park cars?", "08:00 to 10:00", &["burn day"]).await;
    let page = olga.get(&own).await;
    assert!(page.has(&button) && !page.has("[data-replaced]"));
    olga.post(&reopen, &[("request", &number)]).await;
    assert!(!request(&test, old).await.is_withdrawn);
}
