//! Both rooms drawn, from empty to filled.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::server::Server;
use fantoccini::Locator;

#[tokio::test]
async fn a_room_is_drawn_from_empty_to_filled() {
    story(Scripts::On, (1280, 900)).await;
}

#[tokio::test]
async fn a_room_is_drawn_on_a_phone_without_scripts() {
    story(Scripts::Off, (390, 844)).await;
}

async fn story(scripts: Scripts, (width, height): (u32, u32)) {
    let server = Server::demo(PROGRAM);
    server.sql("delete from room_place; delete from room_fixture; delete from room_frame;");
    let priya = Browser::start(scripts).await;
    priya.resize(width, height).await;
    priya.enter(server.link("education officer")).await;
    let plan = format!("{}/events/1/rooms/plan", server.base);
    priya.open(&plan).await;
    priya.shows("[data-empty=plan]").await;
    priya.click("main a[href$='/plan/size']").await;
    priya.fill("#width", "12 ft").await;
    priya.fill("#depth", "nine").await;
    priya.press("Save").await;
    priya.shows("#depth-mistake").await;
    priya.fill("#depth", "10 ft").await;
    priya.press("Save").await;

    // Two items of room A, then room B like it.
    for (item, x, y) in [("Armchair", "10 ft 3 in", "34 in"), ("Wastebasket", "9 ft 8 in", "9 in")] {
        priya.click(&format!("//section[@id='unplaced']//li[contains(., 'room A')]//a[contains(., '{item}')]")).await;
        priya.fill("#x", x).await;
        priya.fill("#y", y).await;
        priya.press("Save").await;
        priya.shows("[data-room=A] svg").await;
    }
    priya.click("form[action$='/plan/like-a'] button").await;
    priya.shows("[data-room=B] svg [data-item]").await;
    priya.click("form[action$='/plan/usual'] button").await;
    let pictured = "[data-room=A] svg [aria-label^=Armchair]";
    priya.shows(pictured).await;
    priya.shows(ALIKE).await;

    // Moved, it is elsewhere; undone, both are alike again.
    if scripts == Scripts::On {
        let focus = format!("document.querySelector(\"{pictured}\").focus()");
        priya.client.execute(&focus, Vec::new()).await.unwrap();
        let left = "\u{e012}".repeat(20) + "\u{e007}";
        priya.client.active_element().await.unwrap().send_keys(&left).await.unwrap();
    } else {
        priya.click(pictured).await;
        priya.fill("#x", "8 ft 7 in").await;
        priya.press("Save").await;
    }
    priya.shows("[data-mark=moved][data-grade=wrong]").await;
    if scripts == Scripts::On {
        priya.press("Undo").await;
        priya.shows(ALIKE).await;
    }

    // What arrives fills the picture, here and on the countdown.
    let chair = server.ask_store("select id from room_thing where room = 'room A' and what = 'armchair'");
    priya.shows(&format!("#item-{}", chair.trim())).await;
    server.sql("update room_thing set state = 'wanted', gift_id = null where what = 'armchair';");
    priya.open(&plan).await;
    priya.shows(&format!("#item-{}[data-state=wanted]", chair.trim())).await;
    let here = |count: usize| format!(".minirooms[data-here='{count}']");
    priya.open(&format!("{}/events/1", server.base)).await;
    let before: usize = priya.find(".minirooms").await.attr("data-here").await.unwrap().unwrap().parse().unwrap();
    priya.open(&format!("{}/events/1/rooms/items/{}", server.base, chair.trim())).await;
    priya.send("state", "here").await;
    priya.open(&plan).await;
    priya.shows(&format!("#item-{}[data-state=here]", chair.trim())).await;
    priya.open(&format!("{}/events/1", server.base)).await;
    priya.shows(&here(before + 1)).await;
    assert!(!priya.client.find_all(Locator::Css(".minirooms svg .wanted")).await.unwrap().is_empty());
    let sideways = "return document.documentElement.scrollWidth > innerWidth";
    assert_eq!(priya.client.execute(sideways, Vec::new()).await.unwrap(), serde_json::Value::Bool(false));
    let quiet = priya.console().await;
    assert!(quiet.iter().all(|line| line.contains("status of 422")), "only the refusal shows: {quiet:?}");
}

/// Nothing is elsewhere in room B.
const ALIKE: &str = "main:not(:has([data-mark=moved])) #found";
