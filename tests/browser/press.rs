//! The information officer's work on a phone, and an advisory on paper.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::server::Server;
use burnday::clock::Clock;
use fantoccini::wd::PrintConfiguration;
use std::process::Command;
use tempfile::TempDir;
use time::Duration;

async fn enter(browser: &Browser, server: &Server, role: &str) {
    browser.open(server.link(role)).await;
    browser.press(&format!("Enter as {role}")).await;
    browser.sees(".me", role).await;
}

async fn choose(browser: &Browser, label: &str, option: &str) {
    browser.field(label).await.select_by_label(option).await.unwrap();
}

#[tokio::test]
async fn from_the_list_to_what_ran_on_a_phone() {
    story(Scripts::On).await;
}

#[tokio::test]
async fn from_the_list_to_what_ran_on_a_phone_without_scripts() {
    story(Scripts::Off).await;
}

async fn story(scripts: Scripts) {
    let server = Server::demo(PROGRAM);
    let jun = Browser::start(scripts).await;
    jun.resize(390, 844).await;
    enter(&jun, &server, "information officer").await;
    jun.go("Press").await;
    jun.sees("h2", "Due today 2").await;
    jun.sees(".aside", "Wilhelmina Oyelaran, River Valley Television").await;

    list_an_outlet(&jun).await;
    log_a_word(&jun).await;
    finish_the_advisory(&jun).await;
    approve(&server, scripts).await;
    mail_it(&jun).await;
    for mail in server.reads_only("paper") {
        assert!(mail.text.contains("By the north fence, behind the tape."), "{}: {}", mail.to, mail.text);
    }
    note_a_story(&jun).await;
    assert_eq!(jun.console().await, [""; 0], "the console is quiet");
}

async fn list_an_outlet(jun: &Browser) {
    jun.go("Outlets").await;
    jun.fill("Name", "Bend High Morning").await;
    choose(jun, "Kind", "school or community").await;
    jun.press("Add it").await;
    jun.sees("h1", "Bend High Morning").await;
    let name = "//form[contains(@action, '/contacts')]//input[@name='person']";
    jun.find(name).await.send_keys("Imogen Tate").await.unwrap();
    jun.press("Add a contact").await;
    jun.sees(".said", "Imogen Tate is a contact at Bend High Morning.").await;
    jun.press("Put on the list").await;
    jun.sees(".said", "Bend High Morning is on the list.").await;
}

async fn log_a_word(jun: &Browser) {
    jun.go("Press").await;
    choose(jun, "Whom", "Imogen Tate, Bend High Morning").await;
    choose(jun, "What came of it", "answered").await;
    jun.fill("In a few words", "Wants to bring two pupils.").await;
    jun.fill_day("Follow up on", Clock::System.now().date() + Duration::days(3)).await;
    jun.press("Save").await;
    jun.sees(".said", "Logged: Imogen Tate, Bend High Morning.").await;
    // What is due today is the first thing on the page.
    let heading = jun.read("main h2").await;
    assert!(heading.starts_with("Due today"), "{heading}");
}

async fn finish_the_advisory(jun: &Browser) {
    jun.go("Media advisory").await;
    jun.sees(".note", "1 thing is missing.").await;
    jun.sees(".note li", "press area").await;
    // The text refers to the fact, which is typed once.
    jun.go("Facts and messages").await;
    jun.fill("Press area", "By the north fence, behind the tape.").await;
    jun.press("Save").await;
    jun.go("Media advisory").await;
    jun.sees("main", "By the north fence, behind the tape.").await;
    jun.fill("Headline", "Two rooms, one fire sprinkler").await;
    jun.press("Save the text").await;
    jun.sees(".said", "The text is kept.").await;
    jun.sees(".note", "You edited it last: somebody else reads and approves it.").await;
    jun.press("Approve this text").await;
    jun.sees("[role=alert]", "You edited this text last.").await;
    // The refusal is an answer with status 422, which the console notes.
    let refused = jun.console().await;
    assert!(refused.len() == 1 && refused[0].contains("status of 422"), "{refused:?}");
}

async fn approve(server: &Server, scripts: Scripts) {
    let priya = Browser::start(scripts).await;
    enter(&priya, server, "education officer").await;
    priya.go("Press").await;
    priya.go("Media advisory").await;
    priya.press("Approve this text").await;
    priya.sees(".said", "The media advisory v1 is approved and stays as it is.").await;
    assert_eq!(priya.console().await, [""; 0], "the console is quiet");
}

async fn mail_it(jun: &Browser) {
    jun.go("Press").await;
    jun.go("Media advisory").await;
    jun.go("Mail it").await;
    jun.sees("section", "Kwabena Strand").await;
    jun.sees("section", "wants no announcements by mail").await;
    jun.press("Mail it").await;
    jun.sees(".said", "each by a mail of their own.").await;
    jun.go("Outreach log").await;
    jun.sees("main", "sent media advisory v1").await;
}

async fn note_a_story(jun: &Browser) {
    jun.go("Coverage").await;
    choose(jun, "Outlet", "Bend High Morning").await;
    jun.fill("Title", "What two rooms taught us").await;
    jun.click("//label[contains(., '1. A home fire')]/input").await;
    jun.press("Note it").await;
    jun.sees(".said", "The story is noted.").await;
    jun.sees("main", "What two rooms taught us").await;
    jun.sees(".facts", "2 of 2 stories").await;
}

const ARABIC: &str = "غرفتان تحترقان";

/// One page, with its mark at the end, in any script and however long a name.
#[tokio::test]
async fn an_advisory_prints_on_one_page() {
    let server = Server::demo(PROGRAM);
    let jun = Browser::start(Scripts::On).await;
    enter(&jun, &server, "information officer").await;
    let long = "Bartholomew-Montgomery".repeat(6);
    jun.go("Press").await;
    jun.go("Media advisory").await;
    jun.fill("Headline", &format!("Tomás Þórsdóttir: {ARABIC}")).await;
    let area = jun.field("Text").await;
    let text = area.prop("value").await.unwrap().unwrap();
    area.clear().await.unwrap();
    area.send_keys(&format!("{text}\n\n{ARABIC}\n\nWITH: {long}")).await.unwrap();
    jun.press("Save the text").await;
    jun.sees(".said", "The text is kept.").await;
    jun.go("Copy or print").await;
    jun.sees("h1", "To copy and print").await;
    jun.press("Copy it").await;

    let pages = print(&jun).await;
    assert_eq!(pages.len(), 1, "one page: {pages:?}");
    let paper = pages[0].split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "Alder Bend Fire District DRAFT",
        "Media advisory",
        "For immediate release",
        "Tomás Þórsdóttir",
        "WHAT: Two rooms",
        "555-0118",
        "###",
    ] {
        assert!(paper.contains(said), "{said:?} isn't on the paper\n{paper}");
    }
    assert!(paper.ends_with("###"), "{paper}");
    let letters: String = pages[0].chars().filter(|c| !c.is_whitespace()).collect();
    assert!(letters.contains(&long), "a long name is broken and not cut\n{paper}");
    assert!(
        paper.chars().filter(|c| ('\u{600}'..='\u{6ff}').contains(c)).count() >= 20,
        "Arabic is on the paper\n{paper}"
    );
    for bar in ["Sign out", "Back to the text", "As plain text", "Countdown"] {
        assert!(!paper.contains(bar), "{bar:?} is on the paper\n{paper}");
    }
    let direction = "return getComputedStyle(document.querySelectorAll('.paper .lines')[document.querySelectorAll('.paper .lines').length - 2]).direction";
    let direction = jun.client.execute(direction, Vec::new()).await.unwrap();
    assert_eq!(direction, "rtl", "what is written from the right starts there");
}

async fn print(browser: &Browser) -> Vec<String> {
    let pdf = browser.client.print(PrintConfiguration::default()).await.unwrap();
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("paper.pdf");
    std::fs::write(&file, pdf).unwrap();
    let output = Command::new("pdftotext").arg("-raw").arg(&file).arg("-").output();
    let output = output.expect("pdftotext is missing: run tests/run, which installs it");
    assert!(output.status.success(), "{output:?}");
    let text = String::from_utf8(output.stdout).unwrap();
    text.trim_end_matches('\u{c}').split('\u{c}').map(str::to_owned).collect()
}
