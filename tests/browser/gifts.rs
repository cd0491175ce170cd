//! A gift from its promise to its receipt, and after the day the thanks for it.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{one_line, print};
use crate::server::Server;
use fantoccini::Locator;

#[tokio::test]
async fn a_gift_is_promised_received_receipted_and_thanked_for() {
    story(Scripts::On).await;
}

#[tokio::test]
async fn a_gift_is_promised_received_receipted_and_thanked_for_without_scripts() {
    story(Scripts::Off).await;
}

async fn story(scripts: Scripts) {
    let server = Server::demo(PROGRAM);
    let priya = Browser::start(scripts).await;
    priya.open(server.link("education officer")).await;
    priya.press("Enter as education officer").await;
    priya.sees("h2", "To do now").await;

    promise(&priya, &server).await;
    receive(&priya).await;
    receipt(&priya).await;

    server.burns_in(-1);
    thank(&priya, &server).await;
    assert_eq!(priya.console().await, [""; 0], "the console is quiet");
}

async fn promise(priya: &Browser, server: &Server) {
    priya.open(&format!("{}/events/1/guests/gifts", server.base)).await;
    priya.go("Add a gift").await;
    priya.field("Giver").await.select_by_label("Xiomara Petrenko · Bend Lumber Yard").await.unwrap();
    priya.fill("What", "bundles of wall studs").await;
    priya.fill("Quantity", "9").await;
    priya.fill("Value", "431.50").await;
    priya.fill_day("Value on", burnday::clock::Clock::System.now().date()).await;
    priya.fill("Estimated by", "Priya Okafor").await;
    priya.press("Save").await;
    priya.sees(".said", "The gift is added.").await;
    priya.sees("h1", "9 × bundles of wall studs").await;
    priya.sees(".facts", "$431.50").await;
}

async fn receive(priya: &Browser) {
    priya.press("It is here").await;
    priya.sees(".said", "The gift is here. Next is its receipt.").await;
    priya.sees(".facts", "taken by Priya Okafor").await;
    priya.go("Give a receipt").await;
    priya.sees(".note", "A receipt says whether anything was given in return.").await;
    priya.go("Change the gift").await;
    priya.field("The giver got").await.select_by_label("nothing").await.unwrap();
    priya.press("Save").await;
    priya.sees(".said", "The gift is changed.").await;
}

async fn receipt(priya: &Browser) {
    priya.go("Give a receipt").await;
    priya.sees(".paper", "Receipt for a gift").await;
    let pages = print(priya).await;
    assert_eq!(pages.len(), 1, "{pages:?}");
    let paper = one_line(&pages[0]);
    for says in [
        "Alder Bend Fire District",
        "Xiomara Petrenko",
        "bundles of wall studs",
        "No goods or services were given in return for this gift.",
    ] {
        assert!(paper.contains(says), "{says:?} isn't on the paper\n{paper}");
    }
    for not in ["$", "431", "Mail it to", "It went out on paper", "1771", "Sign out", "Countdown"] {
        assert!(!paper.contains(not), "{not:?} is on the paper\n{paper}");
    }
    priya.press("It went out on paper").await;
    priya.sees(".said", "The receipt is noted as given on paper.").await;
    priya.sees(".list", "receipt on paper").await;
}

/// Thanks the giver of the boards and a guest by mail, and reads it in the app.
async fn thank(priya: &Browser, server: &Server) {
    priya.open(&format!("{}/events/1/guests/thanks", server.base)).await;
    priya.sees("main", "0 thanked").await;
    priya.go("Figures and signature").await;
    priya.fill("People who came", "312").await;
    priya.fill("Smoke alarm", "0:38").await;
    priya.press("Save").await;
    priya.sees(".said", "Every letter now says so.").await;

    priya.go("Marguerite Vance").await;
    let sentence = "You told the children where you keep your own alarm.";
    priya.fill("A sentence for them alone", sentence).await;
    priya.press("Send it to mayor@example.org").await;
    priya.sees(".said", "The thanks to Marguerite Vance go out by mail.").await;
    let sent = "//main//ul//li//a[starts-with(@href, '/mail/')]";
    priya.click(sent).await;
    priya.sees("h1", "Thank you from Alder Bend Fire District").await;
    let text = priya.client.find(Locator::Css("pre.letter-text")).await.unwrap().text().await.unwrap();
    assert!(text.contains(&format!("Thank you for coming as our guest. {sentence}")), "{text}");
    for says in ["Audience: 312 people", "Smoke alarm: 38 s after the first flame", "Fenwick Tamura, Fire chief"] {
        assert!(text.contains(says), "{says:?}: {text}");
    }

    // The others go out together, after a look.
    priya.open(&format!("{}/events/1/guests/thanks", server.base)).await;
    priya.sees("main", "1 thanked").await;
    priya.press("See the mails").await;
    priya.sees(".note", "2 mails are ready.").await;
    priya.press("Send 2 mails").await;
    priya.sees(".said", "2 thank-yous go out by mail.").await;
    priya.sees("main", "3 thanked").await;
    let thanks = server.reads_only("thanks");
    assert_eq!(thanks.len(), 3, "{thanks:#?}");
}

/// Names that a page may not be made for: very long, and read from right to
/// left.
const NAMES: [&str; 2] = ["Cornelius Bartholomew Abernathy-Featherstonehaugh van der Westhuizen", "נועה שמש"];

#[tokio::test]
async fn letters_and_receipts_are_one_page_each_whatever_the_name() {
    let server = Server::demo(PROGRAM);
    for name in NAMES {
        server.sql(&format!(
            "update person set channel = 'letter' where name = '{name}';
             insert into gift (event_id, person_id, in_name, kind, what, quantity, promised_on, state, received_on,
                               taken_by, in_return, recognition)
             select 1, id, 'themselves', 'in kind', 'folding chairs', '40', '2026-01-05', 'received', '2026-01-06',
                    'Priya Okafor', 'nothing', 'not agreed yet' from person where name = '{name}';
             insert into thanks_draft (event_id, person_id, is_deputy, sentence)
             select 1, id, 0, '{}' from person where name = '{name}'",
            "A long sentence of thanks that fills its line. ".repeat(10)
        ));
    }
    server.burns_in(-1);
    let browser = Browser::start(Scripts::On).await;
    browser.open(server.link("education officer")).await;
    browser.press("Enter as education officer").await;
    browser.open(&format!("{}/events/1/guests/thanks/letters", server.base)).await;
    browser.sees("h1", "Thank-you letters").await;
    let letters = browser.client.find_all(Locator::Css(".paper")).await.unwrap().len();
    assert!(letters >= NAMES.len(), "{letters} letters");
    let pages = print(&browser).await;
    assert_eq!(pages.len(), letters, "{}", pages.join("\n----\n"));
    for page in &pages {
        let page = one_line(page);
        assert!(page.starts_with("Alder Bend Fire District"), "{page}");
        assert!(page.contains("Thank you for") && page.contains("Fenwick Tamura, Fire chief"), "{page}");
        assert!(!page.contains("Print with the browser"), "{page}");
    }
    for name in NAMES {
        assert_eq!(pages.iter().filter(|page| shows(page, name)).count(), 1, "{name}: {}", pages.join("\n----\n"));
    }

    browser.open(&format!("{}/events/1/guests/gifts", server.base)).await;
    let gifts = "//a[normalize-space()='40 × folding chairs']";
    let links = browser.client.find_all(Locator::XPath(gifts)).await.unwrap();
    let mut receipts = Vec::new();
    for link in links {
        receipts.push(format!("{}{}/receipt", server.base, link.attr("href").await.unwrap().unwrap()));
    }
    assert_eq!(receipts.len(), NAMES.len());
    let mut seen = 0;
    for receipt in receipts {
        browser.open(&receipt).await;
        browser.sees("h1", "Receipt").await;
        let pages = print(&browser).await;
        assert_eq!(pages.len(), 1, "{}", pages.join("\n----\n"));
        assert!(one_line(&pages[0]).contains("folding chairs"), "{}", pages[0]);
        seen += NAMES.iter().filter(|name| shows(&pages[0], name)).count();
    }
    assert_eq!(seen, NAMES.len());
}

/// Does the name stand on that page? A reader of PDF may tell words that run
/// from right to left in either order.
fn shows(page: &str, name: &str) -> bool {
    let page = one_line(page);
    let backwards = |word: &str| word.chars().rev().collect::<String>();
    name.split_whitespace().all(|word| page.contains(word) || page.contains(&backwards(word)))
}
