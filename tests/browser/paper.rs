//! What comes out of a printer.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::server::Server;
use fantoccini::Locator;
use fantoccini::wd::{PrintConfiguration, PrintSize};
use std::process::Command;
use tempfile::TempDir;

#[tokio::test]
async fn the_plan_and_the_lists_print_without_bars_and_buttons() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.enter(server.link("education officer")).await;
    browser.shows("#now").await;

    browser.click("a[href$='/wall']").await;
    browser.shows("[data-poster]").await;
    let names = "return [...document.querySelectorAll('[data-name]')].map((name) => name.textContent)";
    let names = browser.client.execute(names, Vec::new()).await.unwrap();
    let names: Vec<String> = serde_json::from_value(names).unwrap();
    assert!(names.len() > 40, "the plan is long: {names:?}");
    // On a sheet of 11 by 17 inches, on A3, and made smaller on the usual paper.
    for size in [(43.18, 27.94), (42.0, 29.7), (21.59, 27.94)] {
        let pages = print_on(&browser, size).await;
        assert_eq!(pages.len(), 1, "the wall plan is one sheet on {size:?}");
        for name in &names {
            assert!(letters(&pages[0]).contains(&letters(name)), "{name:?} isn't on {size:?}\n{}", pages[0]);
        }
    }
    let paper = one_line(&print(&browser).await.concat());
    has_no_bars(&browser, &paper).await;

    browser.client.back().await.unwrap();
    browser.click("a[href$='/lists']").await;
    browser.shows("[data-list]").await;
    browser.click("main a[href$='?who=all']").await;
    browser.shows(".sheet.alone ~ .sheet.alone").await;
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
    // A phone shows only the menu's button.
    assert!(!bars.is_empty(), "the bars of the page are read");
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
    print_as(browser, PrintConfiguration::default()).await
}

/// The same on paper so many centimeters wide and high.
pub async fn print_on(browser: &Browser, (width, height): (f64, f64)) -> Vec<String> {
    print_as(browser, PrintConfiguration::builder().size(PrintSize { width, height }).build().unwrap()).await
}

async fn print_as(browser: &Browser, how: PrintConfiguration) -> Vec<String> {
    let pdf = browser.client.print(how).await.unwrap();
    let folder = TempDir::new().unwrap();
    let file = folder.path().join("paper.pdf");
    std::fs::write(&file, pdf).unwrap();
    let output = Command::new("pdftotext").arg("-raw").arg(&file).arg("-").output();
    let output = output.expect("pdftotext is missing: run tests/run, which installs it");
    assert!(output.status.success(), "{output:?}");
    let text = String::from_utf8(output.stdout).unwrap();
    text.trim_end_matches('\u{c}').split('\u{c}').map(str::to_owned).collect()
}
