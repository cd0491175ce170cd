//! The officer imports her contacts and asks one of them, who answers on a phone without an
//! account.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::server::Server;
use fantoccini::Locator;
use std::io::Write;
use std::time::Duration;

const QUESTION: &str = "Can you hold the gate on burn day?";

#[tokio::test]
async fn a_contact_is_imported_asked_and_answers() {
    story(Scripts::On, Scripts::Off).await;
}

#[tokio::test]
async fn a_contact_answers_with_scripts_and_the_officer_works_without() {
    story(Scripts::Off, Scripts::On).await;
}

async fn story(officer: Scripts, reader: Scripts) {
    let server = Server::demo(PROGRAM);
    let priya = Browser::start(officer).await;
    priya.enter(server.link("education officer")).await;

    bring_in(&priya, &server).await;
    ask(&priya).await;
    let link = read_the_mail(&priya).await;
    let mail = server.reads(&[("ask", "perpetua@example.org")]).remove(0);
    assert!(link.ends_with(mail.links.first().unwrap()), "the page shows the link from the email");

    let phone = Browser::start(reader).await;
    let before = server.dump();
    phone.open(&link).await;
    phone.sees("h1", QUESTION).await;
    phone.shows("[data-note=until-pressed]").await;
    // As an email scanner with scripts does: it opens the page and leaves.
    tokio::time::sleep(Duration::from_secs(1)).await;
    assert_eq!(answers(&before), answers(&server.dump()), "opening the page saves nothing");
    phone.click("button[name=say][value$=' yes']").await;
    phone.shows("[data-stands=yes]").await;
    phone.shows("a[download]").await;
    // The buttons are folded under the answer.
    phone.counts("details[data-change]:not([open]) button[name=say]", 3).await;
    phone.click("details[data-change] > summary").await;
    phone.shows("details[data-change] button[aria-pressed=true]").await;
    let confirmed = server.reads(&[("confirm", "perpetua@example.org")]).remove(0);
    assert!(confirmed.text.contains("yes"), "{}", confirmed.text);

    priya.go_to("Messages").await;
    priya.fill("#q", "Perpetua").await;
    priya.press("Show").await;
    priya.go("Perpetua Lindgaard").await;
    priya.shows(".facts [data-said=yes]").await;
    priya.shows("[data-answer=yes][data-way=link]").await;
    assert_eq!(phone.console().await, [""; 0], "the reader's console is quiet");
    assert_eq!(priya.console().await, [""; 0], "the officer's console is quiet");
}

/// The lines of a dump of the store about questions, answers, and their links.
fn answers(dump: &str) -> Vec<&str> {
    let about = |line: &&str| {
        ["answer", "ask", "request", "request_link"]
            .iter()
            .any(|table| line.starts_with(&format!("INSERT INTO {table} ")))
    };
    dump.lines().filter(about).collect()
}

async fn bring_in(priya: &Browser, server: &Server) {
    let mut file = tempfile::Builder::new().suffix(".csv").tempfile().unwrap();
    writeln!(file, "Full name;E-mail;Phone\nPerpetua Lindgaard;perpetua@example.org;555-0177").unwrap();
    priya.go("People").await;
    priya.click(".pages a[href='/people/import']").await;
    priya.field("#file").await.send_keys(file.path().to_str().unwrap()).await.unwrap();
    let known = || server.ask_store("select count(*) from person where mail = 'perpetua@example.org'");
    priya.click("form[enctype] button").await;
    priya.shows("[data-file][data-people='1']").await;
    assert_eq!(known(), "0", "nothing is saved yet");
    priya.send("act", "keep").await;
    priya.shows("#said").await;
    assert_eq!(known(), "1");
}

async fn ask(priya: &Browser) {
    priya.go_to("Messages").await;
    priya.go("Ask people").await;
    priya.fill("Question", QUESTION).await;
    let tick = "//label[contains(., 'Perpetua Lindgaard')]/input";
    priya.click(tick).await;
    priya.send("act", "see").await;
    priya.shows("[data-ready='1']").await;
    priya.send("act", "ask").await;
    priya.shows("#said").await;
}

/// Reads the message on its page, whether it is waiting or sent, and returns its link.
async fn read_the_mail(priya: &Browser) -> String {
    priya.go("People").await;
    priya.go("Lindgaard, Perpetua").await;
    priya.click("main a[href^='/mail/']").await;
    priya.sees("h1", QUESTION).await;
    let text = priya.client.find(Locator::Css("pre.letter-text")).await.unwrap().text().await.unwrap();
    assert!(text.lines().nth(2).unwrap().starts_with(QUESTION), "the question comes first: {text}");
    text.split_whitespace().find(|word| word.contains("/answer/")).unwrap().to_owned()
}
