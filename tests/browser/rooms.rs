//! Two rooms from empty to fair, and the audit on paper.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{one_line, print};
use crate::server::Server;

#[tokio::test]
async fn two_rooms_go_from_empty_to_fair() {
    story(Scripts::On, (1280, 900)).await;
}

#[tokio::test]
async fn two_rooms_go_from_empty_to_fair_on_a_phone_without_scripts() {
    story(Scripts::Off, (390, 844)).await;
}

async fn story(scripts: Scripts, (width, height): (u32, u32)) {
    let server = Server::demo(PROGRAM);
    server.sql("delete from room_plea; delete from room_ruling; delete from room_thing;");
    let priya = Browser::start(scripts).await;
    priya.resize(width, height).await;
    priya.open(server.link("education officer")).await;
    priya.press("Enter as education officer").await;
    priya.sees("h2", "To do now").await;

    priya.open(&format!("{}/events/1/rooms", server.base)).await;
    priya.sees(".empty", "Nothing is in the two rooms yet.").await;
    priya.press("Start from a living room").await;
    priya.sees("#fair", "All 86 things are paired: 43 pairs, all only alike.").await;

    // A loan is refused, and the same thing is taken as bought.
    priya.go("Add an item").await;
    priya.field("Room").await.select_by_label("room A").await.unwrap();
    priya.fill("Type", "wall clock").await;
    priya.fill("Model", "Round 30").await;
    priya.fill("Size", "12 in").await;
    priya.field("Where it comes from").await.select_by_label("loan").await.unwrap();
    priya.press("Save").await;
    priya.sees("#source-mistake", "Nothing borrowed goes into a room that burns").await;
    let refused = priya.console().await;
    assert!(refused.iter().all(|line| line.contains("status of 422")), "only the refusal shows: {refused:?}");
    priya.field("Where it comes from").await.select_by_label("bought").await.unwrap();
    priya.press("Save").await;
    priya.sees(".said", "Added to room A: wall clock.").await;
    priya.sees("#fair", "86 of 87 things are paired").await;
    priya.sees("#fair", "The worst: room B has nothing like the wall clock of room A.").await;
    is_within(&priya, width).await;

    // One like it, of another material and a size that is out of tolerance.
    priya.press("List one: Wall clock for room B").await;
    priya.sees(".said", "One like it is on the list of room B").await;
    priya.go("Change this thing").await;
    priya.fill("Model", "").await;
    priya.fill("Material", "oak").await;
    priya.fill("Size", "20 cm").await;
    priya.press("Save").await;
    priya.sees("main", "1 of room A: alike; differs in material, size, model").await;
    is_within(&priya, width).await;
    priya.go("Both rooms").await;
    priya.sees("#fair", "The worst is the wall clock, which differs in material, size and model.").await;

    // Put right, it is the fairest pair of all.
    priya.go("oak, 20 cm (7.9 in)").await;
    priya.go("Change this thing").await;
    priya.fill("Model", "round  30").await;
    priya.fill("Material", "").await;
    priya.fill("Size", "30 cm").await;
    priya.press("Save").await;
    priya.sees("main", "1 of room A: same model").await;
    priya.press("In place").await;
    priya.sees(".said", "It is noted as in place.").await;
    priya.go("Both rooms").await;
    priya.sees("#fair", "All 88 things are paired: 44 pairs, 1 by the same model, 43 only alike.").await;

    audit(&priya).await;
    assert_eq!(priya.console().await, [""; 0], "the console is quiet");
}

async fn audit(priya: &Browser) {
    priya.go("Pair audit to print").await;
    priya.sees("h1", "Pair audit").await;
    let pages = print(priya).await;
    let paper = one_line(&pages.concat());
    for says in [
        "All 88 things are paired: 44 pairs, 1 by the same model, 43 only alike.",
        "Sizes count as alike within 5 % of the larger one or 2.5 cm (1 in), whichever is more",
        "12 in (30.5 cm)",
        "30 cm (11.8 in)",
        "Looked at in both rooms by",
    ] {
        assert!(paper.contains(says), "{says:?} isn't on the paper\n{paper}");
    }
    for not in ["Sign out", "Countdown", "Both rooms are listed", "List one", "Add an item"] {
        assert!(!paper.contains(not), "{not:?} is on the paper\n{paper}");
    }
    assert!(pages.len() <= 4, "{} pages", pages.len());
}

/// Does nothing make the page scroll sideways?
async fn is_within(browser: &Browser, width: u32) {
    let wide = browser.client.execute("return document.documentElement.scrollWidth;", Vec::new()).await;
    // A browser without scripts for its pages still runs those of whoever drives it.
    let wide = wide.unwrap().as_u64().unwrap();
    assert!(wide <= u64::from(width), "{wide} px");
}
