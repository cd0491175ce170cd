//! A clock lent by a school: requested, promised, picked up, returned without its remote.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{has_all, has_no_bars, one_line, print, texts};
use crate::server::Server;
use burnday::clock::Clock;
use burnday::web::words;
use fantoccini::Locator;
use fantoccini::wd::PrintConfiguration;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

#[tokio::test]
async fn a_clock_is_requested_picked_up_and_returned() {
    story(Scripts::On).await;
}

#[tokio::test]
async fn a_clock_is_requested_picked_up_and_returned_without_scripts() {
    story(Scripts::Off).await;
}

/// A photo in a file, as a camera saves it.
fn photograph(folder: &Path, name: &str, color: [u8; 3]) -> PathBuf {
    let path = folder.join(name);
    image::RgbImage::from_pixel(2400, 1800, image::Rgb(color)).save(&path).unwrap();
    path
}

async fn story(scripts: Scripts) {
    let server = Server::demo(PROGRAM);
    let priya = Browser::start(scripts).await;
    priya.enter(server.link("education officer")).await;
    priya.shows("#now").await;

    let clock = add(&priya, &server).await;
    ask(&priya, &server, &clock, scripts).await;
    priya.open(&clock).await;
    priya.shows("[data-step=answered][data-said=yes]").await;
    priya.find("//details[form[contains(@action, '/steps')]]/summary").await.click().await.unwrap();
    priya.field("What happened").await.select_by_label("confirmed in writing").await.unwrap();
    priya.fill("Who", "Eugenia Fontaine").await;
    priya.fill("Note", "letter of today").await;
    priya.press("Save").await;
    priya.shows("[data-step='confirmed in writing']").await;

    // From here on, at the gym door, on a phone.
    priya.resize(390, 844).await;
    hand_over(&priya).await;
    priya.open(&clock).await;
    bring_back(&priya).await;
    priya.resize(1280, 900).await;
    write(&priya, &clock).await;
    let letter = server.reads(&[("loan", "eugenia@example.org")]).remove(0);
    assert!(letter.text.contains("the remote is gone"), "{}", letter.text);
    assert_eq!(priya.console().await, [""; 0], "the console is quiet");
}

async fn add(priya: &Browser, server: &Server) -> String {
    priya.open(&format!("{}/events/1/loans", server.base)).await;
    priya.click("main a[href$='/loans/new']").await;
    priya.fill("Item", "scoreboard clock").await;
    priya.choose_person("Lender", "Eugenia Fontaine · Alder Bend School District").await;
    priya.field("#is_school").await.click().await.unwrap();
    priya.fill("Our contact", "Wren Ibarra").await;
    priya.unfold("Using it").await;
    priya.fill("#distance", "75").await;
    priya.unfold("Serial number").await;
    priya.fill("Serial number", "SB-7").await;
    priya.unfold("Condition checklist").await;
    priya.fill("Check", "screen: whole\npower: working").await;
    priya.fill("Count", "remote: 1\ncable: 3").await;
    priya.press("Save").await;
    priya.sees("h1", "Scoreboard clock").await;
    priya.shows(".facts[data-school]").await;
    priya.sees(".facts", "75 ft (22 m)").await;
    format!("{}{}", server.base, priya.place().await)
}

/// Asks by email. The lender opens the link in it and says yes.
async fn ask(priya: &Browser, server: &Server, clock: &str, scripts: Scripts) {
    priya.click("a.main[href$='/ask']").await;
    priya.send("act", "see").await;
    for says in ["scoreboard clock", "SB-7"] {
        priya.sees(".letter", says).await;
    }
    priya.send("act", "ask").await;
    priya.shows("#said").await;
    let mail = server.reads(&[("ask", "eugenia@example.org")]).remove(0);
    let link = mail.links.iter().find(|link| link.starts_with("/answer/")).unwrap();

    let eugenia = Browser::start(scripts).await;
    eugenia.resize(390, 844).await;
    eugenia.open(&format!("{}{link}", server.base)).await;
    eugenia.sees("h1", "scoreboard clock").await;
    eugenia.sees(".facts", "75 ft (22 m)").await;
    eugenia.click("fieldset[data-day] button[value$=' yes']").await;
    eugenia.shows("[data-stands=yes]").await;
    server.reads(&[("confirm", "eugenia@example.org")]);
    priya.open(clock).await;
}

/// Chooses the answer for a part: `well` or `otherwise`.
async fn choose(browser: &Browser, part: &str, found: &str) {
    browser.click(&format!("//fieldset[@data-part='{part}']//label[input/@value='{found}']")).await;
}

async fn attach(browser: &Browser, side: &str, file: &Path) {
    browser.field(side).await.send_keys(file.to_str().unwrap()).await.unwrap();
}

async fn fits(browser: &Browser) {
    let over = "return document.documentElement.scrollWidth - document.documentElement.clientWidth";
    let over = browser.client.execute(over, Vec::new()).await.unwrap();
    assert_eq!(over, 0, "it is wider than a phone");
}

async fn hand_over(priya: &Browser) {
    let folder = TempDir::new().unwrap();
    priya.go("Record pickup").await;
    priya.sees("h1", "Scoreboard clock").await;
    fits(priya).await;
    for (part, well) in [("screen", "whole"), ("power", "working")] {
        priya.sees(&format!("[data-part={part}]"), well).await;
        choose(priya, part, "well").await;
    }
    counted(priya, "remote", "1").await;
    counted(priya, "cable", "3").await;
    attach(priya, "front", &photograph(folder.path(), "front.jpg", [40, 90, 160])).await;
    let broken = folder.path().join("back.jpg");
    std::fs::write(&broken, "<!doctype html><script>alert(1)</script>").unwrap();
    attach(priya, "back", &broken).await;
    priya.fill("Notes", "Carry it upright").await;
    priya.click("form.handing button.main").await;

    // The file that isn't a photo is refused. Everything else is still there.
    priya.shows("#photo-1-mistake").await;
    priya.shows(".summary").await;
    priya.counts(".mistake", 1).await;
    let complaints = priya.console().await;
    assert!(complaints.len() == 1 && complaints[0].contains("status of 422"), "{complaints:?}");
    let notes = priya.field("Notes").await.prop("value").await.unwrap().unwrap();
    assert_eq!(notes, "Carry it upright");
    // The photo that was uploaded is kept.
    priya.counts(".handing [name$='_kept']", 1).await;
    fits(priya).await;
    priya.click("form.handing button.main").await;
    priya.shows("#said").await;
    let shots = priya.client.find_all(Locator::Css(".shots img")).await.unwrap();
    assert_eq!(shots.len(), 1);
    let width = "return document.querySelector('.shots img').naturalWidth";
    assert_eq!(priya.client.execute(width, Vec::new()).await.unwrap(), 320, "it is shown small");
    fits(priya).await;
}

async fn counted(browser: &Browser, name: &str, count: &str) {
    browser.find(&format!("[data-counted='{name}'] input")).await.send_keys(count).await.unwrap();
}

async fn bring_back(priya: &Browser) {
    let folder = TempDir::new().unwrap();
    priya.click("a.main[href$='/return']").await;
    priya.shows("[data-part=screen][data-before=whole]").await;
    priya.shows("[data-counted=remote][data-before='1']").await;
    let ticked = priya.client.find_all(Locator::Css("input:checked")).await.unwrap();
    assert!(ticked.is_empty(), "what was found at pickup is shown, not filled in");
    choose(priya, "screen", "otherwise").await;
    priya.find("[data-part=screen] input[type=text]").await.send_keys("scratched").await.unwrap();
    choose(priya, "power", "well").await;
    counted(priya, "remote", "0").await;
    counted(priya, "cable", "3").await;
    attach(priya, "front", &photograph(folder.path(), "front.jpg", [200, 90, 60])).await;
    priya.click("form.handing button.main").await;
    priya.shows("#said").await;
    for says in ["screen", "whole", "scratched", "remote"] {
        priya.sees("[data-differences='2']", says).await;
    }
    fits(priya).await;
}

/// The record on paper, then the letter drafted from it.
async fn write(priya: &Browser, clock: &str) {
    let pages = print(priya).await;
    assert_eq!(pages.len(), 1, "{}", pages.join("\n----\n"));
    let paper = one_line(&pages[0]);
    for says in ["Condition record", "scratched", "Eugenia Fontaine", "both signatures"] {
        assert!(paper.contains(says), "{says:?} isn't on the paper\n{paper}");
    }
    has_all(priya, ".paper p, .paper h2, .paper td, .paper li", &paper).await;
    has_no_bars(priya, &paper).await;
    let differences = texts(priya, "[data-differences] li").await;
    assert_eq!(differences.len(), 2, "{differences:?}");
    priya.click("a.main[href*='/letter']").await;
    let draft = priya.field("#text").await.prop("value").await.unwrap().unwrap();
    for says in differences {
        assert!(draft.lines().any(|line| line.contains(&says)), "{says}: {draft}");
    }
    priya.fill("#text", "The screen is scratched and the remote is gone. We will replace both.").await;
    priya.send("act", "mail").await;
    priya.shows("[data-about='its condition'][data-way=mail]").await;
    priya.open(&format!("{clock}/agreement")).await;
    let pages = print(priya).await;
    assert_eq!(pages.len(), 1, "{}", pages.join("\n----\n"));
    let paper = one_line(&pages[0]);
    for says in ["scoreboard clock", "75 ft (22 m)"] {
        assert!(paper.contains(says), "{says:?} isn't on the paper\n{paper}");
    }
    // The note about their counsel is on it, too.
    has_all(priya, ".paper p, .paper h2, .paper dd, .paper li, .paper [data-note=counsel]", &paper).await;
}

/// Working days are Monday to Friday, minus federal holidays and the demo's closed day three
/// weeks before its burn. The burn is on a Saturday, so the next working day is Monday unless
/// that is a holiday.
#[tokio::test]
async fn the_list_shows_what_needs_attention_and_when_items_are_due_back() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.enter(server.link("timekeeper")).await;
    browser.resize(390, 844).await;
    browser.open(&format!("{}/events/1/loans", server.base)).await;
    browser.sees("[data-problem=not-free-on-rain-date]", "Sports clock").await;
    browser.sees("[data-problem=no-backup]", "Generator").await;
    browser.sees(".list", "Hand timers").await;
    fits(&browser).await;
    // What is confirmed is folded.
    browser.click("[data-group=to-come] > summary").await;
    browser.sees("[data-group=to-come]", "Sound system").await;
    fits(&browser).await;
    // An item due back today isn't late.
    let today = words::iso(Clock::System.now().date());
    browser.counts(&format!("[data-due='{today}'][data-late]"), 0).await;
}

#[tokio::test]
async fn each_printed_label_opens_its_item() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.enter(server.link("crew lead")).await;
    browser.open(&format!("{}/events/1/loans/labels", server.base)).await;
    let labels = browser.client.find_all(Locator::Css(".tag")).await.unwrap().len();
    let folder = TempDir::new().unwrap();
    let pdf = browser.client.print(PrintConfiguration::default()).await.unwrap();
    let file = folder.path().join("labels.pdf");
    std::fs::write(&file, pdf).unwrap();
    let pages =
        Command::new("pdftoppm").args(["-r", "200", "-png"]).arg(&file).arg(folder.path().join("page")).status();
    assert!(pages.expect("pdftoppm is missing: run tests/run, which installs it").success());
    let images = std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path());
    let images = images.filter(|path| path.extension().is_some_and(|ending| ending == "png"));
    let read = Command::new("zbarimg").args(["--raw", "-q", "-Sdisable", "-Sqrcode.enable"]).args(images).output();
    let read = String::from_utf8(read.expect("zbarimg is missing: run tests/run, which installs it").stdout).unwrap();
    let mut codes: Vec<&str> = read.lines().collect();
    codes.sort_unstable();
    assert_eq!(codes.len(), labels, "{codes:?}");
    for code in codes {
        assert!(code.starts_with(&format!("{}/loans/", server.base)), "{code}");
        browser.open(code).await;
        assert!(browser.place().await.starts_with("/events/1/loans/"), "{code}");
    }
}
