//! The talk, from the starter to one that fits, practiced once on a phone; and on paper.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{has_all, has_no_bars, one_line, print, print_on, texts};
use crate::server::Server;
use serde_json::Value;
use std::time::Duration;

#[tokio::test]
async fn a_talk_is_made_to_fit_and_practiced_on_a_phone() {
    story(Scripts::On).await;
}

#[tokio::test]
async fn a_talk_is_made_to_fit_and_practiced_without_scripts() {
    story(Scripts::Off).await;
}

/// The presenter's clock, moved by the test, since nobody knows how busy the machine is.
const CLOCK: &str = "window.moved = 0; performance.now = () => window.moved;";

async fn later(browser: &Browser, seconds: f64) {
    let script = format!("window.moved += {}", seconds * 1_000.0);
    browser.client.execute(&script, Vec::new()).await.unwrap();
}

async fn story(scripts: Scripts) {
    let server = Server::demo(PROGRAM);
    server.sql("delete from talk_line; delete from talk_objective;");
    while server.ask_store("select count(*) from fire_plan where fires is not null").trim() != "1" {
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    let priya = Browser::start(scripts).await;
    priya.resize(390, 844).await;
    priya.enter(server.link("education officer")).await;
    if scripts == Scripts::On {
        priya.put_into_every_page(CLOCK).await;
    }
    let talk = format!("{}/events/1/burn-day/talk", server.base);
    priya.open(&talk).await;
    priya.shows("[data-empty=talk]").await;
    priya.press("Begin with the starter talk").await;
    priya.shows("[data-part='alarm-b'] [data-state=fits]").await;

    // One more line is too long for the seconds before the sprinkler.
    priya.click("[data-part='alarm-b'] .parthead a").await;
    let long = "This sound means that the alarm did its work, and from here on every second counts for everyone who \
                is in the home and has to find the way out of it.";
    priya.fill("Words", long).await;
    priya.press("Save").await;
    priya.shows("[data-finding=cut]").await;
    let sideways = "return document.documentElement.scrollWidth > innerWidth";
    assert_eq!(priya.client.execute(sideways, Vec::new()).await.unwrap(), Value::Bool(false));
    priya.click("[data-finding=cut] a").await;
    priya.click("[data-part='alarm-b'] [data-state=cut] .fit a").await;
    priya.field("When").await.select_by_value("between").await.unwrap();
    priya.press("Save").await;
    priya.shows("#verdict").await;
    priya.counts("[data-finding=cut]", 0).await;

    // Practiced once.
    priya.click("main .head a[href$='/practice']").await;
    if scripts == Scripts::On {
        practice(&priya).await;
    } else {
        priya.shows("[data-run=a]").await;
        priya.fill("How long it took", "soon").await;
        priya.press("Save practice").await;
        priya.shows("#took-mistake").await;
        priya.fill("How long it took", "2:50").await;
        priya.press("Save practice").await;
    }
    priya.shows("[data-practice]").await;
    priya.shows("p[data-own]").await;
    if scripts == Scripts::On {
        let console = priya.console().await;
        assert_eq!(console, [""; 0], "the console is quiet");
    }
}

/// Something about the fire in room A, which may be out of sight.
async fn run_of_a(priya: &Browser, what: &str) -> Value {
    let script = format!("return document.querySelector('[data-run=a]').{what}");
    priya.client.execute(&script, Vec::new()).await.unwrap()
}

/// From lighting room A to the end, by the clock of the fire that was drawn.
async fn practice(priya: &Browser) {
    let marks = run_of_a(priya, "dataset.marks").await;
    let marks = marks.as_str().unwrap();
    let alarm = marks.split(' ').find_map(|mark| mark.strip_prefix("alarm:")).unwrap().parse::<f64>().unwrap();
    // Nobody knows beforehand what the fire does.
    assert_eq!(run_of_a(priya, "hidden").await, true);
    priya.click("#skip").await;
    let first = priya.read("#now").await;
    later(priya, 4.0).await;
    priya.click("#go").await;
    let second = priya.read("#now").await;
    assert_ne!(first, second, "the next line is there");
    // The alarm cuts the second line off.
    later(priya, alarm - 4.0 + 0.2).await;
    priya.shows("#prompter[data-burning='alarm']").await;
    let third = priya.read("#now").await;
    assert!(third != second && !third.is_empty());
    later(priya, 6.0).await;
    priya.click("#go").await;
    priya.click("#out").await;
    // Between the fires, and room B.
    priya.shows("#prompter[data-burning='']").await;
    while !priya.read("#go").await.contains('B') {
        later(priya, 5.0).await;
        priya.click("#go").await;
    }
    priya.click("#go").await;
    priya.shows("#prompter[data-burning='lit']").await;
    priya.click("#end").await;
    priya.shows("#practice-form").await;
    assert_eq!(run_of_a(priya, "hidden").await, false, "it is over");
    assert!(priya.read("#measured").await.contains("1 cut off"), "{}", priya.read("#measured").await);
    priya.press("Save practice").await;
}

#[tokio::test]
async fn the_talk_comes_out_of_a_printer() {
    let server = Server::demo(PROGRAM);
    let priya = Browser::start(Scripts::On).await;
    priya.enter(server.link("education officer")).await;
    let talk = format!("{}/events/1/burn-day/talk", server.base);
    priya.open(&format!("{talk}/script")).await;
    let paper = one_line(&print(&priya).await.concat());
    has_no_bars(&priya, &paper).await;
    has_all(&priya, ".scriptsheet h2, .scriptsheet .w", &paper).await;

    priya.open(&format!("{talk}/lesson")).await;
    let pages = print(&priya).await;
    let paper = one_line(&pages.concat());
    has_no_bars(&priya, &paper).await;
    has_all(&priya, ".lessonsheet dd, .lessonsheet td", &paper).await;
    assert_eq!(pages.len(), 1, "the lesson plan is one page");

    // Each card is one sheet of 4 by 6 inches, with all that it says.
    priya.open(&format!("{talk}/cue-cards")).await;
    let cards = texts(&priya, ".talkcard").await;
    let pages = print_on(&priya, (15.24, 10.16)).await;
    assert_eq!(pages.len(), cards.len());
    for (page, card) in pages.iter().zip(1..) {
        has_all(&priya, &format!("[data-card='{card}'] .w, [data-card='{card}'] .top-line b"), page).await;
    }
}
