//! The app as people use it: the real program, a real browser, the W3C's checker, and
//! axe-core. `tests/run` installs what they need.
#![expect(clippy::unwrap_used, reason = "a test ends where its helper can't go on")]

mod answers;
mod checker;
mod crawl;
mod crew;
mod drawn;
mod driver;
mod fire;
mod gifts;
mod guests;
mod hands;
mod http;
mod keyboard;
mod loans;
mod mails;
mod pages;
mod paper;
mod press;
mod rooms;
mod server;
mod site;
mod stories;
mod talk;
mod tools;

/// The program under test.
const PROGRAM: &str = env!("CARGO_BIN_EXE_burnday");
