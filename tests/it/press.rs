//! Outlets, the log, papers, burn day and what ran.

use crate::support::{Answer, BURN_ON, Browser, NOW, TestApp};
use burnday::accounts::Role;
use burnday::calc::calendar::{Basis, Calendar};
use burnday::calc::plan::Lead;
use burnday::countdown::Outlook;
use burnday::mail::MailState;
use mail_parser::MessageParser;
use std::process::Command;
use std::sync::Arc;
use time::macros::{date, datetime};
use time::{Date, Duration};

pub const PRESS: &str = "/events/1/press";

pub async fn done(browser: &mut Browser, path: &str, fields: &[(&str, &str)]) -> String {
    let answer = browser.post(&format!("{PRESS}{path}"), fields).await;
    assert_eq!(answer.status, 303, "POST {path} {fields:?}\n{}", answer.text("main"));
    let next = answer.location().to_owned();
    browser.get(&next).await.text("#said")
}

pub async fn refused(browser: &mut Browser, path: &str, fields: &[(&str, &str)]) -> Answer {
    let answer = browser.post(&format!("{PRESS}{path}"), fields).await;
    assert_eq!(answer.status, 422, "POST {path} {fields:?}");
    answer
}

pub async fn see(browser: &mut Browser, path: &str) -> Answer {
    let page = browser.get(&format!("{PRESS}{path}")).await;
    assert_eq!(page.status, 200, "GET {path}");
    page
}

const WEEKLY: [(&str, &str); 4] =
    [("name", "Bend Weekly"), ("kind", "weekly newspaper"), ("lead_days", "10"), ("closed_on", "2027-06-01")];
const RADIO: [(&str, &str); 3] = [("name", "Radio Bend"), ("kind", "radio"), ("lead_days", "1")];
pub const FACTS: [(&str, &str); 12] = [
    ("contact", "Jun Castellane"),
    ("phone", "555-0118"),
    ("why", "Most people think they have longer."),
    ("area", "By the north fence."),
    ("arrival", "From 09:15 by gate B."),
    ("interviews", "The chief at 11:00."),
    ("visuals", "Smoke alarm at about minute 1."),
    ("decision", "Told by 16:00 the day before."),
    ("clothing", "Closed shoes."),
    ("power", "Two outlets."),
    ("messages", "Get out early.\nClose doors."),
    ("version", "0"),
];

pub fn word<'a>(contact: &'a str, outcome: &'a str, words: &'a str) -> Vec<(&'a str, &'a str)> {
    vec![("contact", contact), ("channel", "phone"), ("outcome", outcome), ("words", words)]
}

fn and<'a>(mut fields: Vec<(&'a str, &'a str)>, more: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    fields.extend(more);
    fields
}

impl TestApp {
    /// Wren is asked, and there is one of everything that has a page of its own.
    pub async fn walked() -> Self {
        let test = Self::asked().await;
        test.with_press().await;
        test.with_crew().await;
        test.clock().await;
        test
    }

    /// One of everything in Press that has a page: Radio Bend is outlet 1, Zdenka
    /// contact 1, and there are a word, a paper and a story.
    pub async fn with_press(&self) {
        let zdenka = self.person("Zdenka Moravec", "zdenka@example.org").await;
        assert!(zdenka > 0);
        let mut olga = self.olga().await;
        done(&mut olga, "/outlets", &RADIO).await;
        done(&mut olga, "/outlets/1/contacts", &[("person", "zdenka moravec"), ("part", "morning show")]).await;
        done(&mut olga, "/outlets/1/list", &[("act", "list"), ("owner", "")]).await;
        done(&mut olga, "/facts", &FACTS).await;
        done(&mut olga, "/papers", &[("kind", "media advisory")]).await;
        done(&mut olga, "/log", &word("1", "no answer yet", "Left word.")).await;
        let story = [("outlet", "1"), ("ran_on", "2026-11-24"), ("title", "A burn to see"), ("carried", "2")];
        done(&mut olga, "/coverage", &story).await;
    }
}

/// Olga with Radio Bend, its contact and the facts; and Ivo, the information
/// officer.
pub async fn desk() -> (TestApp, Browser, Browser) {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let ivo = test.somebody(Role::InformationOfficer).await;
    test.person("Zdenka Moravec", "zdenka@example.org").await;
    done(&mut olga, "/outlets", &RADIO).await;
    done(&mut olga, "/outlets/1/contacts", &[("person", "Zdenka Moravec"), ("part", "")]).await;
    done(&mut olga, "/outlets/1/list", &[("act", "list"), ("owner", "")]).await;
    done(&mut olga, "/facts", &FACTS).await;
    (test, olga, ivo)
}

const MOVE: [(&str, &str); 4] = [("burn_on", "2027-06-19"), ("rain_on", ""), ("chosen", "yes"), ("version", "1")];

/// To Sat 19 June, with no rain date.
pub async fn move_the_burn(olga: &mut Browser) {
    let moved = olga.post("/events/1/move", &MOVE).await;
    assert_eq!(moved.status, 303, "{}", moved.text("main"));
}

fn pips(page: &Answer) -> String {
    let lines = page.all(".ready > li");
    let line = lines.into_iter().find_map(|line| line.strip_prefix("Press").map(str::to_owned));
    line.unwrap()
}

#[tokio::test]
async fn an_empty_press_page_says_what_to_do_next() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let page = see(&mut olga, "").await;
    assert!(page.says("No outlet is on the list yet. Add the first one."));
    assert!(page.says("Nothing is written yet."));
    assert!(see(&mut olga, "/outlets").await.says("None yet."));
    assert!(see(&mut olga, "/day").await.says("Nobody of the press is expected yet."));
    assert!(see(&mut olga, "/coverage").await.says("No outlet is known yet."));
    // The strand's own tasks stand in the countdown until there is a list.
    assert!(pips(&olga.get("/events/1").await).contains(" of "));
}

#[tokio::test]
async fn an_outlet_is_known_once_and_changed_by_one_at_a_time() {
    let (test, mut olga, mut ivo) = desk().await;
    let twice = refused(&mut ivo, "/outlets", &RADIO).await;
    assert_eq!(twice.text("#name-mistake"), "An outlet of this name is known already.");
    let wrong = [("name", ""), ("kind", "circus"), ("lead_days", "900"), ("closed_on", "soon")];
    let wrong = refused(&mut ivo, "/outlets", &wrong).await;
    assert_eq!(wrong.all(".mistake").len(), 4);
    assert_eq!(wrong.value("closed_on"), "soon");

    done(&mut ivo, "/outlets", &WEEKLY).await;
    let taken = [("name", "radio bend"), ("kind", "radio"), ("lead_days", "1"), ("version", "1")];
    assert!(refused(&mut ivo, "/outlets/2", &taken).await.says("Another outlet has this name."));
    let mine = [("name", "Bend Weekly"), ("kind", "weekly newspaper"), ("lead_days", "7"), ("version", "1")];
    done(&mut ivo, "/outlets/2", &mine).await;
    let stale = olga.post(&format!("{PRESS}/outlets/2"), &mine).await;
    assert_eq!(stale.status, 409);

    done(&mut ivo, "/outlets/2/contacts", &[("person", "Thessaly Marchetti"), ("part", "editor")]).await;
    let page = see(&mut olga, "/outlets/2").await;
    assert!(page.says("Thessaly Marchetti"), "somebody nobody knew is added");
    assert!(page.says("no mail address: ring"));
    let gone = done(&mut ivo, "/outlets/2/contacts/gone", &[("contact", "2")]).await;
    assert_eq!(gone, "They are no longer a contact there.");
    assert!(see(&mut olga, "/outlets/2").await.says("Nobody is known there yet."));
    assert!(test.dump().contains("took a contact from"));
}

#[tokio::test]
async fn a_word_is_logged_with_now_as_its_time_and_a_follow_up_stands_on_top_when_due() {
    let (test, _, mut ivo) = desk().await;
    let follow = and(word("1", "answered", "Wants sound."), &[("follow_up_on", "2026-11-27")]);
    assert_eq!(done(&mut ivo, "/log", &follow).await, "Logged: Zdenka Moravec, Radio Bend.");
    assert!(see(&mut ivo, "/log").await.says("Wed 25 Nov 2026, 09:00"));
    assert!(see(&mut ivo, "").await.says("Nobody waits for a call or a message today."));

    test.at(NOW + Duration::days(2));
    let page = see(&mut ivo, "").await;
    assert_eq!(page.all(".aside .list > li").len(), 1);
    assert!(page.text(".aside .list > li").contains("Zdenka Moravec, Radio Bend"), "{}", page.text(".aside"));
    let mine = ivo.get("/events/1").await;
    assert!(
        mine.text(".list.press").contains("Follow up with Zdenka Moravec, Radio Bend"),
        "{}",
        mine.text(".list.press")
    );

    test.at(NOW + Duration::days(3));
    assert!(see(&mut ivo, "").await.text(".aside .due").starts_with("late, Fri 27 Nov"));
    let earlier = and(word("1", "answered", "Before."), &[("on", "2026-11-24"), ("at", "10:00")]);
    done(&mut ivo, "/log", &earlier).await;
    assert!(see(&mut ivo, "").await.says("late, Fri 27 Nov"), "an earlier word settles nothing");
    done(&mut ivo, "/log", &word("1", "answered", "Sent it.")).await;
    assert!(see(&mut ivo, "").await.says("Nobody waits for a call or a message today."));
}

#[tokio::test]
async fn a_word_that_makes_no_sense_is_not_logged() {
    let (test, _, mut ivo) = desk().await;
    let before = test.dump();
    let page = refused(&mut ivo, "/log", &[("words", ""), ("at", "25:00")]).await;
    for field in ["contact", "channel", "outcome", "words", "at"] {
        assert_ne!(page.text(&format!("#{field}-mistake")), "", "{field}");
    }
    let ahead = and(word("1", "answered", "x"), &[("on", "2026-11-26")]);
    assert!(refused(&mut ivo, "/log", &ahead).await.says("This lies ahead"));
    let back = and(word("1", "answered", "x"), &[("follow_up_on", "2026-11-24")]);
    assert!(refused(&mut ivo, "/log", &back).await.says("This lies before the word itself."));
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn a_correction_is_a_row_of_its_own_and_made_once() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/log", &word("1", "no answer yet", "Left word.")).await;
    let form = see(&mut ivo, "/log/1").await.form().with("words", "Spoke to her.").with("outcome", "answered");
    let answer = ivo.submit(&format!("{PRESS}/log/1"), &form).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
    let page = see(&mut ivo, "/log").await;
    assert_eq!(page.all("del"), ["Zdenka Moravec, Radio Bend: no answer yet"]);
    assert!(page.says("Spoke to her.") && page.says("Left word."));
    let again = olga.submit(&format!("{PRESS}/log/1"), &form).await;
    assert!(olga.get(again.location()).await.says("somebody has corrected this entry already"));
    let rows = test.dump().lines().filter(|line| line.starts_with("INSERT INTO outreach ")).count();
    assert_eq!(rows, 2);
}

#[tokio::test]
async fn who_will_cover_it_says_so_to_a_date_and_the_pips_tell() {
    let (test, mut olga, mut ivo) = desk().await;
    assert_eq!(pips(&olga.get("/events/1").await), "0 of 1");
    done(&mut ivo, "/log", &word("1", "no answer yet", "Left word.")).await;
    let told = olga.get("/events/1").await;
    assert!(told.attributes(".ready .pips", "aria-label").contains(&"0 done, 1 waiting, 0 to do".to_owned()));
    done(&mut ivo, "/log", &word("1", "will cover it", "Sends a crew of one.")).await;
    assert_eq!(pips(&olga.get("/events/1").await), "1 of 1");
    let asks = olga.get("/events/1/asks").await;
    assert!(asks.says("Zdenka Moravec") && asks.says("Sat 5 Jun"), "{}", asks.text("main"));
    assert!(
        see(&mut ivo, "").await.text(".list .due").contains("will cover it")
            || see(&mut ivo, "").await.says("will cover it")
    );
    assert!(see(&mut ivo, "/day").await.says("Zdenka Moravec"));

    // Another day asks for another word.
    move_the_burn(&mut olga).await;
    assert_eq!(pips(&olga.get("/events/1").await), "0 of 1");
    done(&mut ivo, "/log", &word("1", "will cover it", "Comes then too.")).await;
    assert_eq!(pips(&olga.get("/events/1").await), "1 of 1");
    let dump = test.dump();
    assert_eq!(dump.lines().filter(|line| line.starts_with("INSERT INTO request VALUES")).count(), 1, "one question");
}

#[tokio::test]
async fn days_that_do_not_fit_an_outlet_are_shown() {
    let (_, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/outlets", &WEEKLY).await;
    done(&mut ivo, "/outlets/2/contacts", &[("person", "Thessaly Marchetti"), ("part", "")]).await;
    done(&mut ivo, "/outlets/2/list", &[("act", "list"), ("owner", "")]).await;
    let closed = and(word("2", "answered", "Ring again."), &[("follow_up_on", "2027-06-01")]);
    let said = done(&mut ivo, "/log", &closed).await;
    assert_eq!(said, "Logged: Thessaly Marchetti, Bend Weekly. But Bend Weekly is closed on Tue 1 Jun 2027.");
    let weekend = and(word("1", "answered", "Ring again."), &[("follow_up_on", "2027-05-29")]);
    done(&mut ivo, "/log", &weekend).await;
    let page = see(&mut olga, "").await;
    let conflicts = page.all(".note li");
    assert!(
        conflicts.contains(
            // By hand: Mon 31 May is Memorial Day, so the working day before is Fri 28.
            &"Follow up with Thessaly Marchetti: Bend Weekly is closed on Tue 1 Jun 2027. Try Fri 28 May 2027."
                .to_owned()
        ),
        "{conflicts:?}"
    );
    assert!(conflicts.iter().any(|line| line.contains("Sat 29 May 2027 is a weekend")), "{conflicts:?}");
    assert!(page.says("Burn day is a Saturday, good for families and thin for newsrooms"));
}

/// The due days of tasks by their keys.
async fn due(test: &TestApp, keys: &[&str], (burn_on, closed): (Date, &[Date]), two_working: bool) -> Vec<Date> {
    let mut tasks = test.tasks().await;
    for task in tasks.iter_mut().filter(|task| two_working && task.key.as_deref() == Some("press-follow-up")) {
        task.draft.lead = Lead { days: 2, basis: Basis::Working };
    }
    let calendar = Arc::new(Calendar::new(closed.iter().copied()));
    let outlook = Outlook::of(tasks, calendar, burn_on, date!(2027 - 01 - 04)).unwrap();
    let find = |key: &&str| outlook.rows().find(|(task, _)| task.key.as_deref() == Some(*key)).unwrap().1.due;
    keys.iter().map(find).collect()
}

/// By hand, from the rule that press work due on a closed day is done on the
/// working day before. Seven days before Sat 5 June 2027 is Sat 29 May; Mon 31
/// May is Memorial Day.
#[tokio::test]
async fn press_days_roll_back_to_a_working_day() {
    let test = TestApp::planned().await;
    let (friday, thursday) = (date!(2027 - 05 - 28), date!(2027 - 05 - 27));
    assert_eq!(due(&test, &["media-advisory"], (BURN_ON, &[]), false).await, [friday]);
    assert_eq!(due(&test, &["media-advisory"], (BURN_ON, &[friday]), false).await, [thursday]);
    // A Tuesday burn after the holiday: Friday is one working day before, Thursday two.
    let tuesday = date!(2027 - 06 - 01);
    assert_eq!(due(&test, &["press-follow-up"], (tuesday, &[]), true).await, [thursday]);
    assert_eq!(due(&test, &["press-reminder"], (tuesday, &[]), true).await, [friday]);
    // All of them are in the usual plan; what follows the burn moves on.
    let keys = ["news-release", "daybook", "press-reminder", "results-release", "coverage-log"];
    let days = due(&test, &keys, (BURN_ON, &[]), false).await;
    assert_eq!(days[1..4], [date!(2027 - 06 - 03), date!(2027 - 06 - 04), date!(2027 - 06 - 07)]);
}

#[tokio::test]
async fn the_timeline_of_the_page_is_the_plans() {
    let (_, mut olga, _) = desk().await;
    let page = see(&mut olga, "").await;
    let days = page.all(".cols > section:not(.aside) .list:last-of-type > li");
    let line = |title: &str| days.iter().find(|line| line.contains(title)).cloned().unwrap_or_default();
    assert!(line("Send the media advisory").ends_with("Fri 28 May 2027"), "{days:?}");
    for title in [
        "Send the news release",
        "Follow up with every outlet",
        "Put the burn into the daybooks",
        "Close the coverage log",
    ] {
        assert_ne!(line(title), "", "{title}: {days:?}");
    }
}

#[tokio::test]
async fn a_paper_is_approved_by_somebody_else_once_nothing_is_missing_and_then_stays() {
    let (test, mut olga, mut ivo) = desk().await;
    let bare: Vec<(&str, &str)> = FACTS
        .iter()
        .map(|(name, value)| match *name {
            "area" => ("area", ""),
            "version" => ("version", "1"),
            name => (name, *value),
        })
        .collect();
    done(&mut ivo, "/facts", &bare).await;
    done(&mut ivo, "/papers", &[("kind", "media advisory")]).await;
    let page = see(&mut olga, "/papers/1").await;
    assert_eq!(page.all(".note li"), ["press area"]);
    assert!(page.says("Reading grade"));
    let first = as_read(&mut olga, 1).await;
    let early = refused(&mut olga, "/papers/1/approve", &fields(&first)).await;
    assert!(early.says("Nothing was approved. Missing: press area."));

    let form = page.form();
    let filled = page.text("#filled");
    assert!(
        filled.contains("Saturday 5 June 2027, 10:00") && filled.contains("RAIN DATE: Saturday 12 June 2027"),
        "{filled}"
    );
    let draft = form_text(&mut ivo, "/papers/1").await;
    let finished = draft.replace("{press area}", "By the north fence.");
    let filled = form.clone().with("text", &finished).with("embargo_on", "2027-06-05").with("embargo_at", "12:00");
    assert_eq!(ivo.submit(&format!("{PRESS}/papers/1"), &filled).await.status, 303);
    let read = as_read(&mut ivo, 1).await;
    let own = refused(&mut ivo, "/papers/1/approve", &fields(&read)).await;
    assert!(own.says("You edited this text last. Somebody else reads it and approves it."));
    let stale = refused(&mut olga, "/papers/1/approve", &fields(&first)).await;
    assert!(stale.says("The text was changed since you read it."));
    let unsent = refused(&mut olga, "/papers/1/send", &[("contact", "1")]).await;
    assert!(unsent.says("Nothing is approved yet."));
    let said = approve(&mut olga, 1).await;
    assert_eq!(said, "The media advisory v1 is approved and stays as it is.");
    assert!(refused(&mut olga, "/papers/1/approve", &fields(&read)).await.says("approved already"));

    let whole = see(&mut olga, "/papers/1/print?v=1").await.text("#whole");
    let hold = "Please hold until Sat 5 Jun 2027, 12:00, Central Time (UTC-05:00). This is a request.";
    assert!(whole.starts_with(&format!("Alder Bend Fire District Media advisory {hold}")), "{whole}");
    assert!(whole.ends_with("###"));

    for sql in ["update paper_version set text = 'x'", "delete from paper_version"] {
        let path = test.folder.path().join(burnday::db::FILE);
        let shell = Command::new("sqlite3").arg("-cmd").arg(".timeout 5000").arg(path).arg(sql).output().unwrap();
        let words = String::from_utf8_lossy(&shell.stderr).into_owned();
        assert!(!shell.status.success() && words.contains("an approved version is never"), "{sql}: {words}");
    }

    // A changed text is a draft again, and the first version is as it was.
    let form = see(&mut ivo, "/papers/1").await.form().with("headline", "Another headline");
    assert_eq!(ivo.submit(&format!("{PRESS}/papers/1"), &form).await.status, 303);
    assert_eq!(olga.submit(&format!("{PRESS}/papers/1"), &form).await.status, 409);
    approve(&mut olga, 1).await;
    assert!(!see(&mut olga, "/papers/1/print?v=1").await.says("Another headline"));
    assert!(see(&mut olga, "/papers/1/print").await.says("Another headline"));
    assert_eq!(olga.get(&format!("{PRESS}/papers/1/print?v=3")).await.status, 404);
}

/// The hidden fields with which a paper is approved as its page shows it.
pub async fn as_read(browser: &mut Browser, paper: i64) -> Vec<(String, String)> {
    let page = see(browser, &format!("/papers/{paper}")).await;
    let value = |name: &str| page.attributes(&format!("#approve input[name={name}]"), "value").remove(0);
    ["version", "read"].map(|name| (name.to_owned(), value(name))).to_vec()
}

pub fn fields(read: &[(String, String)]) -> Vec<(&str, &str)> {
    read.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect()
}

/// Reads a paper and approves it.
pub async fn approve(browser: &mut Browser, paper: i64) -> String {
    let read = as_read(browser, paper).await;
    done(browser, &format!("/papers/{paper}/approve"), &fields(&read)).await
}

pub async fn form_text(browser: &mut Browser, path: &str) -> String {
    let page = see(browser, path).await;
    let html = scraper::Html::parse_document(&page.body);
    let area = html.select(&scraper::Selector::parse("textarea#text").unwrap()).next().unwrap();
    area.text().collect::<String>().trim_start_matches('\n').to_owned()
}

/// An approved advisory with three contacts, of whom one can be mailed.
async fn approved() -> (TestApp, Browser, Browser) {
    let (test, mut olga, mut ivo) = desk().await;
    let quiet = test.person("Kwabena Strand", "kwabena@example.org").await;
    test.person("Isidore Blackwood", "").await;
    test.sql(&format!("update person set no_mail = 1 where id = {quiet}"));
    for person in ["Kwabena Strand", "Isidore Blackwood"] {
        done(&mut olga, "/outlets/1/contacts", &[("person", person), ("part", "")]).await;
    }
    done(&mut ivo, "/papers", &[("kind", "media advisory")]).await;
    approve(&mut olga, 1).await;
    (test, olga, ivo)
}

#[tokio::test]
async fn a_paper_goes_to_each_alone_and_whoever_unsubscribes_gets_no_other() {
    let (test, mut olga, mut ivo) = approved().await;
    let page = see(&mut ivo, "/papers/1/send").await;
    assert_eq!(page.all("form .list .t").len(), 1);
    let calls = page.all("section:nth-child(2) .list > li");
    assert!(calls[0].contains("Isidore Blackwood") && calls[0].contains("no mail address"), "{calls:?}");
    assert!(calls[1].contains("Kwabena Strand") && calls[1].contains("wants no announcements"), "{calls:?}");
    assert!(refused(&mut ivo, "/papers/1/send", &[]).await.says("Tick one contact at least."));

    // Whoever can't be mailed isn't, ticked or not.
    let ticked = [("contact", "1"), ("contact", "2"), ("contact", "3")];
    let said = done(&mut ivo, "/papers/1/send", &ticked).await;
    assert_eq!(said, "The media advisory v1 is mailed to 1 contact, each by a mail of their own.");
    let again = done(&mut ivo, "/papers/1/send", &ticked).await;
    assert!(again.contains("mailed to nobody"), "{again}");
    assert!(see(&mut ivo, "/log").await.says("sent media advisory v1"));

    test.tick().await;
    assert_eq!(test.stands(1).await.0, MailState::Sent);
    let files: Vec<_> = std::fs::read_dir(test.folder.path().join("mail")).unwrap().collect();
    assert_eq!(files.len(), 1);
    let raw = std::fs::read(files[0].as_ref().unwrap().path()).unwrap();
    let message = MessageParser::default().parse(&raw).unwrap();
    let to: Vec<_> = message.to().unwrap().iter().filter_map(|address| address.address()).collect();
    assert_eq!(to, ["zdenka@example.org"]);
    assert!(message.cc().is_none() && message.bcc().is_none());
    assert_eq!(message.subject(), Some("Media advisory: Two rooms burn so that families can see how fast it goes"));
    let letter = message.body_text(0).unwrap();
    assert!(letter.contains("WHEN: Saturday 5 June 2027, 10:00") && letter.contains("PRESS AREA: By the north fence."));
    assert!(letter.contains("You get this because we know you at Radio Bend."));
    // RFC 8058, section 3.1: both headers; section 3.2: this body alone, no cookie.
    assert_eq!(message.header_raw("List-Unsubscribe-Post").unwrap().trim(), "List-Unsubscribe=One-Click");
    let link = message.header_raw("List-Unsubscribe").unwrap().trim().trim_matches(['<', '>']).to_owned();
    let path = link.split_once("://").unwrap().1.split_once('/').unwrap().1;
    assert!(letter.contains(&link), "the same link can be pressed");
    let one_click = axum::http::Request::post(format!("/{path}"))
        .header("content-type", "application/x-www-form-urlencoded")
        .body(axum::body::Body::from("List-Unsubscribe=One-Click"))
        .unwrap();
    assert_eq!(test.stranger().send(one_click).await.status, 200);

    let form = see(&mut ivo, "/papers/1").await.form().with("headline", "Update: two rooms burn");
    assert_eq!(ivo.submit(&format!("{PRESS}/papers/1"), &form).await.status, 303);
    approve(&mut olga, 1).await;
    let page = see(&mut ivo, "/papers/1/send").await;
    assert!(page.says("Nobody is left to mail it to."));
    assert!(page.text("section:nth-child(2)").contains("Zdenka Moravec"));
    let said = done(&mut ivo, "/papers/1/send", &ticked).await;
    assert!(said.contains("mailed to nobody"), "{said}");
    assert_eq!(test.dump().lines().filter(|line| line.starts_with("INSERT INTO mail VALUES")).count(), 1);
}

#[tokio::test]
async fn two_contacts_get_two_mails_and_neither_sees_the_other() {
    let (test, mut olga, mut ivo) = approved().await;
    test.person("Ada Quick", "ada@example.org").await;
    done(&mut olga, "/outlets/1/contacts", &[("person", "Ada Quick"), ("part", "")]).await;
    let said = done(&mut ivo, "/papers/1/send", &[("contact", "1"), ("contact", "4")]).await;
    assert_eq!(said, "The media advisory v1 is mailed to 2 contacts, each by a mail of their own.");
    test.tick().await;
    let addresses = ["zdenka@example.org", "ada@example.org"];
    let mut to = Vec::new();
    for file in std::fs::read_dir(test.folder.path().join("mail")).unwrap() {
        let raw = std::fs::read(file.unwrap().path()).unwrap();
        let wire = String::from_utf8_lossy(&raw).into_owned();
        assert_eq!(addresses.iter().filter(|address| wire.contains(**address)).count(), 1, "{wire}");
        let message = MessageParser::default().parse(&raw).unwrap();
        to.extend(message.to().unwrap().iter().filter_map(|mailbox| mailbox.address().map(str::to_owned)));
    }
    to.sort();
    assert_eq!(to, ["ada@example.org", "zdenka@example.org"]);
    let rows = test.dump().lines().filter(|line| line.starts_with("INSERT INTO outreach VALUES")).count();
    assert_eq!(rows, 2, "a row in the log for each");
}

#[tokio::test]
async fn a_paper_of_an_old_date_is_not_mailed() {
    let (test, mut olga, mut ivo) = approved().await;
    done(&mut ivo, "/papers/1/send", &[("contact", "1")]).await;
    move_the_burn(&mut olga).await;
    test.tick().await;
    assert_eq!(test.stands(1).await.0, MailState::Cancelled, "what waits names the old date");
    let late = refused(&mut ivo, "/papers/1/send", &[("contact", "1")]).await;
    assert!(late.says("v1 is out of date: burn day was Saturday 5 June 2027, is Saturday 19 June 2027"));
    let page = see(&mut ivo, "/papers/1").await;
    assert!(page.text("#filled").contains("WHEN: Saturday 19 June 2027"), "{}", page.text("#filled"));
    // The mail never left: nobody has anything to be corrected, and it can go again.
    assert_eq!(page.all("#corrections li"), [""; 0]);
    approve(&mut olga, 1).await;
    assert!(done(&mut ivo, "/papers/1/send", &[("contact", "1")]).await.contains("mailed to 1 contact"));
}

#[tokio::test]
async fn papers_that_wait_stand_in_the_countdown_when_they_are_due() {
    let (test, _, mut ivo) = desk().await;
    done(&mut ivo, "/papers", &[("kind", "media advisory")]).await;
    test.at(datetime!(2027-05-24 15:00 UTC));
    let mut olga = test.olga().await;
    let page = olga.get("/events/1").await;
    assert!(page.text(".list.press").contains("Approve the media advisory"), "{}", page.text(".list.press"));
    approve(&mut olga, 1).await;
    assert!(!olga.get("/events/1").await.says("Approve the media advisory"));
}

#[tokio::test]
async fn on_the_day_arrivals_signatures_and_escorts_are_ticked() {
    let (test, _, mut ivo) = desk().await;
    done(&mut ivo, "/log", &word("1", "will cover it", "Comes.")).await;
    let escort = test.person("Ana Ruiz", "").await.to_string();
    test.at(datetime!(2027-06-05 14:12 UTC));
    let mut olga = test.olga().await;
    let mut ivo = test.somebody(Role::InformationOfficer).await;
    let zdenka = 3;
    let page = see(&mut ivo, "/day").await;
    assert_eq!(page.attributes(".presslist form", "action")[0], format!("{PRESS}/day/{zdenka}"));
    let tick = format!("/day/{zdenka}");
    assert_eq!(done(&mut ivo, &tick, &[("act", "arrived")]).await, "Zdenka Moravec has arrived.");
    assert!(done(&mut ivo, &tick, &[("act", "arrived")]).await.contains("stood so already"));
    done(&mut ivo, &tick, &[("act", "signed")]).await;
    done(&mut ivo, &tick, &[("act", "escort"), ("escort", &escort)]).await;
    let page = see(&mut ivo, "/day").await;
    assert!(page.says("arrived 09:12 · rules signed 09:12 · with Ana Ruiz"), "{}", page.text("main"));
    assert!(page.says("1 named, 1 needed"));
    for name in ["One", "Two", "Three", "Four", "Five"] {
        done(&mut olga, "/day", &[("name", name), ("outlet", "1")]).await;
    }
    assert!(see(&mut ivo, "/day").await.says("1 named, 2 needed"), "six of the press");
    assert!(done(&mut olga, "/day", &[("name", "one")]).await.contains("already"));
    refused(&mut olga, "/day", &[("name", " ")]).await;
    assert_eq!(ivo.post(&format!("{PRESS}/day/1"), &[("act", "arrived")]).await.status, 404, "Olga isn't expected");
}

#[tokio::test]
async fn what_ran_is_noted_and_counted() {
    let (test, _, mut ivo) = approved().await;
    done(&mut ivo, "/papers/1/send", &[("contact", "1")]).await;
    test.at(NOW + Duration::minutes(150));
    done(&mut ivo, "/log", &word("1", "answered", "Will look at it.")).await;
    test.at(datetime!(2027-06-08 15:00 UTC));
    let mut olga = test.olga().await;
    let mut ivo = test.somebody(Role::InformationOfficer).await;
    let wrong =
        [("outlet", "9"), ("ran_on", "2027-06-09"), ("title", ""), ("link", "javascript:x"), ("minutes", "1:99")];
    assert_eq!(refused(&mut ivo, "/coverage", &wrong).await.all(".mistake").len(), 5);
    let story = [("outlet", "1"), ("ran_on", "2027-06-06"), ("title", "Two rooms"), ("minutes", "1:30")];
    done(&mut ivo, "/coverage", &[&story[..], &[("carried", "1"), ("correction", "Gate B, not A")]].concat()).await;
    done(&mut ivo, "/coverage", &story).await;
    let page = see(&mut olga, "/coverage").await;
    let facts = page.all(".facts > div");
    let figure = |label: &str| facts.iter().find(|line| line.starts_with(label)).cloned().unwrap_or_default();
    assert!(figure("Approached").starts_with("Approached1 outlet"), "{facts:?}");
    assert!(figure("Ran it").starts_with("Ran it1 outlet"), "{facts:?}");
    assert!(figure("Get out early.").starts_with("Get out early.1 of 2 stories"), "{facts:?}");
    assert!(figure("Close doors.").starts_with("Close doors.0 of 2 stories"), "{facts:?}");
    assert!(figure("Median").starts_with("Median time to reply2.5 hours"), "{facts:?}");
    assert!(page.says("to correct: Gate B, not A"));
    let form = see(&mut ivo, "/coverage/1").await.form().with("corrected_on", "2027-06-08");
    assert_eq!(ivo.submit(&format!("{PRESS}/coverage/1"), &form).await.status, 303);
    assert_eq!(olga.submit(&format!("{PRESS}/coverage/1"), &form).await.status, 409);
    assert!(see(&mut olga, "/coverage").await.says("corrected Tue 8 Jun: Gate B, not A"));
}

#[tokio::test]
async fn a_reader_sees_how_it_stands_and_not_what_people_said() {
    let (test, _, mut ivo) = desk().await;
    done(&mut ivo, "/log", &and(word("1", "answered", "Wants sound."), &[("follow_up_on", "2026-11-25")])).await;
    let mut reader = test.somebody(Role::Reader).await;
    for path in ["", "/log", "/outlets/1", "/day"] {
        let page = see(&mut reader, path).await;
        assert!(!page.says("Wants sound.") && !page.says("zdenka@example.org"), "{path}");
        assert_eq!(page.all("main form[method=post]"), Vec::<String>::new(), "{path}");
    }
    assert!(see(&mut reader, "").await.says("Zdenka Moravec"));
    for path in ["/log", "/outlets", "/papers", "/facts", "/coverage", "/day", "/outlets/1/list"] {
        let answer = reader.post(&format!("{PRESS}{path}"), &[]).await;
        assert_eq!(answer.status, 403, "{path}");
        assert!(answer.says("Only the education officer and the information officer work with the press."));
    }
}

#[tokio::test]
async fn one_of_two_rows_takes_the_words_of_the_other_and_gives_them_back() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/log", &word("1", "answered", "Wants sound.")).await;
    let other = test.person("Moravec, Zdenka", "").await;
    let zdenka = 3;
    let merge = [("with", zdenka.to_string()), ("version", "1".to_owned()), ("with_version", "1".to_owned())];
    let merge: Vec<(&str, &str)> = merge.iter().map(|(name, value)| (*name, value.as_str())).collect();
    assert_eq!(olga.post(&format!("/people/{other}/merge"), &merge).await.status, 303);
    assert!(see(&mut olga, "/log").await.says("Moravec, Zdenka, Radio Bend: answered"));
    assert!(see(&mut olga, "/outlets/1").await.says("Moravec, Zdenka"));
    let page = olga.get(&format!("/people/{other}")).await;
    let entry = page.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{other}/separate"), &[("entry", &entry)]).await.status, 303);
    assert!(see(&mut olga, "/log").await.says("Zdenka Moravec, Radio Bend: answered"));

    let version = test.known(zdenka).await.version.to_string();
    assert_eq!(olga.post(&format!("/people/{zdenka}/forget"), &[("version", &version)]).await.status, 303);
    let dump = test.dump();
    assert!(!dump.contains("Wants sound.") && !dump.contains("Zdenka Moravec"), "nothing of her stays");
    assert!(see(&mut olga, "/log").await.says("Forgotten."));
}

#[tokio::test]
async fn what_is_typed_is_shown_as_it_was_typed() {
    let (test, mut olga, mut ivo) = desk().await;
    let script = "<script>alert(1)</script>";
    done(&mut ivo, "/outlets", &[("name", script), ("kind", "online"), ("lead_days", "0")]).await;
    done(&mut ivo, "/outlets/2/contacts", &[("person", script), ("part", script)]).await;
    done(&mut ivo, "/outlets/2/list", &[("act", "list"), ("owner", "")]).await;
    done(&mut ivo, "/log", &and(word("2", "will cover it", script), &[("promised", script)])).await;
    done(&mut ivo, "/papers", &[("kind", "news release")]).await;
    let form = see(&mut ivo, "/papers/1").await.form().with("headline", script).with("text", script);
    assert_eq!(ivo.submit(&format!("{PRESS}/papers/1"), &form).await.status, 303);
    let story =
        [("outlet", "2"), ("ran_on", "2026-11-25"), ("title", script), ("link", script), ("correction", script)];
    done(&mut ivo, "/coverage", &story).await;
    for path in [
        "",
        "/outlets",
        "/outlets/2",
        "/log",
        "/log/1",
        "/papers",
        "/papers/1",
        "/papers/1/print",
        "/day",
        "/coverage",
        "/coverage/1",
    ] {
        let page = see(&mut olga, path).await;
        assert_eq!(page.all("script:not([src])"), Vec::<String>::new(), "{path}");
    }
    drop(test);
}
