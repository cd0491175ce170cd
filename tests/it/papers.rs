//! Releases and the facts they refer to: what is out of date, who gets a correction,
//! and who else has read a text.

use crate::press::{
    FACTS, MOVED_TO, PRESS, approve, as_read, desk, done, fields, form_text, has_all, move_the_burn, press_day,
    refused, see, why, word,
};
use crate::support::{Answer, BURN_ON, Browser, NOW, TestApp};
use burnday::accounts::Role;
use burnday::mail::MailState;
use burnday::press;
use burnday::web::link::Opens;
use burnday::web::words;
use std::process::Command;
use time::Duration;
use time::macros::datetime;

/// An advisory that Olga approved and Ivo emailed to Zdenka. Isidore has no email and got
/// it by phone.
async fn sent() -> (TestApp, Browser, Browser) {
    let (test, mut olga, mut ivo) = desk().await;
    test.person("Isidore Blackwood", "").await;
    done(&mut olga, "/outlets/1/contacts", &[("person", "Isidore Blackwood")]).await;
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    approve(&mut olga, 1).await;
    done(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    test.tick().await;
    assert_eq!(test.stands(1).await.0, MailState::Sent);
    let mut given = word("2", "answered", "Read it out to him.");
    given.push(("version", "1"));
    done(&mut ivo, "/log", &given).await;
    (test, olga, ivo)
}

async fn change_event(olga: &mut Browser, name: &str, value: &str) {
    let form = olga.get("/events/1/edit").await.form().with(name, value).and("act", "save");
    assert_eq!(olga.submit("/events/1/edit", &form).await.status, 303);
}

async fn change_fact(ivo: &mut Browser, name: &str, value: &str) {
    let form = see(ivo, "/facts").await.form().with(name, value);
    assert_eq!(ivo.submit(&format!("{PRESS}/facts"), &form).await.status, 303);
}

/// What the store says, read beside the app.
fn ask(test: &TestApp, sql: &str) -> String {
    let path = test.folder.path().join(burnday::db::FILE);
    let shell = Command::new("sqlite3").arg("-cmd").arg(".timeout 5000").arg(path).arg(sql).output().unwrap();
    assert!(shell.status.success(), "{}", String::from_utf8_lossy(&shell.stderr));
    String::from_utf8(shell.stdout).unwrap().trim().to_owned()
}

/// What is waiting goes out this much later.
async fn later(test: &TestApp, after: Duration) {
    test.tick_at(NOW + after).await;
}

/// Subjects of the emails to someone that went out or will, in order.
fn subjects(test: &TestApp, address: &str) -> Vec<String> {
    let sql =
        format!("select subject from mail where to_address = '{address}' and state in ('waiting', 'sent') order by id");
    ask(test, &sql).lines().map(str::to_owned).collect()
}

/// What a changed fact was and is now, in the first element that fits.
fn change(page: &Answer, place: &str, fact: &str) -> [String; 2] {
    ["was", "now"].map(|what| page.mark(&format!("{place} [data-change='{fact}']"), what))
}

/// How many got a version of paper 1.
async fn sent_of(browser: &mut Browser, version: i64) -> String {
    see(browser, "/releases/1").await.mark(&format!("[data-version='{version}']"), "sent")
}

/// What the countdown says to do about paper 1.
async fn told(browser: &mut Browser) -> String {
    browser.get("/events/1").await.text(&format!(".list.press a[href='{PRESS}/releases/1']"))
}

#[tokio::test]
async fn a_wrong_day_does_not_pass_because_the_right_one_stands_elsewhere() {
    let (_, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    let text = form_text(&mut ivo, "/releases/1").await;
    let when = text.lines().find(|line| line.contains("{burn day}")).unwrap();
    let mut remedies = String::new();
    // Burn day is Sat, June 5, with the rain date on the 12th.
    for (line, named) in [
        ("WHEN: June 12, 10 a.m.", "June 12"),
        ("WHEN: May 29, 10 a.m.", "May 29"),
        ("WHEN: {burn day}, 1 p.m.", "1 p.m."),
    ] {
        let form = see(&mut ivo, "/releases/1").await.form().with("text", &text.replace(when, line));
        assert_eq!(ivo.submit(&format!("{PRESS}/releases/1"), &form).await.status, 303);
        let wrong = see(&mut olga, "/releases/1").await.all("#wrong li");
        assert!(wrong.iter().any(|wrong| wrong.contains(named)), "{wrong:?}");
        let read = as_read(&mut olga, 1).await;
        let page = refused(&mut olga, "/releases/1/approve", &fields(&read)).await;
        assert_eq!(why(&page), "wrong", "{line}");
        assert!(wrong.iter().all(|wrong| page.text("#refused").contains(wrong)), "{line}: {}", page.text("#refused"));
        remedies.extend(wrong.iter().map(|wrong| format!("{line} → {wrong}\n")));
    }
    insta::assert_snapshot!("wrong-days-in-a-paper", remedies);
    let form = see(&mut ivo, "/releases/1").await.form().with("text", &text.replace("{time}", "{tyme}"));
    let wrong = ivo.submit(&format!("{PRESS}/releases/1"), &form).await;
    assert_eq!(wrong.status, 422);
    assert_eq!(wrong.mistakes(), ["text"]);
    assert!(wrong.mistake("text").contains("{tyme}"));
    assert!(wrong.text("textarea#text").contains("{tyme}"), "what was typed stays");
}

#[tokio::test]
async fn a_changed_hour_outdates_an_approved_paper_and_one_press_corrects_whoever_has_it() {
    let (test, mut olga, mut ivo) = sent().await;
    change_event(&mut olga, "burn_time", "13:00").await;
    let changed = ["10 a.m.", "1 p.m."];
    let page = see(&mut ivo, "/releases/1").await;
    assert_eq!(change(&page, "#outdated", "time"), changed, "{}", page.text("main"));
    let filled = page.text("#filled");
    assert!(has_all(&filled, &[&press_day(BURN_ON), "1 p.m."]) && !filled.contains("10 a.m."), "{filled}");
    for path in ["", "/releases"] {
        let page = see(&mut ivo, path).await;
        assert_eq!(page.mark("[data-paper='1']", "state"), "out of date", "{path}");
        assert!(has_all(&page.text("[data-paper='1']"), &changed), "{path}");
    }
    let due = told(&mut ivo).await;
    assert!(has_all(&due, &changed), "{due}");
    assert_eq!(page.count("#corrections li"), 2);
    assert!(has_all(&see(&mut ivo, "/releases/1/print?v=1").await.text("#warning[data-outdated]"), &changed));

    // Nothing goes out before someone has approved the new text.
    for path in ["/releases/1/send", "/releases/1/corrections", "/releases/1/corrections/3"] {
        let page = refused(&mut ivo, path, &[("contact", "1")]).await;
        assert_eq!(why(&page), "out of date", "{path}");
        assert!(has_all(&page.text("#refused"), &changed), "{path}");
    }
    approve(&mut olga, 1).await;
    let page = see(&mut ivo, "/releases/1").await;
    assert_eq!(["to-mail", "to-call"].map(|how| page.mark("#corrections", how)), ["1", "1"]);
    assert!(page.has("#corrections button.main"));
    let lines = ivo.get("/events/1").await.all(".list.press > li");
    assert!(lines.iter().any(|line| has_all(line, &["Zdenka Moravec", "Isidore Blackwood"])), "{lines:?}");
    done(&mut ivo, "/releases/1/corrections", &[]).await;
    assert_eq!(sent_of(&mut ivo, 2).await, "1");
    later(&test, Duration::minutes(5)).await;
    let headline = page.value("headline");
    let subjects_to_her = subjects(&test, "zdenka@example.org");
    let [first, correction] = subjects_to_her.as_slice() else { panic!("{subjects_to_her:?}") };
    assert!(first.ends_with(&headline) && correction.ends_with(first) && correction != first, "{correction}");
    let written = test.mail(2).await.text;
    let (begin, whole) = written.split_once(&headline).unwrap();
    assert!(has_all(begin, &changed), "what changed is said first: {written}");
    assert!(has_all(whole, &[&press_day(BURN_ON), "1 p.m.", "###"]) && !whole.contains("10 a.m."), "{written}");
    let zdenka = 3;
    let letter = written.replace(&Opens::Announcements.mark(zdenka, 1), "{link}");
    insta::assert_snapshot!("advisory-corrected", format!("{correction}\n\n{letter}"));

    // Whoever has no email is called, and that is logged. Then nobody is left.
    let page = see(&mut ivo, "/releases/1").await;
    assert_eq!(page.mark("#corrections li", "unmailed"), "no address");
    assert!(page.text("#corrections li").contains("Isidore Blackwood"));
    let isidore = see(&mut ivo, "/releases/1").await.attributes("#corrections li", "data-person").remove(0);
    done(&mut ivo, &format!("/releases/1/corrections/{isidore}"), &[]).await;
    let log = see(&mut ivo, "/log").await;
    for (channel, name) in [("phone", "Isidore Blackwood"), ("mail", "Zdenka Moravec")] {
        let entry = log.text(&format!("[data-sent='media advisory v2'][data-channel={channel}]"));
        assert!(has_all(&entry, &[name]) && has_all(&entry, &changed), "{}", log.text("main"));
    }
    assert!(!see(&mut ivo, "/releases/1").await.has("#corrections"));
    assert!(!done(&mut ivo, "/releases/1/corrections", &[]).await.is_empty());
    assert_eq!(subjects(&test, "zdenka@example.org").len(), 2, "never twice");
}

#[tokio::test]
async fn moved_back_and_forth_each_has_one_true_newest_version() {
    let (test, mut olga, mut ivo) = sent().await;
    test.person("Ada Quick", "ada@example.org").await;
    done(&mut olga, "/outlets/1/contacts", &[("person", "Ada Quick")]).await;
    done(&mut ivo, "/releases/1/send", &[("contact", "3")]).await;
    later(&test, Duration::minutes(5)).await;
    let ada = "ada@example.org";
    assert_eq!(subjects(&test, ada).len(), 1);

    // To 1 p.m.: Zdenka gets a correction, Ada not yet. Back to 10 a.m.: what Ada has is
    // right again, what Zdenka has is not.
    change_event(&mut olga, "burn_time", "13:00").await;
    approve(&mut olga, 1).await;
    test.sql("update person set no_mail = 1 where mail = 'ada@example.org'");
    done(&mut ivo, "/releases/1/corrections", &[]).await;
    test.sql("update person set no_mail = 0 where mail = 'ada@example.org'");
    // It has gone out. One that is still waiting is canceled by the next change.
    later(&test, Duration::minutes(15)).await;
    change_event(&mut olga, "burn_time", "10:00").await;
    let page = see(&mut ivo, "/releases/1").await;
    let lines = page.all("#corrections li");
    assert_eq!(lines.len(), 1, "{lines:?}");
    assert!(lines[0].contains("Zdenka Moravec"), "{lines:?}");
    assert_eq!(change(&page, "#corrections li", "time"), ["1 p.m.", "10 a.m."]);
    approve(&mut olga, 1).await;
    done(&mut ivo, "/releases/1/corrections", &[]).await;
    assert_eq!(sent_of(&mut ivo, 3).await, "1");
    assert!(!see(&mut ivo, "/releases/1").await.has("#corrections"));
    later(&test, Duration::minutes(30)).await;
    assert_eq!(subjects(&test, "zdenka@example.org").len(), 3);
    assert_eq!(subjects(&test, ada).len(), 1);
}

/// A message of the lesson plan is printed with its source. If it changes, what waits with the old
/// one isn't sent.
#[tokio::test]
async fn a_changed_lesson_takes_back_what_waits_with_its_message() {
    let (test, mut olga, mut ivo) = desk().await;
    let lesson = "/events/1/burn-day/talk/lesson";
    let taught = [
        ("text", "They test alarms."),
        ("message", "Test your alarms."),
        ("source", "NFPA 72"),
        ("edition", "2022 edition"),
        ("is_for_press", "yes"),
    ];
    assert_eq!(olga.post(&format!("{lesson}/new"), &taught).await.status, 303);
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    let written = form_text(&mut ivo, "/releases/1").await;
    let form = see(&mut ivo, "/releases/1").await.form().with("text", &format!("{written}\n\n{{messages}}"));
    assert_eq!(ivo.submit(&format!("{PRESS}/releases/1"), &form).await.status, 303);
    approve(&mut olga, 1).await;
    done(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    assert_eq!(test.stands(1).await.0, MailState::Waiting);
    assert!(test.mail(1).await.text.contains("Test your alarms. (NFPA 72, 2022 edition)"));
    let path = format!("{lesson}/1");
    let form = olga.get(&path).await.form();
    // What isn't printed may change.
    assert_eq!(olga.submit(&path, &form.clone().with("item", "How often?")).await.status, 303);
    assert_eq!(test.stands(1).await.0, MailState::Waiting);
    let form = olga.get(&path).await.form().with("message", "Test your alarms each month.");
    assert_eq!(olga.submit(&path, &form).await.status, 303);
    assert_eq!(test.stands(1).await.0, MailState::Cancelled);
}

#[tokio::test]
async fn changed_press_facts_take_back_what_waits_and_outdate_what_was_approved() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    approve(&mut olga, 1).await;
    done(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    // It isn't in the text.
    change_fact(&mut ivo, "messages", "Get out early.").await;
    assert_eq!(test.stands(1).await.0, MailState::Waiting);
    for (name, fact, value) in [
        ("phone", "contact phone", "555-0199"),
        ("area", "press area", "By the south fence."),
        ("arrival", "arrival", ""),
        ("decision", "decision", "On the recorded line."),
    ] {
        let (_, before) = FACTS.iter().find(|(field, _)| *field == name).unwrap();
        change_fact(&mut ivo, name, value).await;
        let [was, now] = change(&see(&mut ivo, "/releases/1").await, "#outdated", fact);
        assert_eq!(was, *before, "{fact}");
        // What is empty is said in words.
        assert!(now == value || (value.is_empty() && !now.is_empty() && now != was), "{fact}: {now}");
    }
    assert_eq!(test.stands(1).await.0, MailState::Cancelled, "it has the old number");
    assert!(see(&mut ivo, "/log").await.has("[data-entry][data-lost]"));
    assert!(!see(&mut ivo, "/releases/1").await.has("#corrections"), "nobody has it");

    // Everything is as it was: what was approved is right again and can go out.
    for (name, value) in FACTS.iter().filter(|(name, _)| *name != "version") {
        change_fact(&mut ivo, name, value).await;
    }
    assert!(see(&mut ivo, "/releases/1").await.has("[data-note=approved]"));
    done(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    assert_eq!(sent_of(&mut ivo, 1).await, "1");
    assert_eq!(test.stands(2).await.0, MailState::Waiting);
}

#[tokio::test]
async fn what_a_move_or_another_hour_does_to_papers_is_told_before() {
    let (test, mut olga, _) = sent().await;
    done(&mut olga, "/day", &[("name", "Lucinda Abernathy"), ("outlet", "1")]).await;
    let event = burnday::events::find(test.app.db.read(), 1).await.unwrap().unwrap();
    let lines = async |change: fn(&mut burnday::events::Details)| {
        let mut to = event.details.clone();
        change(&mut to);
        let lines = press::moves(test.app.clone(), event.clone(), to, NOW).await.unwrap();
        lines.into_iter().map(|line| (line.href, format!("{} {}", line.what, line.beneath))).collect::<Vec<_>>()
    };
    let (paper, facts, day) =
        (format!("{PRESS}/releases/1"), format!("{PRESS}/facts"), "/events/1/burn-day/press".to_owned());
    let has = |lines: &[(String, String)], place: &str, parts: &[&str]| {
        assert!(lines.iter().any(|(href, says)| href == place && has_all(says, parts)), "{parts:?}: {lines:?}");
    };
    assert!(lines(|_| {}).await.is_empty());
    let hour = lines(|to| to.burn_time = time::macros::time!(13:00)).await;
    assert_eq!(hour[0].0, paper);
    let holders = words::count(2_usize, "contact", "contacts");
    has(&hour, &paper, &["media advisory v1", "10 a.m.", "1 p.m.", &holders]);
    has(&hour, &facts, &["From 9:15 a.m. by gate B."]);
    has(&hour, &day, &["Lucinda Abernathy"]);
    let site = lines(|to| to.site = "Elsewhere".to_owned()).await;
    assert_eq!(site[0].0, paper);
    has(&site, &paper, &["media advisory v1", &event.details.site, "Elsewhere", &holders]);
    let rain = lines(|to| to.rain_on = None).await;
    assert_eq!(rain[0].0, paper);
    has(&rain, &paper, &["media advisory v1", &press_day(event.details.rain_on.unwrap()), &holders]);
    let look = olga.get("/events/1/move?burn_on=2027-06-19").await;
    let link = look.text(&format!("main a[href='{paper}']"));
    assert!(has_all(&link, &["media advisory v1", &press_day(BURN_ON), &press_day(MOVED_TO)]), "{}", look.text("main"));
}

/// As a text was before there were marks and American dates, with one paragraph that
/// someone rewrote.
const OLD_ADVISORY: &str = "WHAT: Two rooms, furnished alike, are set on fire one after the other: one without a home \
                            fire sprinkler, one with.\n\nWHO: Alder Bend Fire District\n\nWHEN: Saturday 5 June 2027, \
                            10:00\n\nWHERE: My own words\n\nWHY: Most people think they have longer.\n\nRAIN DATE: \
                            Saturday 12 June 2027. Posted by 4 p.m. the day before.\n\nTO FILM: Smoke alarm at about \
                            minute 1.\n\nCONTACT: Jun Castellane, 555-0118";
const MARKED_ADVISORY: &str = "WHAT: {what happens}\n\nWHO: {department}\n\nWHEN: {burn day}, {time}\n\nWHERE: My own \
                               words\n\nWHY: {why}\n\nRAIN DATE: {rain date}. {decision}\n\nTO FILM: {what to \
                               film}\n\nCONTACT: {contact}, {contact phone}";

#[tokio::test]
async fn a_version_from_before_there_were_marks_is_compared_by_its_date() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    test.sql(&format!("update paper set text = '{OLD_ADVISORY}', has_marks = 0"));
    test.sql(&format!(
        "insert into paper_version (paper_id, number, headline, text, embargo, date_revision, edited_by, read_by, \
         approved_by, approved_at) select 1, 1, headline, text, '', 1, edited_by, 'account', 1, {} from paper",
        NOW.unix_timestamp()
    ));
    let mark = test
        .app
        .db
        .write(|tx| Box::pin(async move { press::mark_old_papers(tx, "Alder Bend Fire District", NOW).await }));
    mark.await.unwrap();
    let written = form_text(&mut ivo, "/releases/1").await;
    assert_eq!(written, MARKED_ADVISORY);
    assert!(see(&mut olga, "/releases/1").await.has("[data-note=approved]"));
    move_the_burn(&mut olga).await;
    let page = see(&mut olga, "/releases/1").await;
    assert_eq!(change(&page, "#outdated", "burn day"), [String::new(), press_day(MOVED_TO)]);
    assert!(page.text("#filled").contains(&press_day(MOVED_TO)));
    let late = refused(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    assert_eq!(why(&late), "out of date");
    assert!(late.text("#refused").contains("v1"));
}

#[tokio::test]
async fn before_it_leaves_the_plan_is_asked_and_afterwards_the_task_can_be_ticked() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    approve(&mut olga, 1).await;
    let page = see(&mut ivo, "/releases/1/send").await;
    for key in ["news-release", "press-area"] {
        let task = test.task(key).await;
        let hint = format!("#before-you-send li a[href='/events/1/tasks/{task}']");
        assert!(page.has(&hint), "{key}: {}", page.text("#before-you-send"));
    }
    let about_facts = format!("#before-you-send li a[href='{PRESS}/facts']");
    assert!(!page.has(&about_facts));
    change_fact(&mut ivo, "decision", "Posted at 4 p.m. May 29.").await;
    let page = see(&mut ivo, "/releases/1/send").await;
    assert!(page.text(".note[data-why='out of date']").contains("v1"));
    approve(&mut olga, 1).await;
    let page = see(&mut ivo, "/releases/1/send").await;
    assert!(page.text(&about_facts).contains("May 29"), "{}", page.text("#before-you-send"));
    change_fact(&mut ivo, "decision", "Posted by 4 p.m. the day before.").await;
    approve(&mut olga, 1).await;

    assert_eq!(see(&mut ivo, "/releases/1").await.all("#tick-task"), [""; 0], "nothing was sent yet");
    done(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    let task = test.task("media-advisory").await;
    let is_open = async || test.tasks().await.iter().any(|known| known.id == task && known.is_open());
    assert!(is_open().await, "never silently");
    let page = see(&mut ivo, "/releases/1").await;
    let fields: Vec<(String, String)> = ["state", "seen", "back"]
        .map(|name| (name.to_owned(), page.attributes(&format!("#tick-task input[name={name}]"), "value").remove(0)))
        .to_vec();
    let action = page.attributes("#tick-task", "action").remove(0);
    let pressed = ivo.post(&action, &fields.iter().map(|(n, v)| (n.as_str(), v.as_str())).collect::<Vec<_>>()).await;
    assert_eq!(pressed.location(), format!("{PRESS}/releases/1"));
    let page = see(&mut ivo, "/releases/1").await;
    assert!(!is_open().await && page.all("#tick-task").is_empty());
    let undo: Vec<String> = page.attributes(".said form input", "value");
    assert!(!undo.is_empty(), "it can be undone");
}

fn reading_path(test: &TestApp, asked: i64) -> String {
    format!("/read-paper/{}", test.app.link_key.secret(Opens::PaperReading, asked, 1).reveal())
}

const READER: [(&str, &str); 2] = [("reader", "Ada Quick"), ("reader_mail", "ada@example.org")];

#[tokio::test]
async fn somebody_outside_approves_exactly_the_text_that_the_link_shows() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut olga, "/releases", &[("kind", "media advisory")]).await;
    assert_eq!(ivo.post(&format!("{PRESS}/releases/1/readings"), &[]).await.status, 422);
    assert_eq!(
        test.somebody(Role::Timekeeper).await.post(&format!("{PRESS}/releases/1/readings"), &READER).await.status,
        403
    );
    done(&mut olga, "/releases/1/readings", &READER).await;
    let asked = see(&mut olga, "/releases/1").await;
    assert_eq!(asked.mark("#readings li", "state"), "asked");
    assert!(asked.text("#readings li").contains("Ada Quick"));
    let path = reading_path(&test, 1);
    let mail = ask(&test, "select id from mail where dedup = 'paper-reading/1'");
    let mail = test.mail(mail.parse().unwrap()).await;
    assert_eq!(mail.to.address, "ada@example.org");
    assert!(has_all(&mail.text, &["media advisory", &Opens::PaperReading.mark(1, 1)]), "{}", mail.text);

    let mut phone = test.stranger();
    let before = test.dump();
    let page = phone.get(&path).await;
    assert_eq!((page.status, page.header("referrer-policy")), (200, "no-referrer"));
    assert!(
        has_all(&page.text("article"), &[&press_day(BURN_ON), "10 a.m."]) && page.text(".hello").contains("Ada Quick")
    );
    assert_eq!(before, test.dump(), "looking saves nothing");
    assert_eq!(phone.post(&path, &[("say", "needs a change")]).await.status, 422, "say what");
    assert_eq!(phone.post(&path, &[("say", "what?")]).await.status, 422);
    phone.post(&path, &[("say", "needs a change"), ("note", "The gate is missing.")]).await;
    let page = see(&mut olga, "/releases/1").await;
    assert_eq!(page.mark("#readings li", "state"), "needs a change");
    assert!(page.text("#readings").contains("The gate is missing."));

    // A fact changes: that text can't be approved anymore.
    change_event(&mut olga, "burn_time", "13:00").await;
    phone.post(&path, &[("say", "approved")]).await;
    assert!(see(&mut olga, "/releases/1").await.has("[data-empty=versions]"));
    assert!(phone.get(&path).await.has("[data-note=past]"));
    change_event(&mut olga, "burn_time", "10:00").await;
    assert_eq!(phone.post(&path, &[("say", "approved")]).await.status, 303);
    let page = see(&mut olga, "/releases/1").await;
    assert_eq!(page.mark("#versions li", "read"), "link");
    assert!(page.text("#versions li").contains("Ada Quick"), "{}", page.text("#versions"));
    phone.post(&path, &[("say", "approved")]).await;
    assert_eq!(see(&mut olga, "/releases/1").await.all("#versions li").len(), 1, "once");
    assert_eq!(phone.get(&path).await.mark(".note[data-state]", "state"), "approved");
    done(&mut olga, "/releases/1/send", &[("contact", "1")]).await;
    assert_eq!(sent_of(&mut olga, 1).await, "1");
}

/// A Saturday more than a year ahead, and less ten days later.
const YEAR_AHEAD: [(&str, &str); 4] = [("burn_on", "2027-12-04"), ("rain_on", ""), ("chosen", "yes"), ("version", "1")];

#[tokio::test]
async fn a_link_to_a_text_stays_open_as_a_date_loses_its_year() {
    let (test, mut olga, _) = desk().await;
    assert_eq!(olga.post("/events/1/move", &YEAR_AHEAD).await.status, 303);
    done(&mut olga, "/releases", &[("kind", "media advisory")]).await;
    done(&mut olga, "/releases/1/readings", &READER).await;
    let (path, mut phone) = (reading_path(&test, 1), test.stranger());
    assert!(phone.get(&path).await.text("article").contains("Dec. 4, 2027"));
    test.at(NOW + Duration::days(10));
    let page = phone.get(&path).await;
    let shown = page.text("article");
    assert!(!page.has("[data-note=past]") && shown.contains("Dec. 4") && !shown.contains("Dec. 4, 2027"), "{shown}");
    assert_eq!(phone.post(&path, &[("say", "approved")]).await.status, 303);
    // What they approved is what they saw, and goes out.
    let page = see(&mut olga, "/releases/1").await;
    assert_eq!(page.mark("#versions li", "read"), "link");
    let printed = see(&mut olga, "/releases/1/print?v=1").await.text("article");
    assert!(printed.contains("Dec. 4") && !printed.contains("Dec. 4, 2027"), "{printed}");
    test.at(NOW);
    let page = phone.get(&path).await;
    assert_eq!(page.mark(".note[data-state]", "state"), "approved");
    assert!(!page.text("article").contains("Dec. 4, 2027"), "it stays as it was approved");
}

#[tokio::test]
async fn a_link_to_a_text_stays_open_past_the_burn_and_then_says_what_burned() {
    let (test, ..) = desk().await;
    test.at(datetime!(2027-06-01 15:00 UTC));
    let mut olga = test.olga().await;
    done(&mut olga, "/releases", &[("kind", "media advisory")]).await;
    done(&mut olga, "/releases/1/readings", &READER).await;
    let (path, mut phone) = (reading_path(&test, 1), test.stranger());
    // The fire is lit at 10 a.m. on June 5, which is 15:00 UTC.
    for (now, says) in [
        (datetime!(2027-06-05 14:59 UTC), "will burn"),
        (datetime!(2027-06-05 23:00 UTC), "burned, one"),
        (datetime!(2027-06-06 15:00 UTC), "burned, one"),
    ] {
        test.at(now);
        let page = phone.get(&path).await;
        assert!(!page.has("[data-note=past]"), "{now}");
        assert!(page.text("article").contains(says), "{now}: {}", page.text("article"));
    }
    // Another embargo is another text.
    let mut olga = test.olga().await;
    let form = see(&mut olga, "/releases/1").await.form().with("embargo_on", "2027-06-07").with("embargo_at", "12:00");
    assert_eq!(olga.submit(&format!("{PRESS}/releases/1"), &form).await.status, 303);
    assert!(phone.get(&path).await.has("[data-note=past]"));
    assert_eq!(phone.post(&path, &[("say", "approved")]).await.status, 303);
    assert!(see(&mut olga, "/releases/1").await.has("[data-empty=versions]"));
}

#[tokio::test]
async fn a_page_that_was_read_yesterday_still_approves_the_same_text() {
    let (test, mut olga, mut ivo) = desk().await;
    assert_eq!(olga.post("/events/1/move", &YEAR_AHEAD).await.status, 303);
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    let read = as_read(&mut olga, 1).await;
    test.at(NOW + Duration::days(10));
    assert_eq!(as_read(&mut olga, 1).await, read, "only the year is gone");
    done(&mut olga, "/releases/1/approve", &fields(&read)).await;
}

#[tokio::test]
async fn the_contacts_own_email_is_printed_and_never_the_drafters() {
    let (test, mut olga, mut ivo) = desk().await;
    change_fact(&mut ivo, "mail", "").await;
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    let page = see(&mut ivo, "/releases/1").await;
    let wanted = page.text("[data-mark='contact email']");
    assert!(page.has("#no-contact-email"), "it says that the contact has none");
    assert_eq!(page.all("#missing li"), [wanted.trim_matches(['[', ']'])]);
    for own in ["information-officer@example.org", crate::support::OFFICER] {
        assert!(!page.text("#filled").contains(own), "{own}");
    }
    let wrong = refused(&mut ivo, "/facts", &[("mail", "no address")]).await;
    assert_eq!((wrong.mistakes(), wrong.value("mail").as_str()), (vec!["mail".to_owned()], "no address"));
    change_fact(&mut ivo, "mail", "desk@example.org").await;
    let filled = async |browser: &mut Browser| see(browser, "/releases/1").await.text("#filled");
    assert!(filled(&mut ivo).await.contains("desk@example.org"));
    assert!(!see(&mut ivo, "/releases/1").await.has("#no-contact-email"));

    // Once they are in People, their email is kept there.
    let jun = test.person("Jun Castellane", "castellane@example.org").await;
    let now = filled(&mut ivo).await;
    assert!(now.contains("castellane@example.org") && !now.contains("desk@example.org"), "{now}");
    let page = see(&mut ivo, "/facts").await;
    assert!(page.text("[data-from=people]").contains("castellane@example.org"));
    change_fact(&mut ivo, "why", "Most people think they have longer than that.").await;
    approve(&mut olga, 1).await;
    test.sql(&format!("update person set mail = 'jun.castellane@example.org' where id = {jun}"));
    let changed = change(&see(&mut ivo, "/releases/1").await, "#outdated", "contact email");
    assert_eq!(changed, ["castellane@example.org", "jun.castellane@example.org"]);
    // One that doesn't work isn't printed, and with two of the name nobody knows whose it is.
    for sql in [
        format!("update person set refused_at = 1, refused_why = 'no such user' where id = {jun}"),
        "insert into person (name, mail, created_at) values ('Jun Castellane', 'another@example.org', 0)".to_owned(),
    ] {
        test.sql(&sql);
        assert!(filled(&mut ivo).await.contains("desk@example.org"), "{sql}: what was typed is still there");
    }
    // Whoever may only look sees what is printed.
    let mut reader = test.somebody(Role::Reader).await;
    assert!(filled(&mut reader).await.contains("desk@example.org"));
}

#[tokio::test]
async fn a_release_with_an_old_dateline_goes_out_only_if_someone_says_so() {
    let (test, mut olga, mut ivo) = desk().await;
    test.sql("update department set city = 'Alder Bend', state = 'IA'");
    done(&mut ivo, "/releases", &[("kind", "news release")]).await;
    let draft = form_text(&mut ivo, "/releases/1").await.replace(['[', ']'], "");
    let form = see(&mut ivo, "/releases/1").await.form().with("text", &draft);
    assert_eq!(ivo.submit(&format!("{PRESS}/releases/1"), &form).await.status, 303);
    approve(&mut olga, 1).await;
    assert!(!see(&mut ivo, "/releases/1/send").await.has("#old-dateline"), "it is today's");

    test.at(NOW + Duration::days(1));
    assert!(see(&mut ivo, "/releases/1/send").await.text("#old-dateline").contains("Nov. 25, 2026"));
    let before = test.dump();
    let page = refused(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    assert_eq!(why(&page), "old dateline");
    assert!(page.has("input[name=contact][value='1'][checked]"), "who was chosen stays chosen");
    assert_eq!(before, test.dump());
    assert!(!before.contains("sent with an old dateline"));
    done(&mut ivo, "/releases/1/send", &[("contact", "1"), ("old_dateline", "yes")]).await;
    assert_eq!(sent_of(&mut ivo, 1).await, "1");
    let entries = ask(&test, "select count(*) from journal where verb = 'sent with an old dateline'");
    assert_eq!(entries, "1");
    // Nobody got it the second time, so there is nothing to note.
    done(&mut ivo, "/releases/1/send", &[("contact", "1"), ("old_dateline", "yes")]).await;
    assert_eq!(ask(&test, "select count(*) from journal where verb = 'sent with an old dateline'"), entries);
}

#[tokio::test]
async fn any_other_link_to_a_text_opens_nothing() {
    let (test, mut olga, _) = desk().await;
    done(&mut olga, "/releases", &[("kind", "media advisory")]).await;
    done(&mut olga, "/releases/1/readings", &READER).await;
    let asked = test.ask(&[1], &["burn day"]).await;
    let own = test.app.link_key.secret(Opens::PaperReading, 1, 1);
    let question = test.app.link_key.secret(Opens::Question, asked[0], 1);
    let mut phone = test.stranger();
    let dead = phone.get(&format!("/read-paper/{}", "A".repeat(43))).await;
    assert_eq!(dead.status, 404);
    for path in
        [format!("/read-paper/{}", question.reveal()), format!("/answer/{}", own.reveal()), "/read-paper/x".to_owned()]
    {
        let page = phone.get(&path).await;
        assert_eq!((page.status, &page.body), (404, &dead.body), "{path}");
    }
    let path = reading_path(&test, 1);
    test.at(NOW + Duration::days(15));
    let late = phone.post(&path, &[("say", "approved")]).await;
    assert_eq!((late.status, &late.body), (404, &dead.body), "it has expired");
    test.at(NOW);
    assert_eq!(phone.get(&path).await.status, 200);
    let reader = ask(&test, "select person_id from paper_reading");
    let version = test.known(reader.parse().unwrap()).await.version.to_string();
    assert_eq!(olga.post(&format!("/people/{reader}/erase"), &[("version", &version)]).await.status, 303);
    assert_eq!(phone.get(&path).await.status, 404, "its reader's data was erased");
}

#[tokio::test]
async fn nobody_reads_their_own_text_by_a_link() {
    let (test, mut olga, _) = desk().await;
    done(&mut olga, "/releases", &[("kind", "media advisory")]).await;
    let me = test.known(1).await.details;
    test.sql(&format!("update person set mail = '{}' where id = 1", crate::support::OFFICER));
    let own = [("reader", me.name.as_str()), ("reader_mail", crate::support::OFFICER)];
    let page = refused(&mut olga, "/releases/1/readings", &own).await;
    assert_eq!(why(&page), "own text");
    assert_eq!([page.value("reader"), page.value("reader_mail")], own.map(|(_, typed)| typed.to_owned()));
}

#[tokio::test]
async fn an_officer_alone_can_send_a_text_unread_and_it_says_so() {
    let (test, mut olga, _) = desk().await;
    done(&mut olga, "/releases", &[("kind", "media advisory")]).await;
    let mut read = as_read(&mut olga, 1).await;
    read.push(("read_by".to_owned(), "nobody".to_owned()));
    test.sql("update account set password_hash = 'x' where role = 'information officer'");
    let with_another = refused(&mut olga, "/releases/1/approve", &fields(&read)).await;
    assert_eq!(why(&with_another), "other reader");
    test.sql("update account set disabled_at = 1 where role = 'information officer'");
    assert_eq!(why(&refused(&mut olga, "/releases/1/approve", &fields(&read)).await), "not sure");
    read.push(("sure".to_owned(), "yes".to_owned()));
    done(&mut olga, "/releases/1/approve", &fields(&read)).await;
    assert!(see(&mut olga, "/releases/1").await.has("#versions [data-version='1'][data-read=nobody]"));
    for path in ["/releases/1", "/releases", "/releases/1/send", "/releases/1/print"] {
        let page = see(&mut olga, path).await;
        assert!(page.text("[data-read=nobody]").contains("Olga Wren"), "{path}: it says who decided that");
    }
    assert!(test.dump().contains("released unread"));
}

#[tokio::test]
async fn a_contact_comes_with_phone_and_mail_and_nobody_is_doubled_or_taken_for_another() {
    let (test, _, mut ivo) = desk().await;
    let add = "/outlets/1/contacts";
    let new = [("person", "Ada Quick"), ("part", "desk"), ("phone", "555-0150"), ("mail", "ada@example.org")];
    done(&mut ivo, add, &new).await;
    assert!(see(&mut ivo, "/outlets/1").await.text("[data-contact='2']").contains("Ada Quick"));
    let ada = ask(&test, "select id, phone, mail from person where name = 'Ada Quick'");
    assert!(ada.contains("555-0150|ada@example.org"), "{ada}");
    done(&mut ivo, "/outlets", &[("name", "Bend Weekly"), ("kind", "weekly newspaper"), ("lead_days", "1")]).await;
    let again = [("person", "A. Quick"), ("phone", "555-0151"), ("mail", "ADA@example.org")];
    let said = done(&mut ivo, "/outlets/2/contacts", &again).await;
    assert!(has_all(&said, &["Ada Quick", "Bend Weekly", "555-0150"]) && !said.contains("555-0151"), "{said}");
    assert!(see(&mut ivo, "/outlets/2").await.text("[data-contact]").contains("Ada Quick"));
    assert_eq!(ask(&test, "select id, phone, mail from person where name = 'Ada Quick'"), ada, "as she was");
    let wrong = refused(&mut ivo, add, &[("person", ""), ("mail", "no address")]).await;
    assert_eq!(wrong.mistakes(), ["person", "mail"]);

    // Someone with the same name, and someone with the same address.
    for typed in [("Ada Quick", "other@example.org"), ("Ben Hall", "ada@example.org")] {
        let fields = [("person", typed.0), ("mail", typed.1)];
        let page = refused(&mut ivo, add, &fields).await;
        assert_eq!(page.mistakes(), ["who"], "{typed:?}");
        assert!(page.says("Ada Quick, Radio Bend, ada@example.org, 555-0150"), "{}", page.text("#add-contact"));
        assert_eq!(page.value("mail"), typed.1, "what was typed stays");
        done(&mut ivo, add, &[&fields[..], &[("who", "new")]].concat()).await;
    }
    let people = ask(&test, "select count(*) from person where name in ('Ada Quick', 'Ben Hall')");
    assert_eq!(people, "3");
    let two = refused(&mut ivo, add, &[("person", "ada quick")]).await;
    assert_eq!(two.attributes("input[name=who]", "value").len(), 3, "two with the name, or a new one");

    // At check-in it is the one who works there. Otherwise someone has to choose.
    let which = refused(&mut ivo, "/day", &[("name", "Ada Quick"), ("outlet", "")]).await;
    assert_eq!(which.mistakes(), ["name"]);
    done(&mut ivo, "/day", &[("name", "Ada Quick"), ("outlet", "2")]).await;
    let first = ask(&test, "select min(id) from person where name = 'Ada Quick'");
    assert_eq!(ask(&test, "select person_id from press_visit"), first);
}

/// The form is common practice: see `press/papers/draft.rs`.
#[tokio::test]
async fn a_release_and_an_advisory_start_in_the_form_editors_know() {
    let (test, mut olga, _) = desk().await;
    test.sql("update department set city = 'Alder Bend', state = 'IA'");
    done(&mut olga, "/releases", &[("kind", "news release")]).await;
    assert!(!see(&mut olga, "/releases/1").await.has("#dateline"), "it is today's");
    let sheet = see(&mut olga, "/releases/1/print").await;
    assert_eq!(
        [".hold", ".dated", ".end"].map(|part| sheet.text(part)),
        ["FOR IMMEDIATE RELEASE", "Nov. 25, 2026", "###"]
    );
    let contact = sheet.text(".contact");
    assert!(has_all(&contact, &["CONTACT:", "Jun Castellane", "555-0118", "jun@example.org"]), "{contact}");
    let paragraphs = sheet.all("article p.lines:not(.contact)");
    let lead = paragraphs[0].strip_prefix("ALDER BEND, Iowa (Nov. 25, 2026) – ").unwrap();
    assert!(lead.split_whitespace().count() <= 30, "{lead}");
    let when = format!("10 a.m. {}", press_day(BURN_ON));
    assert!(has_all(lead, &["Alder Bend Fire District", " will ", &when, "Alder Bend fairground, east lot"]), "{lead}");
    assert!(has_all(&sheet.text("#whole"), &[&contact, lead, "###"]));
    // Someone has to change the date before it goes out on another day.
    test.at(NOW + Duration::days(1));
    assert!(see(&mut olga, "/releases/1").await.text("#dateline").contains("Nov. 25, 2026"));

    done(&mut olga, "/releases", &[("kind", "media advisory")]).await;
    let sheet = see(&mut olga, "/releases/2/print").await;
    let labels: Vec<String> =
        sheet.all("article p.lines").iter().map(|part| part.split(':').next().unwrap().to_owned()).collect();
    let usual =
        ["WHAT", "WHO", "WHEN", "WHERE", "WHY", "VISUALS", "INTERVIEWS", "MEDIA ARRIVAL AND PARKING", "CONTACT"];
    assert_eq!(labels, usual);
}
