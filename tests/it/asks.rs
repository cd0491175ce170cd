//! Questions, their links, the answers, and what a new date does to them.

use crate::support::{BURN_ON, HeldWriter, NOW, TestApp};
use burnday::accounts::Role;
use burnday::asks::{self, Request, Said};
use burnday::events::LIVE_BURN;
use burnday::web::form;
use burnday::web::link::{Opens, Secret, without_links};
use burnday::web::words::Reader;
use time::Duration;
use time::macros::{date, datetime};

async fn request(test: &TestApp, id: i64) -> Request {
    asks::find(test.app.db.read(), id).await.unwrap().unwrap()
}

/// What the store says, by rows.
pub fn rows<const N: usize>(test: &TestApp, query: &str) -> Vec<[String; N]> {
    let path = test.folder.path().join(burnday::db::FILE);
    let mut shell = std::process::Command::new("sqlite3");
    let out = shell.args(["-readonly", "-separator", "\t"]).arg(path).arg(query).output().unwrap();
    let rows = String::from_utf8(out.stdout).unwrap();
    let row = |line: &str| line.split('\t').map(str::to_owned).collect::<Vec<_>>().try_into().unwrap();
    rows.lines().map(row).collect()
}

/// An email in the outbox.
#[derive(Debug)]
struct Mail {
    /// What it is: the first word of its key.
    what: String,
    state: String,
    subject: String,
}

fn mails(test: &TestApp) -> Vec<Mail> {
    let rows = rows(test, "select dedup, state, subject from mail order by id");
    let mail =
        |[key, state, subject]: [String; 3]| Mail { what: key.split('/').next().unwrap().into(), state, subject };
    rows.into_iter().map(mail).collect()
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[tokio::test]
async fn mails_are_shown_before_they_go_and_each_person_is_asked_once() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let lena = test.person("Lena Ashby", "").await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/replies/new?kind=post").await.form();
    let form = form.with("question", "Can you run the timing desk?").with("words", "It takes four hours.");
    let form = form.and("person", &wren.to_string()).and("person", &lena.to_string());

    let before = test.dump();
    let seen = olga.submit("/events/1/replies/new", &form.clone().and("act", "see")).await;
    assert_eq!(seen.status, 200);
    assert_eq!(before, test.dump(), "a preview changes nothing");
    let shown = seen.text(".letter");
    let day = Reader::Public.day(BURN_ON);
    for part in ["Wren", "Can you run the timing desk?", &day, "It takes four hours."] {
        assert!(shown.contains(part), "{part}: {shown}");
    }
    assert!(!shown.contains("/answer/"), "no one else sees the link: {shown}");
    assert_eq!(seen.mark("[data-ready]", "ready"), "1");
    assert_eq!(seen.all("[data-no-mail]"), ["Lena Ashby"]);

    let asked = olga.submit("/events/1/replies/new", &form.clone().and("act", "ask")).await;
    assert_eq!((asked.status, asked.location()), (303, "/events/1/replies"));
    let page = olga.get("/events/1/replies").await;
    assert!(!page.said().is_empty());
    assert_eq!((page.count("[data-request]"), mails(&test).len()), (2, 1));
    assert_eq!(
        page.attributes("[data-request] [data-day='2027-06-05']", "data-said"),
        ["", ""],
        "both are waiting for a reply"
    );
    let (calls, day) = (page.all("[data-caller]"), Reader::App.day(BURN_ON));
    assert!(calls.len() == 1 && calls[0].contains("Lena Ashby") && calls[0].contains(&day), "{calls:?}");
    assert_eq!(page.attributes("[data-caller] [data-call]", "data-why"), ["no-mail"]);
    let sent = without_links(&test.posted(1).await[0].text, "|");
    assert!(
        sent.split('|').all(|part| shown.contains(&one_line(part))),
        "it goes out as it was shown\n{sent}\n{shown}"
    );
    insta::assert_snapshot!("question-letter", sent.replace('|', "[link]"));

    olga.submit("/events/1/replies/new", &form.and("act", "ask")).await;
    let page = olga.get("/events/1/replies").await;
    assert!(!page.said().is_empty());
    assert_eq!((page.count("[data-request]"), mails(&test).len()), (2, 1), "each is asked once");
}

#[tokio::test]
async fn mistakes_are_told_beside_the_fields_and_nobody_is_asked() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/replies/new?kind=guest").await.form();
    let form = form.with("question", " ").without("date").with("closes_on", "2026-01-01");
    let answer = olga.submit("/events/1/replies/new", &form.and("act", "ask")).await;
    assert_eq!(answer.status, 422);
    let wrong = answer.mistakes();
    assert_eq!(wrong, ["question", "date", "closes_on", "person"]);
    let told: Vec<String> = wrong.iter().map(|field| format!("{field} → {}", answer.mistake(field))).collect();
    insta::assert_snapshot!("asking-mistakes", told.join("\n"));
    assert_eq!(answer.value("closes_on"), "2026-01-01");
    assert!(mails(&test).is_empty());
}

#[tokio::test]
async fn a_link_records_nothing_until_a_button_is_pressed() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    let ask = request(&test, id).await.asks[0].id;
    let path = test.answer_path(id);
    let mut phone = test.stranger();

    let before = test.dump();
    let page = phone.get(&path).await;
    assert_eq!(page.status, 200);
    assert_eq!(page.header("referrer-policy"), "no-referrer");
    assert_eq!(page.header("cache-control"), "no-store");
    assert!(page.header("set-cookie").is_empty());
    assert!(!page.body.contains("<script"), "the page needs no script");
    let day = Reader::Public.day(BURN_ON);
    for says in ["Can you walk the spectator line", &day, "Boots", "Olga Wren", "555-0117"] {
        assert!(page.says(says), "{says}");
    }
    let hello = page.text(".hello");
    assert!(hello.contains("Wren") && !hello.contains("Ibarra"), "{hello}");
    assert!(page.has("[data-note=until-pressed]") && !page.has("[data-stands]"));
    let buttons = ["yes", "no", "maybe"].map(|say| format!("{ask} {say}"));
    assert_eq!(page.attributes("button[name=say]", "value"), buttons);
    assert_eq!(before, test.dump());

    let pressed = phone.post(&path, &[("say", &format!("{ask} yes")), ("note", "From eight on.")]).await;
    assert_eq!((pressed.status, pressed.location()), (303, path.as_str()));
    assert_eq!(phone.get(&path).await.mark("[data-stands][data-day='2027-06-05']", "stands"), "yes");
    let stands = request(&test, id).await;
    let answer = stands.stands_for(date!(2027 - 06 - 05)).unwrap();
    assert_eq!((answer.said, answer.note.as_str()), (Said::Yes, "From eight on."));
    assert!(stands.is_answered());
    let sent = mails(&test);
    assert_eq!(sent.len(), 2, "the question and the confirmation: {sent:?}");
    assert_eq!(sent[0].state, "cancelled", "it hadn't gone out, and is answered");
    assert_eq!(sent[1].what, "confirm");
    assert!(sent[1].subject.contains(&day) && sent[1].subject.contains("yes"), "{sent:?}");

    // A change of mind; both are kept.
    phone.post(&path, &[("say", &format!("{ask} no"))]).await;
    let now = request(&test, id).await;
    assert_eq!(now.asks[0].answers.len(), 2);
    assert_eq!(now.stands_for(date!(2027 - 06 - 05)).unwrap().said, Said::No);
    let history = test.olga().await.get(&format!("/events/1/replies/{id}")).await;
    assert_eq!(history.attributes("[data-way=link]", "data-answer"), ["no", "yes"], "newest first");
    let query = format!("select actor, verb from journal where subject = 'question' and subject_id = {id} order by id");
    let journal: Vec<[String; 2]> = rows(&test, &query);
    assert_eq!(journal, [["account", "asked"], ["link", "answered"], ["link", "answered"]]);
    assert_eq!(history.count("details .list > li"), journal.len(), "the page shows all of it");
}

#[tokio::test]
async fn both_dates_take_one_press_and_then_the_answer_comes_first_and_one_date_can_change() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day", "rain date"]).await[0];
    let path = test.answer_path(id);
    let page = test.stranger().get(&path).await;
    assert_eq!((page.count("button[data-both]"), page.count("button.main")), (1, 1), "one big button");
    assert_eq!(page.attributes("fieldset.picks[data-day]", "data-day"), ["2027-06-05", "2027-06-12"]);
    assert!(page.text("[data-live-burn]").contains(LIVE_BURN));
    assert!(!page.has("[data-answered]") && !page.has("[data-change]"));
    assert_eq!(test.stranger().post(&path, &[("say", "both yes")]).await.status, 303);

    let page = test.stranger().get(&path).await;
    assert!(!page.has("[data-both]") && page.count("button.main") == 0, "there is nothing left to press");
    let place = |mark: &str| page.body.find(mark).unwrap_or_else(|| panic!("{mark}: {}", page.body));
    assert!(place("data-answered") < place("<dl class=\"facts"), "the answer comes first");
    assert_eq!(page.attributes("[data-answered] [data-stands=yes]", "data-day"), ["2027-06-05", "2027-06-12"]);
    assert_eq!(page.count("[data-answered] b"), 1, "one sentence for both dates");
    assert!(page.has("a[download]"));
    assert_eq!(page.count("details[data-change]:not([open]) button[aria-pressed=true]"), 2);

    let rain = request(&test, id).await.asks[1].id;
    assert_eq!(test.stranger().post(&path, &[("say", &format!("{rain} no"))]).await.status, 303);
    let page = test.stranger().get(&path).await;
    assert_eq!(page.attributes("[data-answered] [data-stands]", "data-stands"), ["yes", "no"]);
    assert_eq!(page.count("[data-answered] b"), 2, "each date has its own");
    let now = request(&test, id).await;
    let said = |on| now.stands_for(on).unwrap().said;
    assert_eq!((said(BURN_ON), said(date!(2027 - 06 - 12))), (Said::Yes, Said::No));
    assert_eq!((now.asks[0].answers.len(), now.asks[1].answers.len()), (1, 2), "all that was said is kept");
    // A mistake opens the fold, so that no one has to look for it.
    let wrong = test.stranger().post(&path, &[("say", "hm"), ("note", "after eight")]).await;
    assert_eq!(wrong.status, 422);
    assert!(wrong.has("details[data-change][open]"), "{}", wrong.body);
}

#[tokio::test]
async fn with_one_date_answered_the_other_is_still_asked() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day", "rain date"]).await[0];
    let path = test.answer_path(id);
    let burn = request(&test, id).await.asks[0].id;
    assert_eq!(test.stranger().post(&path, &[("say", &format!("{burn} yes"))]).await.status, 303);
    let page = test.stranger().get(&path).await;
    assert_eq!(page.attributes("[data-answered] [data-stands=yes]", "data-day"), ["2027-06-05"]);
    assert_eq!(page.attributes("form.answers > fieldset[data-day]", "data-day"), ["2027-06-12"]);
    assert_eq!(page.attributes("details[data-change]:not([open]) fieldset[data-day]", "data-day"), ["2027-06-05"]);
    assert!(!page.has("[data-both]") && page.has("[data-note=until-pressed]"));
}

#[tokio::test]
async fn a_press_that_makes_no_sense_is_told_and_what_was_typed_stays() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    let path = test.answer_path(id);
    let ask = request(&test, id).await.asks[0].id;
    let long = "x".repeat(1_001);
    let deputy = format!("{ask} deputy");
    let yes = format!("{ask} yes");
    for (say, note, wrong) in [("", "hm", "say"), (&deputy, "hm", "say"), (&yes, &long, "note")] {
        let answer = test.stranger().post(&path, &[("say", say), ("note", note)]).await;
        assert_eq!((answer.status, answer.mistakes()), (422, vec![wrong.to_owned()]), "{say}");
        assert!(answer.has(".summary[data-note=nothing-recorded]"));
        assert_eq!(answer.text("textarea[name=note]"), note, "what was typed is still there");
    }
    // Another question's date.
    let other = test.person("Lena Ashby", "lena@example.org").await;
    let other = test.ask(&[other], &["burn day"]).await[0];
    let foreign = request(&test, other).await.asks[0].id;
    test.stranger().post(&path, &[("say", &format!("{foreign} yes"))]).await;
    assert!(request(&test, other).await.asks[0].answers.is_empty());
    assert!(request(&test, id).await.asks[0].answers.is_empty());
}

#[tokio::test]
async fn each_date_has_its_own_answer_and_only_that_counts_after_a_move() {
    let test = TestApp::planned().await;
    let both = test.person("Wren Ibarra", "wren@example.org").await;
    let one = test.person("Lena Ashby", "lena@example.org").await;
    let no = test.person("Odette Marsh", "odette@example.org").await;
    let both = test.ask(&[both], &["burn day", "rain date"]).await[0];
    let rest = test.ask(&[one, no], &["burn day"]).await;
    for (id, say) in [(both, "yes"), (rest[0], "yes"), (rest[1], "no")] {
        for ask in request(&test, id).await.asks {
            test.stranger().post(&test.answer_path(id), &[("say", &format!("{} {say}", ask.id))]).await;
        }
    }
    let mut olga = test.olga().await;
    let preview = olga.get("/events/1/move?burn_on=2027-06-12&rain_on=2027-06-19").await;
    assert_eq!(preview.mark("[data-tell]", "tell"), "2");
    let again = preview.text("p > label.tick");
    assert!(preview.has("p > label.tick > input[name=again]") && again.contains('2'), "{again}");
    let to = [("burn_on", "2027-06-12"), ("rain_on", "2027-06-19"), ("version", "1")];
    olga.post("/events/1/move", &to).await;
    assert!(!olga.get("/events/1").await.said().is_empty());
    assert_eq!(
        mails(&test).iter().filter(|mail| mail.what == "change").count(),
        2,
        "both people who counted on it are told"
    );

    let old = date!(2027 - 06 - 05);
    for id in [both, rest[0], rest[1]] {
        assert!(request(&test, id).await.stands_for(old).is_none(), "nothing counts once the date has changed");
    }
    assert_eq!(request(&test, both).await.stands_for(date!(2027 - 06 - 12)).unwrap().said, Said::Yes);
    assert!(request(&test, rest[0]).await.is_stale());
    assert!(!request(&test, rest[1]).await.is_stale(), "people who said no are left alone");
    let page = olga.get("/events/1/replies").await;
    let lapsed = format!("[data-request='{}'] [data-day='2027-06-05'][data-said=yes][data-lapsed]", rest[0]);
    assert!(page.has(&lapsed), "{}", page.body);
    assert_eq!(test.stranger().get(&test.answer_path(rest[0])).await.mark("[data-note=moved]", "day"), "2027-06-12");

    // The old yes doesn't count after moving back, either.
    let back = [("burn_on", "2027-06-05"), ("rain_on", ""), ("version", "2")];
    olga.post("/events/1/move", &back).await;
    assert!(request(&test, rest[0]).await.stands_for(old).is_none());
    assert!(request(&test, both).await.stands_for(old).is_none());

    let again = olga.post("/events/1/replies/again", &[("request", &rest[0].to_string())]).await;
    assert_eq!(again.status, 303);
    let asked = request(&test, rest[0]).await;
    assert_eq!(asked.live().count(), 1);
    assert!(!asked.is_answered());
    let page = test.stranger().get(&test.answer_path(rest[0])).await;
    assert_eq!(page.attributes("fieldset[data-day]", "data-day"), ["2027-06-05"]);
}

#[tokio::test]
async fn a_changed_rain_date_makes_answers_to_the_old_one_stale_too() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["rain date"]).await[0];
    let ask = request(&test, id).await.asks[0].id;
    test.stranger().post(&test.answer_path(id), &[("say", &format!("{ask} yes"))]).await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/edit").await.form().with("rain_on", "2027-06-13").and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
    assert!(request(&test, id).await.is_stale());
}

#[tokio::test]
async fn moving_asks_again_if_wanted_and_takes_back_mail_for_the_old_date() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    let to = [("burn_on", "2027-06-12"), ("rain_on", ""), ("version", "1"), ("again", "yes")];
    test.olga().await.post("/events/1/move", &to).await;
    let asked = request(&test, id).await;
    assert_eq!(asked.live().map(|ask| ask.for_on).collect::<Vec<_>>(), [date!(2027 - 06 - 12)]);
    let sent = mails(&test);
    let waits: Vec<_> = sent.iter().filter(|mail| mail.state == "waiting").collect();
    assert_eq!(waits.len(), 1, "{sent:?}");
    assert_eq!(waits[0].subject, "Can you walk the spectator line on burn day?");
}

#[tokio::test]
async fn after_the_closing_time_a_link_says_what_stands_and_whom_to_ring() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    let ask = request(&test, id).await.asks[0].id;
    test.at(request(&test, id).await.closes_at);
    let page = test.stranger().get(&test.answer_path(id)).await;
    assert!(page.has("[data-note=closed]") && !page.has("form"));
    assert_eq!(page.attributes("a[href^='tel:']", "href"), ["tel:555-0117"]);
    test.stranger().post(&test.answer_path(id), &[("say", &format!("{ask} yes"))]).await;
    assert!(request(&test, id).await.asks[0].answers.is_empty());
    // It can still be recorded by hand.
    let fields = [("ask", ask.to_string()), ("said", "yes".into()), ("way", "phone".into())];
    let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
    let mut lead = test.somebody(Role::CrewLead).await;
    let path = format!("/events/1/replies/{id}/answers");
    let refused = lead.post(&path, &fields).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["evidence".to_owned()]));
    let with_evidence = [fields.as_slice(), &[("evidence", "called Thu 19:40, spoke to her")]].concat();
    assert_eq!(lead.post(&path, &with_evidence).await.status, 303);
    let answer = request(&test, id).await.asks[0].answers[0].clone();
    assert_eq!(answer.recorded_by.as_deref(), Some("Somebody, crew lead"));
    assert_eq!(answer.at, test.app.clock.now());
}

#[tokio::test]
async fn a_question_taken_back_says_so_and_counts_no_more() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    let ask = request(&test, id).await.asks[0].id;
    test.stranger().post(&test.answer_path(id), &[("say", &format!("{ask} yes"))]).await;
    test.olga().await.post(&format!("/events/1/replies/{id}/withdraw"), &[]).await;
    assert!(request(&test, id).await.stands_for(date!(2027 - 06 - 05)).is_none());
    assert!(test.stranger().get(&test.answer_path(id)).await.has("[data-note=taken-back]"));
    test.stranger().post(&test.answer_path(id), &[("say", &format!("{ask} no"))]).await;
    assert_eq!(request(&test, id).await.asks[0].answers.len(), 1);
    // Someone who said yes is told once, and the entry leaves their calendar.
    test.olga().await.post(&format!("/events/1/replies/{id}/withdraw"), &[]).await;
    let told: Vec<_> = mails(&test).into_iter().filter(|mail| mail.state == "waiting").collect();
    assert_eq!(told.len(), 1, "{told:?}");
    assert_eq!(told[0].what, "withdrawn");
    assert!(told[0].subject.contains(&Reader::Public.day(BURN_ON)), "{told:?}");
    let dump = test.dump();
    assert!(dump.contains("METHOD:CANCEL") && dump.contains("SEQUENCE:4"), "{dump}");
}

/// What the page of a question shows is old by the time its write runs.
#[tokio::test]
async fn who_answers_while_a_question_is_withdrawn_is_told() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    let (mut stranger, mut olga) = (test.stranger(), test.olga().await);
    let (path, say) = (test.answer_path(id), format!("{} yes", request(&test, id).await.asks[0].id));
    let held = HeldWriter::of(&test.app).await;
    let answer = tokio::spawn(async move { stranger.post(&path, &[("say", &say)]).await });
    held.until_wait(1).await;
    let withdraw = tokio::spawn(async move { olga.post(&format!("/events/1/replies/{id}/withdraw"), &[]).await });
    held.until_wait(2).await;
    held.release();
    assert_eq!((answer.await.unwrap().status, withdraw.await.unwrap().status), (303, 303));
    assert_eq!(request(&test, id).await.asks[0].answers.len(), 1);
    let told: Vec<_> = mails(&test).into_iter().filter(|mail| mail.state == "waiting").collect();
    assert_eq!(told.last().unwrap().what, "withdrawn", "{told:?}");
}

/// ASVS 5.0, the web application security standard, asks for it; from memory.
#[tokio::test]
async fn links_that_open_nothing_look_alike_to_the_byte() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    let key = &test.app.link_key;
    let wrong_purpose = format!("/answer/{}", key.secret(Opens::Calendar, id, 1).reveal());
    let other_number = format!("/answer/{}", key.secret(Opens::Question, id, 2).reveal());
    let account_link = format!("/invitation/{}", key.secret(Opens::Question, id, 1).reveal());
    let unknown = format!("/answer/{}", Secret::new().reveal());
    let mut pages = Vec::new();
    for path in [&wrong_purpose, &other_number, &account_link, &unknown, &"/answer/short".to_owned()] {
        let page = test.stranger().get(path).await;
        assert_eq!(page.status, 404, "{path}");
        pages.push(page.body);
    }
    test.at(datetime!(2027-09-01 12:00 UTC));
    let expired = test.stranger().get(&test.answer_path(id)).await;
    assert_eq!(expired.status, 404);
    pages.push(expired.body);
    assert!(pages.windows(2).all(|pair| pair[0] == pair[1]));
    assert!(pages[0].contains("555-0117"));
}

#[tokio::test]
async fn no_secret_is_in_the_store_and_nothing_there_opens_anything() {
    let test = TestApp::planned().await;
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let id = test.ask(&[wren], &["burn day"]).await[0];
    let secret = test.app.link_key.secret(Opens::Question, id, 1);
    let dump = test.dump();
    assert!(dump.contains("walk the spectator line"));
    assert!(!dump.contains(secret.reveal()));
    // Try every word in it that could be a secret.
    let words = dump.split(|c: char| !(c.is_ascii_alphanumeric() || c == '-' || c == '_')).filter(|w| w.len() == 43);
    for word in words {
        assert_eq!(test.stranger().get(&format!("/answer/{word}")).await.status, 404);
    }
}

#[tokio::test]
async fn those_who_are_silent_or_hard_to_reach_are_rung_first() {
    let test = TestApp::planned().await;
    let quick = test.person("Ada Quick", "ada@example.org").await;
    let silent = test.person("Sol Quiet", "sol@example.org").await;
    let without = test.person("Nora Stone", "").await;
    let ids = test.ask(&[quick, silent, without], &["burn day"]).await;
    let ask = request(&test, ids[0]).await.asks[0].id;
    test.stranger().post(&test.answer_path(ids[0]), &[("say", &format!("{ask} yes"))]).await;
    let calls = |page: &crate::support::Answer| page.all("[data-caller] [data-who]");
    let page = test.olga().await.get("/events/1/replies").await;
    assert_eq!(calls(&page), ["Nora Stone"]);
    test.at(NOW + Duration::days(8));
    let page = test.olga().await.get("/events/1/replies").await;
    assert_eq!(calls(&page), ["Nora Stone", "Sol Quiet"]);
    assert_eq!(page.mark(&format!("[data-call='{}'][data-why=silent]", ids[1]), "silent"), "8");
}

#[tokio::test]
async fn a_yes_goes_into_calendars_and_a_revoked_address_is_empty() {
    let test = TestApp::asked().await;
    let path = test.answer_path(1);
    let ask = request(&test, 1).await.asks[0].id;
    assert!(!test.stranger().get(&path).await.has("a[download]"));
    test.stranger().post(&path, &[("say", &format!("{ask} yes"))]).await;
    let page = test.stranger().get(&path).await;
    assert_eq!(page.attributes("a[download]", "href"), [format!("{path}/calendar")]);
    let file = test.stranger().get(&format!("{path}/calendar")).await;
    assert_eq!((file.status, file.header("content-type")), (200, "text/calendar; charset=utf-8"));
    // 10:00 in Chicago in June, from the event. No time was typed.
    assert!(file.body.contains("DTSTART:20270605T150000Z"), "{}", file.body);
    let feed = page.text(".copy").replace("http://127.0.0.1:8080", "");
    let first = test.stranger().get(&feed).await;
    assert!(first.body.contains("DTSTART:20270605T150000Z"));
    test.at(NOW + Duration::days(1));
    assert_eq!(test.stranger().get(&feed).await.body, first.body, "the same while nothing changes");

    let mut olga = test.olga().await;
    olga.post("/events/1/replies/calendar", &[("act", "new")]).await;
    let address = |page: crate::support::Answer| page.text("details .copy").replace("http://127.0.0.1:8080", "");
    let old = address(olga.get("/events/1/replies").await);
    let shown = test.stranger().get(&old).await.body;
    let entry = |start: &str| shown.split("BEGIN:VEVENT").find(|entry| entry.contains(&format!("DTSTART:{start}")));
    assert!(entry("20270605T150000Z").is_some_and(|entry| entry.contains("STATUS:CONFIRMED")), "{shown}");
    assert!(entry("20270612T150000Z").is_some_and(|entry| entry.contains("STATUS:TENTATIVE")), "{shown}");
    olga.post("/events/1/replies/calendar", &[("act", "new")]).await;
    assert_eq!(test.stranger().get(&old).await.status, 404);
    let new = address(olga.get("/events/1/replies").await);
    assert_eq!(test.stranger().get(&new).await.status, 200);
    olga.post("/events/1/replies/calendar", &[("act", "revoke")]).await;
    assert_eq!(test.stranger().get(&new).await.status, 404);
}

#[tokio::test]
async fn letters_about_one_question_are_one_conversation() {
    let test = TestApp::asked().await;
    let ask = request(&test, 1).await.asks[0].id;
    test.stranger().post(&test.answer_path(1), &[("say", &format!("{ask} yes"))]).await;
    let path = test.folder.path().join(burnday::db::FILE);
    let query = "select message_id, in_reply_to from mail order by id";
    let mut shell = std::process::Command::new("sqlite3");
    let out = shell.args(["-readonly", "-separator", "\t"]).arg(path).arg(query).output().unwrap();
    let rows = String::from_utf8(out.stdout).unwrap();
    let rows: Vec<(&str, &str)> = rows.lines().map(|line| line.split_once('\t').unwrap()).collect();
    assert_eq!(rows.len(), 2);
    assert_eq!(rows[0].1, "");
    assert_eq!(rows[1].1, rows[0].0);
}

/// Fetches every address in every email of the demo, as a mail scanner does.
#[tokio::test]
async fn fetching_the_links_of_every_mail_changes_no_row() {
    let test = TestApp::empty().await;
    burnday::demo::fill(&test.app, NOW).await.unwrap();
    let path = test.folder.path().join(burnday::db::FILE);
    let mut shell = std::process::Command::new("sqlite3");
    let out = shell.args(["-readonly"]).arg(path).arg("select text, html from mail").output().unwrap();
    let base = "http://burn.example.org";
    let all = test.app.link_key.fill(&String::from_utf8(out.stdout).unwrap(), base);
    let mut links: Vec<String> = all
        .split(base)
        .skip(1)
        .map(|rest| rest.chars().take_while(|c| c.is_ascii_alphanumeric() || "/-_".contains(*c)).collect())
        .collect();
    links.sort();
    links.dedup();
    assert!(links.len() > 35, "{links:?}");
    let before = test.dump();
    let mut scanner = test.stranger();
    for (place, link) in links.iter().enumerate() {
        // Each comes from its own address, so that none is limited.
        scanner.address = format!("192.0.2.{}:4000", place % 250).parse().unwrap();
        assert_eq!(scanner.get(link).await.status, 200, "{link}");
        let head = axum::http::Request::head(link.as_str()).body(axum::body::Body::empty()).unwrap();
        assert_eq!(scanner.send(head).await.status, 200, "{link}");
    }
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn a_reader_sees_who_said_yes_and_not_how_they_are_reached_or_what_they_need() {
    let test = TestApp::asked().await;
    let ask = request(&test, 1).await.asks[0].id;
    let answer = [("say", format!("{ask} yes")), ("access_needs", "a chair".into()), ("note", "after eight".into())];
    let answer: Vec<(&str, &str)> = answer.iter().map(|(name, value)| (*name, value.as_str())).collect();
    test.stranger().post(&test.answer_path(1), &answer).await;
    let officer = test.olga().await.get("/events/1/replies/1").await;
    assert!(officer.says("wren@example.org") && officer.says("a chair") && officer.says("after eight"));
    let mut reader = test.somebody(Role::Reader).await;
    let page = reader.get("/events/1/replies/1").await;
    assert!(page.says("Wren Ibarra") && page.has("[data-answer=yes][data-day='2027-06-05']"));
    for hidden in ["wren@example.org", "a chair", "after eight"] {
        assert!(!page.body.contains(hidden), "{hidden}");
    }
}

#[tokio::test]
async fn a_guest_names_a_deputy_with_a_title_and_says_whether_to_speak() {
    let test = TestApp::planned().await;
    let senator = test.person("Yusra Halloran", "y.halloran@example.org").await;
    let mut olga = test.olga().await;
    let form = olga.get("/events/1/replies/new?kind=guest").await.form().and("person", &senator.to_string());
    assert_eq!(olga.submit("/events/1/replies/new", &form.and("act", "ask")).await.status, 303);
    let mut db = test.app.db.read().acquire().await.unwrap();
    let id = asks::of_event(&mut db, 1).await.unwrap()[0].id;
    let ask = request(&test, id).await.asks[0].id;
    let path = test.answer_path(id);
    let page = test.stranger().get(&path).await;
    assert!(page.has("input[name=wants_to_speak]") && page.has("input[name=deputy_title]"));

    let say = format!("{ask} deputy");
    let nameless = [("say", say.as_str()), ("deputy_title", "chief of staff")];
    let refused = test.stranger().post(&path, &nameless).await;
    assert_eq!((refused.status, refused.mistakes()), (422, vec!["deputy".to_owned()]));
    assert_eq!(refused.value("deputy_title"), "chief of staff");
    let whole = [
        ("say", say.as_str()),
        ("deputy", "Nell Harrow"),
        ("deputy_title", "chief of staff"),
        ("wants_to_speak", "yes"),
    ];
    assert_eq!(test.stranger().post(&path, &whole).await.status, 303);
    let answer = request(&test, id).await.asks[0].answers[0].clone();
    assert_eq!((answer.deputy_title.as_str(), answer.wants_to_speak), ("chief of staff", Some(true)));
    let stands = test.stranger().get(&path).await.text("[data-stands=deputy][data-day='2027-06-05']");
    assert!(stands.contains("Nell Harrow, chief of staff"), "{stands}");
    let page = olga.get(&format!("/events/1/replies/{id}")).await;
    assert!(
        page.text("[data-answer=deputy][data-speaks=yes]").contains("Nell Harrow, chief of staff"),
        "{}",
        page.body
    );

    // A title without a deputy isn't saved. By hand, the form is the same.
    let by_hand = [
        ("ask", ask.to_string()),
        ("said", "yes".into()),
        ("way", "phone".into()),
        ("evidence", "called Tue 10:20".into()),
        ("deputy_title", "aide".into()),
        ("wants_to_speak", "no".into()),
    ];
    let by_hand: Vec<(&str, &str)> = by_hand.iter().map(|(name, value)| (*name, value.as_str())).collect();
    assert_eq!(olga.post(&format!("/events/1/replies/{id}/answers"), &by_hand).await.status, 303);
    let answer = request(&test, id).await.asks[0].answers[0].clone();
    assert_eq!((answer.said, answer.deputy_title.as_str(), answer.wants_to_speak), (Said::Yes, "", Some(false)));

    // Someone asked to work a position isn't asked to speak.
    let wren = test.person("Wren Ibarra", "wren@example.org").await;
    let post = test.ask(&[wren], &["burn day"]).await[0];
    let ask = request(&test, post).await.asks[0].id;
    let page = test.stranger().get(&test.answer_path(post)).await;
    assert!(!page.has("[name=wants_to_speak]") && !page.has("[name=deputy_title]"));
    let say = format!("{ask} yes");
    test.stranger().post(&test.answer_path(post), &[("say", say.as_str()), ("wants_to_speak", "yes")]).await;
    assert_eq!(request(&test, post).await.asks[0].answers[0].wants_to_speak, None);
}

/// The plan knows when it needs the answers by.
#[tokio::test]
async fn answers_are_wanted_by_the_day_on_which_the_plan_needs_them() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let mut days = Vec::new();
    for (kind, key) in [
        ("post", "crew-confirmed"),
        ("help", "volunteer-sign-up"),
        ("guest", "guest-replies"),
        ("loan", "loans-confirmed"),
        ("coverage", "press-follow-up"),
    ] {
        let form = olga.get(&format!("/events/1/replies/new?kind={kind}")).await;
        let closes_on = form.value("closes_on");
        let task = olga.get(&format!("/events/1/tasks/{}", test.task(key).await)).await;
        let due = form::day(&closes_on).unwrap();
        let due = Reader::App.day(due);
        assert!(task.all(".facts dd").iter().any(|fact| fact.contains(&due)), "{kind}: {due}: {}", task.text(".facts"));
        days.push(closes_on);
    }
    days.dedup();
    assert_eq!(days.len(), 5, "each by its own day");
}
