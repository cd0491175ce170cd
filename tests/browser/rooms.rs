//! Two rooms, from empty to a fair comparison, and the printed audit.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{has_all, has_no_bars, one_line, print};
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
    server.sql("delete from donation_request; delete from room_ruling; delete from room_thing;");
    let priya = Browser::start(scripts).await;
    priya.resize(width, height).await;
    priya.enter(server.link("education officer")).await;
    priya.shows("#now").await;

    priya.open(&format!("{}/events/1/rooms", server.base)).await;
    priya.shows("[data-empty=things]").await;
    priya.click("form[action$='/rooms/template'] button").await;
    priya.shows("#fair[data-things='86'][data-paired='86'][data-alike='43']").await;

    // A loan is refused. The same item is accepted as bought.
    priya.click("main a[href$='/rooms/new']").await;
    priya.field("Room").await.select_by_label("room A").await.unwrap();
    priya.fill("Type", "wall clock").await;
    priya.unfold(DESCRIPTION).await;
    priya.fill("Model", "Round 30").await;
    priya.fill("Size", "12 in").await;
    priya.unfold("Where it comes from").await;
    priya.field("#source").await.select_by_label("loan").await.unwrap();
    priya.press("Save").await;
    priya.shows("#source-mistake").await;
    let refused = priya.console().await;
    assert!(refused.iter().all(|line| line.contains("status of 422")), "only the refusal shows: {refused:?}");
    priya.field("#source").await.select_by_label("bought").await.unwrap();
    priya.press("Save").await;
    priya.shows("#fair[data-things='87'][data-paired='86']").await;
    priya.shows("#fair[data-worst='wall clock'][data-missing-in='room B']").await;
    is_within(&priya, width).await;

    // A match of another material and a size outside the tolerance.
    priya.click("//li[contains(., 'Wall clock')]//form[contains(@action, '/copy')]/button").await;
    let copied = priya.place().await;
    priya.click(CHANGE).await;
    priya.unfold(DESCRIPTION).await;
    priya.fill("Model", "").await;
    priya.fill("Material", "oak").await;
    priya.fill("Size", "20 cm").await;
    priya.press("Save").await;
    priya.shows("[data-grade=alike][data-quantity='1'][data-differs='material size model']").await;
    is_within(&priya, width).await;
    priya.go("Both rooms").await;
    priya.shows("#fair[data-worst='wall clock'][data-differs='material size model']").await;
    for says in ["oak", "20 cm (7.9 in)"] {
        priya.sees(&format!("main a[href='{copied}']"), says).await;
    }

    // Fixed, it is the best pair of all.
    priya.click(&format!("main a[href='{copied}']")).await;
    priya.click(CHANGE).await;
    priya.unfold(DESCRIPTION).await;
    priya.fill("Model", "round  30").await;
    priya.fill("Material", "").await;
    priya.fill("Size", "30 cm").await;
    priya.press("Save").await;
    priya.shows("[data-grade=same-model][data-quantity='1']").await;
    priya.send("state", "in place").await;
    priya.shows("#state[data-state='in place']").await;
    priya.go("Both rooms").await;
    priya.shows("#fair[data-things='88'][data-paired='88'][data-same-model='1'][data-alike='43']").await;

    audit(&priya).await;
    assert_eq!(priya.console().await, [""; 0], "the console is quiet");
}

/// The part of the form that says what an item is like.
const DESCRIPTION: &str = "Model, material, and size";
/// The link to edit the item of a page.
const CHANGE: &str = "main .also a[href$='/edit']";

async fn audit(priya: &Browser) {
    priya.go("Pair audit").await;
    priya.shows(".verdict").await;
    let pages = print(priya).await;
    let paper = one_line(&pages.concat());
    // The tolerance, and both sizes.
    for says in ["5%", "2.5 cm (1 in)", "12 in (30.5 cm)", "30 cm (11.8 in)"] {
        assert!(paper.contains(says), "{says:?} isn't on the paper\n{paper}");
    }
    let verdict = priya.read(".verdict").await;
    for number in ["88", "44", "43"] {
        assert!(verdict.contains(number), "{number}: {verdict}");
    }
    has_all(priya, ".verdict, main > .soft, .signhere span", &paper).await;
    has_no_bars(priya, &paper).await;
    assert!(pages.len() <= 4, "{} pages", pages.len());
}

/// Checks that the page doesn't scroll sideways.
async fn is_within(browser: &Browser, width: u32) {
    let wide = browser.client.execute("return document.documentElement.scrollWidth;", Vec::new()).await;
    // With scripts off for pages, the browser still runs the test's own.
    let wide = wide.unwrap().as_u64().unwrap();
    assert!(wide <= u64::from(width), "{wide} px");
}
