//! Outlets, the contact log, releases, media check-in and coverage.

use crate::support::{Answer, BURN_ON, Browser, NOW, TestApp};
use burnday::accounts::Role;
use burnday::calc::calendar::{Basis, Calendar};
use burnday::calc::plan::Lead;
use burnday::countdown::Outlook;
use burnday::mail::MailState;
use burnday::web::words::Reader;
use mail_parser::MessageParser;
use std::sync::Arc;
use time::macros::{date, datetime};
use time::{Date, Duration};

pub const PRESS: &str = "/events/1/press";

/// The address of a page of Press; its check-in is among the pages of burn day.
fn at(path: &str) -> String {
    path.strip_prefix("/day").map_or_else(|| format!("{PRESS}{path}"), |rest| format!("/events/1/burn-day/press{rest}"))
}

pub async fn done(browser: &mut Browser, path: &str, fields: &[(&str, &str)]) -> String {
    let answer = browser.post(&at(path), fields).await;
    assert_eq!(answer.status, 303, "POST {path} {fields:?}\n{}", answer.text("main"));
    let next = answer.location().to_owned();
    browser.get(&next).await.text("#said")
}

pub async fn refused(browser: &mut Browser, path: &str, fields: &[(&str, &str)]) -> Answer {
    let answer = browser.post(&at(path), fields).await;
    assert_eq!(answer.status, 422, "POST {path} {fields:?}");
    answer
}

pub async fn see(browser: &mut Browser, path: &str) -> Answer {
    let page = browser.get(&at(path)).await;
    assert_eq!(page.status, 200, "GET {path}");
    page
}

const WEEKLY: [(&str, &str); 4] =
    [("name", "Bend Weekly"), ("kind", "weekly newspaper"), ("lead_days", "10"), ("closed_on", "2027-06-01")];
const RADIO: [(&str, &str); 3] = [("name", "Radio Bend"), ("kind", "radio"), ("lead_days", "1")];
pub const FACTS: [(&str, &str); 13] = [
    ("contact", "Jun Castellane"),
    ("phone", "555-0118"),
    ("mail", "jun@example.org"),
    ("why", "Most people think they have longer."),
    ("area", "By the north fence."),
    ("arrival", "From 9:15 a.m. by gate B."),
    ("interviews", "The chief at 11 a.m."),
    ("visuals", "Smoke alarm at about minute 1."),
    ("decision", "Posted by 4 p.m. the day before."),
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
    /// Wren is asked, and there is one of everything that has its own page.
    pub async fn walked() -> Self {
        let test = Self::asked().await;
        test.with_press().await;
        test.with_crew().await;
        test.with_fire().await;
        test.with_drawings().await;
        test.with_gates().await;
        test.with_talk().await;
        test.clock().await;
        test
    }

    /// One of everything in Press that has a page: Radio Bend is outlet 1, Zdenka is
    /// contact 1, and there is a log entry, an advisory and a story.
    pub async fn with_press(&self) {
        let zdenka = self.person("Zdenka Moravec", "zdenka@example.org").await;
        assert!(zdenka > 0);
        let mut olga = self.olga().await;
        done(&mut olga, "/outlets", &RADIO).await;
        done(&mut olga, "/outlets/1/contacts", &[("person", "zdenka moravec"), ("part", "morning show")]).await;
        done(&mut olga, "/outlets/1/list", &[("act", "list"), ("owner", "")]).await;
        done(&mut olga, "/facts", &FACTS).await;
        done(&mut olga, "/releases", &[("kind", "media advisory")]).await;
        done(&mut olga, "/log", &word("1", "no answer yet", "Left a message.")).await;
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

/// Sat, June 19.
pub const MOVED_TO: Date = date!(2027 - 06 - 19);

/// To that day, with no rain date.
pub async fn move_the_burn(olga: &mut Browser) {
    let moved = olga.post("/events/1/move", &MOVE).await;
    assert_eq!(moved.status, 303, "{}", moved.text("main"));
}

/// A day as releases have it, in AP style.
pub fn press_day(on: Date) -> String {
    Reader::Press.near_day(on, NOW.date())
}

/// Why the page says that nothing was done.
pub fn why(page: &Answer) -> String {
    page.mark("#refused", "why")
}

pub fn has_all(text: &str, parts: &[&str]) -> bool {
    parts.iter().all(|part| text.contains(part))
}

/// Outlets that are done, waiting and open, as the countdown shows them.
fn pips(page: &Answer) -> [usize; 3] {
    [".y", ".w", "span:not([class])"].map(|pip| page.count(&format!(".ready a[href='{PRESS}'] + .pips > {pip}")))
}

/// How many emails were ever written.
fn mails(test: &TestApp) -> usize {
    test.dump().lines().filter(|line| line.starts_with("INSERT INTO mail VALUES")).count()
}

#[tokio::test]
async fn an_empty_press_page_says_what_to_do_next() {
    let test = TestApp::planned().await;
    let mut olga = test.olga().await;
    let page = see(&mut olga, "").await;
    let outlets = format!("a[href='{PRESS}/outlets']");
    assert!(page.has(&format!("[data-empty=outlets][data-known='0'] {outlets}")));
    assert!(page.has(&format!("[data-empty=papers] a[href='{PRESS}/releases']")));
    assert!(see(&mut olga, "/outlets").await.has("[data-empty=outlets]"));
    assert!(see(&mut olga, "/day").await.has("[data-empty=press]"));
    assert!(see(&mut olga, "/coverage").await.has(&format!("[data-empty=outlets] {outlets}")));
    // Until there is a list, the countdown shows the strand's tasks.
    let countdown = olga.get("/events/1").await;
    assert_eq!(pips(&countdown), [0, 0, 0]);
    assert!(countdown.has(".ready a[href^='/events/1/tasks?strand=Press'] + .pips > span"));
}

#[tokio::test]
async fn an_outlet_is_known_once_and_changed_by_one_at_a_time() {
    let (test, mut olga, mut ivo) = desk().await;
    let twice = refused(&mut ivo, "/outlets", &RADIO).await;
    assert_eq!(twice.mistakes(), ["name"]);
    let wrong = [("name", ""), ("kind", "circus"), ("lead_days", "900"), ("closed_on", "soon")];
    let wrong = refused(&mut ivo, "/outlets", &wrong).await;
    assert_eq!(wrong.mistakes(), ["name", "kind", "lead_days", "closed_on"]);
    assert_eq!(wrong.value("closed_on"), "soon");
    // June 1, 2027 is a Tuesday.
    let no_such_day = [("name", "Bend Weekly"), ("kind", "weekly newspaper"), ("lead_days", "10")];
    let no_such_day = and(no_such_day.to_vec(), &[("closed_on", "Monday, June 1, 2027")]);
    assert_eq!(refused(&mut ivo, "/outlets", &no_such_day).await.mistakes(), ["closed_on"]);

    done(&mut ivo, "/outlets", &WEEKLY).await;
    let taken = [("name", "radio bend"), ("kind", "radio"), ("lead_days", "1"), ("version", "1")];
    assert_eq!(refused(&mut ivo, "/outlets/2", &taken).await.mistakes(), ["name"]);
    let mine = [("name", "Bend Weekly"), ("kind", "weekly newspaper"), ("lead_days", "7"), ("version", "1")];
    done(&mut ivo, "/outlets/2", &mine).await;
    let stale = olga.post(&format!("{PRESS}/outlets/2"), &mine).await;
    assert_eq!(stale.status, 409);

    done(&mut ivo, "/outlets/2/contacts", &[("person", "Thessaly Marchetti"), ("part", "editor")]).await;
    let page = see(&mut olga, "/outlets/2").await;
    assert!(page.text("[data-contact='2']").contains("Thessaly Marchetti"), "someone new is added");
    assert_eq!(page.mark("[data-contact='2']", "unmailed"), "no address");
    done(&mut ivo, "/outlets/2/contacts/gone", &[("contact", "2")]).await;
    assert!(see(&mut olga, "/outlets/2").await.has("[data-empty=contacts]"));
    assert!(test.dump().contains("took a contact from"));
}

#[tokio::test]
async fn a_word_is_logged_with_now_as_its_time_and_a_follow_up_stands_on_top_when_due() {
    let (test, _, mut ivo) = desk().await;
    let follow = and(word("1", "answered", "Wants sound."), &[("follow_up_on", "2026-11-27")]);
    done(&mut ivo, "/log", &follow).await;
    let whom = ["Zdenka Moravec", "Radio Bend"];
    let entry = see(&mut ivo, "/log").await.text("[data-entry='1']");
    assert!(has_all(&entry, &whom) && entry.contains(&Reader::App.moment(datetime!(2026-11-25 09:00))), "{entry}");
    assert!(see(&mut ivo, "").await.has("[data-empty=due]"));

    test.at(NOW + Duration::days(2));
    let page = see(&mut ivo, "").await;
    assert_eq!(page.attributes(".aside .list > li", "data-due"), ["2026-11-27"]);
    assert!(has_all(&page.text(".aside [data-due]"), &whom), "{}", page.text(".aside"));
    assert!(!page.has(".aside [data-late]"));
    let told = ivo.get("/events/1").await.all(&format!(".list.press .t > a[href='{PRESS}']"));
    assert!(told.len() == 1 && has_all(&told[0], &whom), "{told:?}");

    test.at(NOW + Duration::days(3));
    let late = ".aside [data-due='2026-11-27'][data-late]";
    assert!(see(&mut ivo, "").await.has(late));
    let earlier = and(word("1", "answered", "Before."), &[("on", "2026-11-24"), ("at", "10:00")]);
    done(&mut ivo, "/log", &earlier).await;
    assert!(see(&mut ivo, "").await.has(late), "an earlier entry changes nothing");
    done(&mut ivo, "/log", &word("1", "answered", "Sent it.")).await;
    assert!(see(&mut ivo, "").await.has("[data-empty=due]"));
}

#[tokio::test]
async fn a_word_that_makes_no_sense_is_not_logged() {
    let (test, _, mut ivo) = desk().await;
    let before = test.dump();
    let page = refused(&mut ivo, "/log", &[("words", ""), ("at", "25:00")]).await;
    assert_eq!(page.mistakes(), ["contact", "channel", "outcome", "words", "at"]);
    let ahead = and(word("1", "answered", "x"), &[("on", "2026-11-26")]);
    assert_eq!(refused(&mut ivo, "/log", &ahead).await.mistakes(), ["at"]);
    let back = and(word("1", "answered", "x"), &[("follow_up_on", "2026-11-24")]);
    assert_eq!(refused(&mut ivo, "/log", &back).await.mistakes(), ["follow_up_on"]);
    assert_eq!(before, test.dump());
}

#[tokio::test]
async fn a_correction_is_a_row_of_its_own_and_made_once() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/log", &word("1", "no answer yet", "Left a message.")).await;
    let form = see(&mut ivo, "/log/1").await.form().with("words", "Spoke to her.").with("outcome", "answered");
    let answer = ivo.submit(&format!("{PRESS}/log/1"), &form).await;
    assert_eq!(answer.status, 303, "{}", answer.text("main"));
    let page = see(&mut ivo, "/log").await;
    let (old, new) = ("[data-entry='1'][data-corrected]", "[data-entry='2'][data-corrects='1']");
    assert!(page.text(&format!("{old} del")).contains("Zdenka Moravec"));
    assert_eq!(page.count("del"), 1);
    assert_eq!((page.mark(old, "outcome").as_str(), page.mark(new, "outcome").as_str()), ("no answer yet", "answered"));
    assert!(page.text(new).contains("Spoke to her.") && page.text(old).contains("Left a message."));
    let again = olga.submit(&format!("{PRESS}/log/1"), &form).await;
    assert!(!olga.get(again.location()).await.said().is_empty());
    let rows = test.dump().lines().filter(|line| line.starts_with("INSERT INTO outreach ")).count();
    assert_eq!(rows, 2);
}

#[tokio::test]
async fn who_will_cover_it_says_so_to_a_date_and_the_pips_tell() {
    let (test, mut olga, mut ivo) = desk().await;
    assert_eq!(pips(&olga.get("/events/1").await), [0, 0, 1]);
    done(&mut ivo, "/log", &word("1", "no answer yet", "Left a message.")).await;
    assert_eq!(pips(&olga.get("/events/1").await), [0, 1, 0]);
    done(&mut ivo, "/log", &word("1", "will cover it", "Sends a crew of one.")).await;
    assert_eq!(pips(&olga.get("/events/1").await), [1, 0, 0]);
    let asks = olga.get("/events/1/replies").await;
    assert!(asks.text("[data-request='1']").contains("Zdenka Moravec"), "{}", asks.text("main"));
    assert_eq!(asks.mark("[data-request='1'] [data-day='2027-06-05']", "said"), "yes");
    assert_eq!(see(&mut ivo, "").await.mark("[data-outlet='1']", "state"), "comes");
    assert!(see(&mut ivo, "/day").await.text(".presslist > li").contains("Zdenka Moravec"));

    // Another day needs another answer.
    move_the_burn(&mut olga).await;
    assert_eq!(pips(&olga.get("/events/1").await), [0, 1, 0]);
    done(&mut ivo, "/log", &word("1", "will cover it", "Comes then too.")).await;
    assert_eq!(pips(&olga.get("/events/1").await), [1, 0, 0]);
    let dump = test.dump();
    assert_eq!(dump.lines().filter(|line| line.starts_with("INSERT INTO request VALUES")).count(), 1, "one question");
}

#[tokio::test]
async fn problems_are_first_and_what_is_settled_is_folded() {
    let (test, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    let (open, folded) = (".cols > section > .list", "details:not([open])");
    let page = see(&mut ivo, "").await;
    for line in ["[data-outlet='1'][data-state=open]", "[data-paper='1'][data-state=complete]"] {
        assert!(page.has(&format!("{open} > {line}")), "{line}");
    }
    assert!(!page.has("[data-needs=now]"));
    // Tasks months ahead are folded, but for the next one.
    assert!((1..4).contains(&page.count(&format!("{open} > [data-task]"))));
    assert!(page.count(&format!("{folded}[data-rest=tasks] [data-task]")) > 3);

    approve(&mut olga, 1).await;
    assert!(see(&mut ivo, "").await.has(&format!("{open} > [data-paper='1'][data-state=approved]")), "no one has it");
    done(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    let page = see(&mut ivo, "").await;
    for line in ["papers] [data-paper='1']", "outlets] [data-outlet='1'][data-state=approached]"] {
        assert!(page.has(&format!("{folded}[data-rest={line}")), "{line}: {}", page.text("main"));
    }
    move_the_burn(&mut olga).await;
    let page = see(&mut ivo, "").await;
    assert!(page.has("[data-needs=now] [data-paper='1'][data-state='out of date']"));
    assert_eq!(page.count("[data-paper='1']"), 1, "once");

    // A late task is a problem, until it is done.
    test.at(datetime!(2027-06-15 15:00 UTC));
    let late = format!("[data-needs=now] [data-task='{}'][data-late]", test.task("media-advisory").await);
    assert!(see(&mut test.olga().await, "").await.has(&late));
}

#[tokio::test]
async fn days_that_do_not_fit_an_outlet_are_shown() {
    let (_, mut olga, mut ivo) = desk().await;
    done(&mut ivo, "/outlets", &WEEKLY).await;
    done(&mut ivo, "/outlets/2/contacts", &[("person", "Thessaly Marchetti"), ("part", "")]).await;
    done(&mut ivo, "/outlets/2/list", &[("act", "list"), ("owner", "")]).await;
    let closed = and(word("2", "answered", "Call again."), &[("follow_up_on", "2027-06-01")]);
    let said = done(&mut ivo, "/log", &closed).await;
    assert!(said.contains(&Reader::App.day(date!(2027 - 06 - 01))), "{said}");
    let weekend = and(word("1", "answered", "Call again."), &[("follow_up_on", "2027-05-29")]);
    done(&mut ivo, "/log", &weekend).await;
    let page = see(&mut olga, "").await;
    // By hand: Mon 31 May is Memorial Day, so the working day before is Fri 28.
    let closed = page.text("[data-why=closed][data-day='2027-06-01'][data-instead='2027-05-28']");
    let (day, instead) = (Reader::App.day(date!(2027 - 06 - 01)), Reader::App.day(date!(2027 - 05 - 28)));
    assert!(has_all(&closed, &["Thessaly Marchetti", "Bend Weekly", &day, &instead]), "{}", page.text("main"));
    let weekend = page.text("[data-why=weekend][data-day='2027-05-29']");
    assert!(weekend.contains("Zdenka Moravec"), "{}", page.text("main"));
    assert!(page.text("[data-advice='burn day']").contains(&BURN_ON.weekday().to_string()));
}

/// The due days of tasks by their keys.
async fn due(test: &TestApp, keys: &[&str], (burn_on, closed): (Date, &[Date]), two_working: bool) -> Vec<Date> {
    let mut tasks = test.tasks().await;
    for task in tasks.iter_mut().filter(|task| two_working && task.key.as_deref() == Some("press-follow-up")) {
        task.details.lead = Lead { days: 2, basis: Basis::Working };
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
    let (test, mut olga, _) = desk().await;
    let page = see(&mut olga, "").await;
    let advisory = format!("[data-task='{}']", test.task("media-advisory").await);
    assert_eq!(page.mark(&advisory, "due"), "2027-05-28");
    assert!(page.text(&advisory).ends_with(&Reader::App.day(date!(2027 - 05 - 28))), "{}", page.text(&advisory));
    for key in ["news-release", "press-follow-up", "daybook", "coverage-log"] {
        let task = test.task(key).await;
        assert_ne!(page.mark(&format!("[data-task='{task}']"), "due"), "", "{key}");
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
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    let page = see(&mut olga, "/releases/1").await;
    let wanted = page.text("[data-mark='press area']");
    assert_eq!(page.all("#missing li"), [wanted.trim_matches(['[', ']'])]);
    assert!(!page.fact("Reading grade").is_empty());
    let first = as_read(&mut olga, 1).await;
    let early = refused(&mut olga, "/releases/1/approve", &fields(&first)).await;
    assert_eq!(why(&early), "missing");

    let form = page.form();
    let filled = page.text("#filled");
    let said = format!("10 a.m. {}", press_day(BURN_ON));
    assert!(has_all(&filled, &[&said, &press_day(date!(2027 - 06 - 12))]), "{filled}");
    let draft = form_text(&mut ivo, "/releases/1").await;
    let finished = draft.replace("{press area}", "By the north fence.");
    let filled = form.clone().with("text", &finished).with("embargo_on", "2027-06-05").with("embargo_at", "12:00");
    assert_eq!(ivo.submit(&format!("{PRESS}/releases/1"), &filled).await.status, 303);
    let read = as_read(&mut ivo, 1).await;
    let own = refused(&mut ivo, "/releases/1/approve", &fields(&read)).await;
    assert_eq!(why(&own), "own text");
    let stale = refused(&mut olga, "/releases/1/approve", &fields(&first)).await;
    assert_eq!(why(&stale), "changed");
    let unsent = refused(&mut olga, "/releases/1/send", &[("contact", "1")]).await;
    assert_eq!(why(&unsent), "not approved");
    approve(&mut olga, 1).await;
    let page = see(&mut olga, "/releases/1").await;
    assert_eq!(page.attributes("#versions > li", "data-read"), ["account"]);
    assert!(page.has("[data-note=approved]"));
    assert_eq!(why(&refused(&mut olga, "/releases/1/approve", &fields(&read)).await), "approved");

    let printed = see(&mut olga, "/releases/1/print?v=1").await;
    let (whole, hold) = (printed.text("#whole"), printed.text(".hold"));
    assert!(has_all(&hold, &[&Reader::Press.moment(datetime!(2027-06-05 12:00)), "Central Time"]), "{hold}");
    assert!(whole.starts_with(&format!("Alder Bend Fire District {} {hold}", printed.text(".paper .kind"))), "{whole}");
    assert!(whole.ends_with("###"));

    for sql in ["update paper_version set text = 'x'", "delete from paper_version"] {
        assert!(test.refuses(sql), "{sql}");
        assert!(!test.refuses(&format!("{sql} where number = 0")), "{sql}: it is the version that stays");
    }

    // A changed text is a draft again, and the first version is as it was.
    let form = see(&mut ivo, "/releases/1").await.form().with("headline", "Another headline");
    assert_eq!(ivo.submit(&format!("{PRESS}/releases/1"), &form).await.status, 303);
    assert_eq!(olga.submit(&format!("{PRESS}/releases/1"), &form).await.status, 409);
    approve(&mut olga, 1).await;
    assert!(!see(&mut olga, "/releases/1/print?v=1").await.says("Another headline"));
    assert!(see(&mut olga, "/releases/1/print").await.says("Another headline"));
    assert_eq!(olga.get(&format!("{PRESS}/releases/1/print?v=3")).await.status, 404);
}

/// The hidden fields that approve a release as its page shows it.
pub async fn as_read(browser: &mut Browser, paper: i64) -> Vec<(String, String)> {
    let page = see(browser, &format!("/releases/{paper}")).await;
    let value = |name: &str| page.attributes(&format!("#approve input[name={name}]"), "value").remove(0);
    ["version", "read"].map(|name| (name.to_owned(), value(name))).to_vec()
}

pub fn fields(read: &[(String, String)]) -> Vec<(&str, &str)> {
    read.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect()
}

/// Reads a release and approves it.
pub async fn approve(browser: &mut Browser, paper: i64) -> String {
    let read = as_read(browser, paper).await;
    done(browser, &format!("/releases/{paper}/approve"), &fields(&read)).await
}

pub async fn form_text(browser: &mut Browser, path: &str) -> String {
    let page = see(browser, path).await;
    let html = scraper::Html::parse_document(&page.body);
    let area = html.select(&scraper::Selector::parse("textarea#text").unwrap()).next().unwrap();
    area.text().collect::<String>().trim_start_matches('\n').to_owned()
}

/// An approved advisory with three contacts, one of whom can get email.
async fn approved() -> (TestApp, Browser, Browser) {
    let (test, mut olga, mut ivo) = desk().await;
    let quiet = test.person("Kwabena Strand", "kwabena@example.org").await;
    test.person("Isidore Blackwood", "").await;
    test.sql(&format!("update person set no_mail = 1 where id = {quiet}"));
    for person in ["Kwabena Strand", "Isidore Blackwood"] {
        done(&mut olga, "/outlets/1/contacts", &[("person", person), ("part", "")]).await;
    }
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    approve(&mut olga, 1).await;
    (test, olga, ivo)
}

#[tokio::test]
async fn a_paper_goes_to_each_alone_and_whoever_unsubscribes_gets_no_other() {
    let (test, mut olga, mut ivo) = approved().await;
    let page = see(&mut ivo, "/releases/1/send").await;
    assert_eq!(page.all("form .list .t").len(), 1);
    let calls = page.all("#to-call > li");
    assert!(calls[0].contains("Isidore Blackwood") && calls[1].contains("Kwabena Strand"), "{calls:?}");
    assert_eq!(page.attributes("#to-call > li", "data-unmailed"), ["no address", "unwanted"]);
    assert_eq!(why(&refused(&mut ivo, "/releases/1/send", &[]).await), "nobody ticked");

    // Nobody who can't get email is sent one, checked or not.
    let ticked = [("contact", "1"), ("contact", "2"), ("contact", "3")];
    done(&mut ivo, "/releases/1/send", &ticked).await;
    assert_eq!(see(&mut ivo, "/releases/1").await.mark("[data-version='1']", "sent"), "1");
    let again = done(&mut ivo, "/releases/1/send", &ticked).await;
    assert!(!again.is_empty() && mails(&test) == 1, "{again}");
    assert_eq!(see(&mut ivo, "/log").await.attributes("[data-entry]", "data-sent"), ["media advisory v1"]);
    let headline = see(&mut ivo, "/releases/1").await.value("headline");

    test.tick().await;
    assert_eq!(test.stands(1).await.0, MailState::Sent);
    let files: Vec<_> = std::fs::read_dir(test.folder.path().join("mail")).unwrap().collect();
    assert_eq!(files.len(), 1);
    let raw = std::fs::read(files[0].as_ref().unwrap().path()).unwrap();
    let message = MessageParser::default().parse(&raw).unwrap();
    let to: Vec<_> = message.to().unwrap().iter().filter_map(|address| address.address()).collect();
    assert_eq!(to, ["zdenka@example.org"]);
    assert!(message.cc().is_none() && message.bcc().is_none());
    let subject = message.subject().unwrap();
    assert!(subject.ends_with(&headline) && !headline.is_empty(), "{subject}");
    let letter = message.body_text(0).unwrap();
    // The outlet's name says why they get it.
    let told = [press_day(BURN_ON), press_day(date!(2027 - 06 - 12)), headline, "Radio Bend".to_owned()];
    assert!(told.iter().all(|part| letter.contains(part)), "{letter}");
    assert!(has_all(&letter, &["10 a.m.", "By the north fence.", "555-0118"]), "{letter}");
    // RFC 8058, section 3.1: both headers; section 3.2: this body alone, no cookie.
    assert_eq!(message.header_raw("List-Unsubscribe-Post").unwrap().trim(), "List-Unsubscribe=One-Click");
    let link = message.header_raw("List-Unsubscribe").unwrap().trim().trim_matches(['<', '>']).to_owned();
    let path = link.split_once("://").unwrap().1.split_once('/').unwrap().1;
    assert!(letter.contains(&link), "the link is in the text too");
    let read = letter.replace("\r\n", "\n").replace(&link, "{link}");
    insta::assert_snapshot!("advisory-mailed", format!("{subject}\n\n{read}"));
    let one_click = axum::http::Request::post(format!("/{path}"))
        .header("content-type", "application/x-www-form-urlencoded")
        .body(axum::body::Body::from("List-Unsubscribe=One-Click"))
        .unwrap();
    assert_eq!(test.stranger().send(one_click).await.status, 200);

    let form = see(&mut ivo, "/releases/1").await.form().with("headline", "Update: two rooms burn");
    assert_eq!(ivo.submit(&format!("{PRESS}/releases/1"), &form).await.status, 303);
    approve(&mut olga, 1).await;
    let page = see(&mut ivo, "/releases/1/send").await;
    assert!(page.has("[data-empty='to mail']"));
    assert!(page.text("#to-call").contains("Zdenka Moravec"));
    let said = done(&mut ivo, "/releases/1/send", &ticked).await;
    assert!(!said.is_empty() && mails(&test) == 1, "{said}");
}

#[tokio::test]
async fn two_contacts_get_two_mails_and_neither_sees_the_other() {
    let (test, mut olga, mut ivo) = approved().await;
    test.person("Ada Quick", "ada@example.org").await;
    done(&mut olga, "/outlets/1/contacts", &[("person", "Ada Quick"), ("part", "")]).await;
    done(&mut ivo, "/releases/1/send", &[("contact", "1"), ("contact", "4")]).await;
    assert_eq!(see(&mut ivo, "/releases/1").await.mark("[data-version='1']", "sent"), "2");
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
    assert_eq!(rows, 2, "a log entry for each");
}

#[tokio::test]
async fn a_paper_of_an_old_date_is_not_mailed() {
    let (test, mut olga, mut ivo) = approved().await;
    done(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    move_the_burn(&mut olga).await;
    test.tick().await;
    assert_eq!(test.stands(1).await.0, MailState::Cancelled, "a waiting email has the old date");
    let late = refused(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    assert_eq!(why(&late), "out of date");
    let (was, is) = (press_day(BURN_ON), press_day(MOVED_TO));
    assert!(has_all(&late.text("#refused"), &["v1", &was, &is]), "{}", late.text("#refused"));
    let page = see(&mut ivo, "/releases/1").await;
    let change = "#outdated [data-change='burn day']";
    assert_eq!((page.mark(change, "was"), page.mark(change, "now")), (was.clone(), is.clone()));
    let filled = page.text("#filled");
    assert!(filled.contains(&is) && !filled.contains(&was), "{filled}");
    // The email never went out: nobody needs a correction, and it can be sent again.
    assert_eq!(page.count("#corrections li"), 0);
    approve(&mut olga, 1).await;
    done(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    assert_eq!(see(&mut ivo, "/releases/1").await.mark("[data-version='2']", "sent"), "1");
}

#[tokio::test]
async fn papers_that_wait_stand_in_the_countdown_when_they_are_due() {
    let (test, _, mut ivo) = desk().await;
    done(&mut ivo, "/releases", &[("kind", "media advisory")]).await;
    test.at(datetime!(2027-05-24 15:00 UTC));
    let mut olga = test.olga().await;
    let waits = format!("a[href='{PRESS}/releases/1']");
    let page = olga.get("/events/1").await;
    assert!(page.has(&format!(".list.press {waits}")), "{}", page.text(".list.press"));
    approve(&mut olga, 1).await;
    assert!(!olga.get("/events/1").await.has(&waits));
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
    assert_eq!(page.attributes(".presslist form", "action")[0], at(&format!("/day/{zdenka}")));
    let tick = format!("/day/{zdenka}");
    done(&mut ivo, &tick, &[("act", "arrived")]).await;
    assert!(!done(&mut ivo, &tick, &[("act", "arrived")]).await.is_empty());
    assert_eq!(test.dump().matches("'saw arrive'").count(), 1, "once in the journal");
    done(&mut ivo, &tick, &[("act", "signed")]).await;
    done(&mut ivo, &tick, &[("act", "escort"), ("escort", &escort)]).await;
    let page = see(&mut ivo, "/day").await;
    let line = format!("[data-person='{zdenka}']");
    let stands = ["arrived", "signed", "escort"].map(|what| page.mark(&line, what));
    assert_eq!(stands, ["09:12", "09:12", &escort]);
    assert!(has_all(&page.text(&format!("{line} b")), &["09:12", "Ana Ruiz"]), "{}", page.text("main"));
    let escorts = |page: &Answer| ["named", "needed"].map(|what| page.mark("#escorts", what));
    assert_eq!(escorts(&page), ["1", "1"]);
    for name in ["One", "Two", "Three", "Four", "Five"] {
        done(&mut olga, "/day", &[("name", name), ("outlet", "1")]).await;
    }
    assert!(!done(&mut olga, "/day", &[("name", "one")]).await.is_empty());
    let page = see(&mut ivo, "/day").await;
    assert_eq!(page.count(".presslist > li"), 6, "nobody is on the list twice");
    assert_eq!(escorts(&page), ["1", "2"], "for six media");
    assert_eq!(refused(&mut olga, "/day", &[("name", " ")]).await.mistakes(), ["name"]);
    assert_eq!(ivo.post(&at("/day/1"), &[("act", "arrived")]).await.status, 404, "Olga isn't expected");
}

#[tokio::test]
async fn what_ran_is_noted_and_counted() {
    let (test, _, mut ivo) = approved().await;
    done(&mut ivo, "/releases/1/send", &[("contact", "1")]).await;
    test.at(NOW + Duration::minutes(150));
    done(&mut ivo, "/log", &word("1", "answered", "Will look at it.")).await;
    test.at(datetime!(2027-06-08 15:00 UTC));
    let mut olga = test.olga().await;
    let mut ivo = test.somebody(Role::InformationOfficer).await;
    let wrong =
        [("outlet", "9"), ("ran_on", "2027-06-09"), ("title", ""), ("link", "javascript:x"), ("minutes", "1:99")];
    let wrong = refused(&mut ivo, "/coverage", &wrong).await;
    assert_eq!(wrong.mistakes(), ["outlet", "ran_on", "title", "link", "minutes"]);
    let story = [("outlet", "1"), ("ran_on", "2027-06-06"), ("title", "Two rooms"), ("minutes", "1:30")];
    done(&mut ivo, "/coverage", &[&story[..], &[("carried", "1"), ("correction", "Gate B, not A")]].concat()).await;
    done(&mut ivo, "/coverage", &story).await;
    let page = see(&mut olga, "/coverage").await;
    let figure = |name: &str| page.mark(&format!("[data-figure='{name}']"), "number");
    let figures = ["approached", "ran", "message 1", "message 2", "hours to reply"].map(figure);
    assert_eq!(figures, ["1", "1", "1", "0", "2.5"]);
    for (number, message) in [(1, "Get out early."), (2, "Close doors.")] {
        let line = format!("[data-figure='message {number}'][data-of='2']");
        assert_eq!(page.text(&format!("{line} dt")), message);
    }
    let story = |page: &Answer| ["correction", "corrected"].map(|what| page.mark("[data-story='1']", what));
    assert_eq!(story(&page), ["wanted", ""]);
    assert!(page.text("[data-story='1']").contains("Gate B, not A"));
    let form = see(&mut ivo, "/coverage/1").await.form().with("corrected_on", "2027-06-08");
    assert_eq!(ivo.submit(&format!("{PRESS}/coverage/1"), &form).await.status, 303);
    assert_eq!(olga.submit(&format!("{PRESS}/coverage/1"), &form).await.status, 409);
    let page = see(&mut olga, "/coverage").await;
    assert_eq!(story(&page), ["done", "2027-06-08"]);
    assert!(page.text("[data-story='1']").contains("Gate B, not A"));
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
    for path in ["/log", "/outlets", "/releases", "/facts", "/coverage", "/day", "/outlets/1/list"] {
        let answer = reader.post(&at(path), &[]).await;
        assert_eq!(answer.status, 403, "{path}");
        let may = [Role::EducationOfficer.as_str(), Role::InformationOfficer.as_str()];
        assert!(has_all(&answer.text("main"), &may), "{path}: it says who may");
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
    let log = see(&mut olga, "/log").await;
    assert!(has_all(&log.text("[data-entry='1']"), &["Moravec, Zdenka", "Wants sound."]));
    assert_eq!(log.mark("[data-entry='1']", "outcome"), "answered");
    assert!(see(&mut olga, "/outlets/1").await.says("Moravec, Zdenka"));
    let page = olga.get(&format!("/people/{other}")).await;
    let entry = page.attributes("input[name=entry]", "value")[0].clone();
    assert_eq!(olga.post(&format!("/people/{other}/undo-merge"), &[("entry", &entry)]).await.status, 303);
    let entry = see(&mut olga, "/log").await.text("[data-entry='1']");
    assert!(has_all(&entry, &["Zdenka Moravec", "Wants sound."]), "{entry}");

    let version = test.known(zdenka).await.version.to_string();
    assert_eq!(olga.post(&format!("/people/{zdenka}/erase"), &[("version", &version)]).await.status, 303);
    let dump = test.dump();
    assert!(!dump.contains("Wants sound.") && !dump.contains("Zdenka Moravec"), "nothing of her stays");
    let entry = see(&mut olga, "/log").await.text("[data-entry='1']");
    assert!(!entry.is_empty() && !entry.contains("Zdenka") && !entry.contains("sound"), "{entry}");
}

#[tokio::test]
async fn what_is_typed_is_shown_as_it_was_typed() {
    let (test, mut olga, mut ivo) = desk().await;
    let script = "<script>alert(1)</script>";
    done(&mut ivo, "/outlets", &[("name", script), ("kind", "online"), ("lead_days", "0")]).await;
    done(&mut ivo, "/outlets/2/contacts", &[("person", script), ("part", script)]).await;
    done(&mut ivo, "/outlets/2/list", &[("act", "list"), ("owner", "")]).await;
    done(&mut ivo, "/log", &and(word("2", "will cover it", script), &[("promised", script)])).await;
    done(&mut ivo, "/releases", &[("kind", "news release")]).await;
    let form = see(&mut ivo, "/releases/1").await.form().with("headline", script).with("text", script);
    assert_eq!(ivo.submit(&format!("{PRESS}/releases/1"), &form).await.status, 303);
    let story =
        [("outlet", "2"), ("ran_on", "2026-11-25"), ("title", script), ("link", script), ("correction", script)];
    done(&mut ivo, "/coverage", &story).await;
    for path in [
        "",
        "/outlets",
        "/outlets/2",
        "/log",
        "/log/1",
        "/releases",
        "/releases/1",
        "/releases/1/print",
        "/day",
        "/coverage",
        "/coverage/1",
    ] {
        let page = see(&mut olga, path).await;
        assert_eq!(page.all("script:not([src])"), Vec::<String>::new(), "{path}");
    }
    drop(test);
}
