//! What comes out of a printer.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::server::Server;
use fantoccini::Locator;
use fantoccini::wd::PrintConfiguration;
use std::process::Command;
use tempfile::TempDir;

#[tokio::test]
async fn the_plan_and_the_lists_print_without_bars_and_buttons() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.enter(server.link("education officer")).await;
    browser.shows("#now").await;

    browser.click("main a[href$='/wall']").await;
    browser.shows(".sheet td").await;
    let titles = texts(&browser, ".sheet td:nth-child(2)").await;
    let pages = print(&browser).await;
    let paper = one_line(&pages.concat());
    assert!(titles.len() > 40, "the plan is long: {titles:?}");
    for title in titles {
        assert!(letters(&paper).contains(&letters(&title)), "{title:?} isn't on the paper\n{paper}");
    }
    has_no_bars(&browser, &paper).await;

    browser.client.back().await.unwrap();
    browser.click("main a[href$='/lists']").await;
    browser.shows(".sheet.alone").await;
    let names = texts(&browser, ".sheet h2").await;
    let pages = print(&browser).await;
    assert!(names.len() > 3, "the lists of several people: {names:?}");
    for name in &names[1..] {
        let starts_a_page = pages.iter().any(|page| one_line(page).starts_with(&one_line(name)));
        assert!(starts_a_page, "{name:?} starts no page\n{}", pages.join("\n----\n"));
    }
    has_no_bars(&browser, &pages.concat()).await;
}

/// Checks that no bar or button is on the paper.
pub async fn has_no_bars(browser: &Browser, paper: &str) {
    let paper = one_line(paper);
    let bars = texts(browser, ".skip, .top button, .places a:first-child, main button, main .btn").await;
    let bars: Vec<String> = bars.iter().map(|bar| one_line(bar)).filter(|bar| !bar.is_empty()).collect();
    assert!(bars.len() > 1, "the bars of the page are read: {bars:?}");
    for bar in bars {
        assert!(!paper.contains(&bar), "{bar:?} is on the paper\n{paper}");
    }
}

/// Checks that everything the page shows there is on the paper.
pub async fn has_all(browser: &Browser, css: &str, paper: &str) {
    let (letters_there, shown) = (letters(paper), texts(browser, css).await);
    assert!(!shown.is_empty(), "nothing is shown at {css}");
    // A PDF reader may return right-to-left words in either order.
    let is_left_to_right = |text: &&String| !text.chars().any(|c| ('\u{590}'..='\u{8ff}').contains(&c));
    for text in shown.iter().filter(is_left_to_right) {
        assert!(letters_there.contains(&letters(text)), "{text:?} isn't on the paper\n{paper}");
    }
}

/// A text without spaces and line breaks, which differ on paper.
pub fn letters(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace()).collect()
}

pub async fn texts(browser: &Browser, css: &str) -> Vec<String> {
    let mut texts = Vec::new();
    for element in browser.client.find_all(Locator::Css(css)).await.unwrap() {
        texts.push(element.text().await.unwrap());
    }
    texts
}

pub fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text of each page of paper.
pub async fn print(browser: &Browser) -> Vec<String> {
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
