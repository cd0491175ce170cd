//! Takes the screenshot of the Countdown for the README, from today's demo.
//! `tests/screenshot` runs it.
#![expect(clippy::unwrap_used, reason = "if it fails, the panic says why there is no screenshot")]

#[expect(dead_code, reason = "the tests use the rest of it")]
mod driver;
#[expect(dead_code, reason = "the tests use the rest of it")]
mod hands;
#[expect(dead_code, reason = "the tests use the rest of it")]
mod http;
#[expect(dead_code, reason = "the tests use the rest of it")]
mod server;

use driver::{Browser, Scripts};
use server::Server;

#[tokio::main]
async fn main() {
    let picture = std::env::args().nth(1).unwrap();
    // Cargo puts examples in a folder beside the program.
    let program = std::env::current_exe().unwrap().parent().unwrap().with_file_name("burnday");
    let server = Server::demo(program);
    let browser = Browser::start(Scripts::On).await;
    browser.resize(1280, 1100).await;
    browser.prefer("light").await;
    browser.enter(server.link("education officer")).await;
    browser.shows("#now").await;
    let png = browser.client.screenshot().await.unwrap();
    std::fs::write(&picture, png).unwrap_or_else(|error| panic!("{picture}: {error}"));
    println!("{picture} is written");
}
