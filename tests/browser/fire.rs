//! From the room lists to an estimate, to another front, to the plan, and what is on paper.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{has_all, has_no_bars, one_line, print};
use crate::server::Server;
use std::time::Duration;

#[tokio::test]
async fn an_estimate_becomes_the_plan() {
    story(Scripts::On, (1280, 900)).await;
}

#[tokio::test]
async fn an_estimate_becomes_the_plan_on_a_phone_without_scripts() {
    story(Scripts::Off, (390, 844)).await;
}

async fn story(scripts: Scripts, (width, height): (u32, u32)) {
    let server = Server::demo(PROGRAM);
    server.sql("delete from fire_plan; delete from fire_setting;");
    let boss = Browser::start(scripts).await;
    boss.resize(width, height).await;
    boss.enter(server.link("burn boss")).await;
    boss.shows("#now").await;

    // At once, from the room lists.
    boss.open(&format!("{}/events/1/rooms/fire", server.base)).await;
    boss.shows("#summary[data-fires='300']").await;
    boss.shows("[data-section=B][data-water]").await;
    let listed = boss.read(FLASHOVER).await;

    // Another moment: by the slider, or by a link.
    if scripts == Scripts::On {
        boss.find("#at").await.send_keys("\u{e011}").await.unwrap();
        boss.sees(".moment .at", "0:00").await;
    } else {
        boss.click(".moment .also a[href*='at=15']").await;
        boss.sees(".moment .at", "0:15").await;
    }
    boss.shows("[data-section=B]:not([data-water])").await;

    // Behind a lower front, the room flashes over at another time.
    boss.click(".head a[href*='/settings/new']").await;
    boss.fill("Name", "3 ft open").await;
    boss.fill("Clear panel, from the top down", "9 ft").await;
    boss.press("Save").await;
    boss.shows("#panel-mistake").await;
    let refused = boss.console().await;
    assert!(refused.iter().all(|line| line.contains("status of 422")), "only the refusal shows: {refused:?}");
    boss.fill("Clear panel, from the top down", "5 ft").await;
    boss.press("Save").await;
    boss.shows("#summary[data-fires='300']").await;
    assert_ne!(boss.read(FLASHOVER).await, listed);
    boss.click(".also a[href*='/compare']").await;
    boss.shows("#differs").await;

    // Pinned, it gets more fires.
    boss.go("The fire").await;
    boss.press("Pin this as the plan").await;
    boss.shows("#whose[data-plan]").await;
    while server.ask_store("select count(*) from fire_plan where bands is not null").trim() != "1" {
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    boss.go("The fire").await;
    boss.shows("#summary[data-fires='2000']").await;
    boss.go("Heat and water").await;
    boss.shows("#public [data-decides]").await;

    boss.open(&format!("{}/events/1/rooms/fire/sheet", server.base)).await;
    let pages = print(&boss).await;
    let paper = one_line(&pages.concat());
    has_no_bars(&boss, &paper).await;
    has_all(&boss, "main h1, main h2, main td, .signhere span", &paper).await;
    assert_eq!(pages.len(), 1, "one sheet");
    assert_eq!(boss.console().await, [""; 0], "the console is quiet");
}

const FLASHOVER: &str = "#times [data-time=flashover] td:nth-child(3)";
