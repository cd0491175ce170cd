//! The information officer's work on a phone, and an advisory on paper.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{has_all, has_no_bars, letters, one_line, print, texts};
use crate::server::Server;
use burnday::clock::Clock;
use time::Duration;

async fn enter(browser: &Browser, server: &Server, role: &str) {
    browser.enter(server.link(role)).await;
    browser.sees(".me", role).await;
}

async fn choose(browser: &Browser, label: &str, option: &str) {
    browser.field(label).await.select_by_label(option).await.unwrap();
}

#[tokio::test]
async fn press_work_on_a_phone_from_the_first_contact_to_coverage() {
    story(Scripts::On).await;
}

#[tokio::test]
async fn press_work_on_a_phone_without_scripts() {
    story(Scripts::Off).await;
}

async fn story(scripts: Scripts) {
    let server = Server::demo(PROGRAM);
    let jun = Browser::start(scripts).await;
    jun.resize(390, 844).await;
    enter(&jun, &server, "information officer").await;
    jun.go_to("Press").await;
    jun.counts(".aside [data-due]", 2).await;
    jun.sees(".aside", "Wilhelmina Oyelaran, River Valley Television").await;

    list_an_outlet(&jun).await;
    log_a_contact(&jun, &server).await;
    finish_the_advisory(&jun).await;
    approve(&server, scripts).await;
    email_it(&jun).await;
    for mail in server.reads_only("paper") {
        assert!(mail.text.contains("By the north fence, behind the tape."), "{}: {}", mail.to, mail.text);
    }
    add_a_story(&jun).await;
    assert_eq!(jun.console().await, [""; 0], "the console is quiet");
}

async fn list_an_outlet(jun: &Browser) {
    jun.go("Outlets").await;
    jun.fill("Name", "Bend High Morning").await;
    choose(jun, "Type", "school or community").await;
    jun.press("Add outlet").await;
    jun.sees("h1", "Bend High Morning").await;
    let name = "//form[contains(@action, '/contacts')]//input[@name='person']";
    jun.find(name).await.send_keys("Imogen Tate").await.unwrap();
    jun.click("#add-contact button").await;
    jun.sees("[data-contact]", "Imogen Tate").await;
    jun.send("act", "list").await;
    // Once it is on the list, it can be removed.
    jun.shows("button[name=act][value='take off']").await;
}

async fn log_a_contact(jun: &Browser, server: &Server) {
    jun.go_to("Press").await;
    choose(jun, "Who", "Imogen Tate, Bend High Morning").await;
    choose(jun, "#outcome", "answered").await;
    jun.fill("#words", "Wants to bring two students.").await;
    jun.fill_day("#follow_up_on", Clock::System.now().date() + Duration::days(3)).await;
    jun.press("Save").await;
    jun.shows("#said").await;
    let logged = server.ask_store("select count(*) from outreach where words = 'Wants to bring two students.'");
    assert_eq!(logged, "1");
    // What is due today is the first thing on the page.
    jun.shows(".cols > section:first-child > h2:first-child + ul > [data-due]").await;
}

async fn finish_the_advisory(jun: &Browser) {
    jun.go("Media advisory").await;
    jun.counts("#missing li", 1).await;
    jun.sees("#missing li", "media staging area").await;
    // The text refers to the fact, which is typed once.
    jun.click("main a[href$='/press/facts']").await;
    jun.fill("Media staging area", "By the north fence, behind the tape.").await;
    jun.press("Save").await;
    jun.go("Media advisory").await;
    jun.sees("main", "By the north fence, behind the tape.").await;
    jun.fill("Headline", "Two rooms, one fire sprinkler").await;
    jun.click("#edit button").await;
    jun.sees("#filled", "Two rooms, one fire sprinkler").await;
    // Nothing is missing, and someone else must approve it.
    jun.shows("[data-note=complete]").await;
    jun.click("#approve button:not(.main)").await;
    jun.shows("#refused[data-why='own text']").await;
    // The refusal is an answer with status 422, which the console notes.
    let refused = jun.console().await;
    assert!(refused.len() == 1 && refused[0].contains("status of 422"), "{refused:?}");
}

async fn approve(server: &Server, scripts: Scripts) {
    let priya = Browser::start(scripts).await;
    enter(&priya, server, "education officer").await;
    priya.go_to("Press").await;
    priya.go("Media advisory").await;
    priya.click("#approve button").await;
    priya.shows("[data-version='1']").await;
    assert_eq!(priya.console().await, [""; 0], "the console is quiet");
}

async fn email_it(jun: &Browser) {
    jun.go_to("Press").await;
    jun.go("Media advisory").await;
    jun.go("Email it").await;
    jun.sees("section", "Kwabena Strand").await;
    jun.shows("#to-call [data-unmailed=unwanted]").await;
    jun.press("Send").await;
    jun.shows("#said").await;
    jun.go("Contact log").await;
    jun.sees("[data-sent]", "media advisory v1").await;
}

async fn add_a_story(jun: &Browser) {
    jun.go("Coverage").await;
    choose(jun, "Outlet", "Bend High Morning").await;
    jun.fill("Title", "What two rooms taught us").await;
    jun.click("input[name=carried][value='1']").await;
    jun.press("Save").await;
    jun.sees("[data-story]", "What two rooms taught us").await;
    jun.shows("[data-figure='message 1'][data-number='2'][data-of='2']").await;
}

const ARABIC: &str = "غرفتان تحترقان";

/// One page with its end mark, in any script and with a very long name.
#[tokio::test]
async fn an_advisory_prints_on_one_page() {
    let server = Server::demo(PROGRAM);
    let jun = Browser::start(Scripts::On).await;
    enter(&jun, &server, "information officer").await;
    let long = "Bartholomew-Montgomery".repeat(6);
    jun.go_to("Press").await;
    jun.go("Media advisory").await;
    jun.fill("Headline", &format!("Tomás Þórsdóttir: {ARABIC}")).await;
    let area = jun.field("Text").await;
    let text = area.prop("value").await.unwrap().unwrap();
    area.clear().await.unwrap();
    area.send_keys(&format!("{text}\n\n{ARABIC}\n\nWITH: {long}")).await.unwrap();
    jun.click("#edit button").await;
    jun.sees("#filled", &long).await;
    jun.click("main a[href$='/print']").await;
    jun.shows("article.paper").await;
    jun.press("Copy").await;

    let pages = print(&jun).await;
    assert_eq!(pages.len(), 1, "one page: {pages:?}");
    let paper = one_line(&pages[0]);
    for said in ["Alder Bend Fire District DRAFT", "Media advisory", "Tomás Þórsdóttir", "555-0118", "###"] {
        assert!(paper.contains(said), "{said:?} isn't on the paper\n{paper}");
    }
    // When it may be published, and every paragraph.
    has_all(&jun, "article.paper p", &paper).await;
    assert!(paper.ends_with("###"), "{paper}");
    assert!(letters(&paper).contains(&long), "a long name wraps and is not cut off\n{paper}");
    assert!(
        paper.chars().filter(|c| ('\u{600}'..='\u{6ff}').contains(c)).count() >= 20,
        "Arabic is on the paper\n{paper}"
    );
    has_no_bars(&jun, &paper).await;
    for bar in texts(&jun, ".also a, .noprint h2").await {
        assert!(!paper.contains(&bar), "{bar:?} is on the paper\n{paper}");
    }
    let direction = "return getComputedStyle(document.querySelectorAll('.paper .lines')[document.querySelectorAll('.paper .lines').length - 2]).direction";
    let direction = jun.client.execute(direction, Vec::new()).await.unwrap();
    assert_eq!(direction, "rtl", "right-to-left text starts at the right");
}
