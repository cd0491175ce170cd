//! What comes out of a printer.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::server::Server;
use fantoccini::Locator;
use fantoccini::wd::PrintConfiguration;
use std::process::Command;
use tempfile::TempDir;

#[tokio::test]
async fn the_plan_and_everybodys_list_print_without_the_bars() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.open(server.link("education officer")).await;
    browser.press("Enter as education officer").await;
    browser.sees("h2", "To do now").await;

    browser.go("The whole plan for the wall").await;
    browser.sees("h1", "The whole plan").await;
    let titles = texts(&browser, ".sheet td:nth-child(2)").await;
    let pages = print(&browser).await;
    let paper = one_line(&pages.concat());
    assert!(titles.len() > 40, "the plan is long: {titles:?}");
    for title in titles {
        assert!(paper.contains(&one_line(&title)), "{title:?} isn't on the paper\n{paper}");
    }
    has_no_bars(&paper);

    browser.client.back().await.unwrap();
    browser.go("Lists to print").await;
    browser.sees("h1", "Lists by person").await;
    let names = texts(&browser, ".sheet h2").await;
    let pages = print(&browser).await;
    assert!(names.len() > 3, "the lists of several people: {names:?}");
    for name in &names[1..] {
        let starts_a_page = pages.iter().any(|page| one_line(page).starts_with(&one_line(name)));
        assert!(starts_a_page, "{name:?} starts no page\n{}", pages.join("\n----\n"));
    }
    has_no_bars(&one_line(&pages.concat()));
}

fn has_no_bars(paper: &str) {
    for word in ["Sign out", "Countdown", "Skip to content", "Show"] {
        assert!(!paper.contains(word), "{word:?} is on the paper\n{paper}");
    }
}

async fn texts(browser: &Browser, css: &str) -> Vec<String> {
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
