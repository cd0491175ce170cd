//! The W3C's checker, run on every page's HTML.

use crate::PROGRAM;
use crate::crawl::Stop;
use crate::pages::{self, Found};
use crate::server::Server;
use crate::tools;
use serde_json::Value;
use std::process::Command;
use tempfile::TempDir;

#[tokio::test]
async fn every_page_is_valid_html() {
    let (fresh, demo) = (Server::fresh(PROGRAM), Server::demo(PROGRAM));
    let mut stops = pages::of_the_set_up(&fresh).await;
    stops.extend(pages::of_the_officer(&demo).await);
    stops.extend(pages::answers_to_the_officer(&demo).await);
    stops.extend(pages::of_a_reader(&demo).await);
    stops.extend(pages::of_a_stranger(&demo).await);

    pages::assert_clean(&check(&stops), &stops);
}

/// The checker starts once for all pages, since starting takes longest. Warnings are
/// printed, errors are returned.
fn check(stops: &[Stop]) -> Found {
    let folder = TempDir::new().unwrap();
    for (number, stop) in stops.iter().enumerate() {
        std::fs::write(folder.path().join(format!("{number}.html")), &stop.html).unwrap();
    }
    let output = Command::new("java")
        .arg("-jar")
        .arg(tools::npm("vnu-jar/build/dist/vnu.jar"))
        .args(["--stdout", "--format", "json"])
        .arg(folder.path())
        .output()
        .expect("java is missing: run tests/run, which installs it");
    let answer: Value = serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|error| panic!("{error}\n{}", String::from_utf8_lossy(&output.stderr)));
    let mut errors = Found::new();
    for message in answer["messages"].as_array().unwrap() {
        let url = message["url"].as_str().unwrap_or_default();
        let number = url.rsplit('/').next().and_then(|file| file.strip_suffix(".html")?.parse::<usize>().ok());
        let place = number.map_or_else(|| url.to_owned(), |number| stops[number].to_string());
        let what = message["message"].as_str().unwrap();
        let place = format!("{place}, line {}: {}", message["lastLine"], message["extract"]);
        if message["type"] == "info" {
            println!("{what}\n    {place}");
        } else {
            errors.entry(what.to_owned()).or_default().push(place);
        }
    }
    errors
}
