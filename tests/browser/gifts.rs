//! A gift from its promise to its receipt, and the thanks after burn day.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{has_all, has_no_bars, letters, one_line, print, texts};
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
    priya.enter(server.link("education officer")).await;
    priya.shows("#now").await;

    promise(&priya, &server).await;
    receive(&priya).await;
    receipt(&priya).await;

    server.burns_in(-1);
    thank(&priya, &server).await;
    assert_eq!(priya.console().await, [""; 0], "the console is quiet");
}

async fn promise(priya: &Browser, server: &Server) {
    priya.open(&format!("{}/events/1/guests/gifts", server.base)).await;
    priya.click("main a[href$='/gifts/new']").await;
    priya.choose_person("Donor", "Xiomara Petrenko · Bend Lumber Yard").await;
    priya.fill("What", "bundles of wall studs").await;
    priya.fill("Quantity", "9").await;
    priya.unfold("Value, for internal use only").await;
    priya.fill("Value", "431.50").await;
    priya.fill_day("Value on", burnday::clock::Clock::System.now().date()).await;
    priya.fill("Estimated by", "Priya Okafor").await;
    priya.press("Save").await;
    priya.sees("h1", "9 × bundles of wall studs").await;
    priya.sees(".facts", "$431.50").await;
}

async fn receive(priya: &Browser) {
    priya.click("form[action$='/received'] button").await;
    priya.shows(".facts[data-state=received]").await;
    priya.sees(".facts", "Priya Okafor").await;
    priya.click(RECEIPT).await;
    priya.shows("[data-missing=return]").await;
    priya.click("main .acts a[href$='/edit']").await;
    priya.unfold("Given in return").await;
    priya.field("#in_return").await.select_by_label("nothing").await.unwrap();
    priya.press("Save").await;
    priya.shows(".facts[data-state=received]").await;
}

async fn receipt(priya: &Browser) {
    priya.click(RECEIPT).await;
    priya.shows(".paper[data-returned=nothing]").await;
    let pages = print(priya).await;
    assert_eq!(pages.len(), 1, "{pages:?}");
    let paper = one_line(&pages[0]);
    for says in ["Alder Bend Fire District", "Xiomara Petrenko", "bundles of wall studs"] {
        assert!(paper.contains(says), "{says:?} isn't on the paper\n{paper}");
    }
    // The last paragraph says what was given in return.
    has_all(priya, ".paper p, .paper h2, .paper dd", &paper).await;
    for not in ["$", "431", "1771"] {
        assert!(!paper.contains(not), "{not:?} is on the paper\n{paper}");
    }
    has_no_bars(priya, &paper).await;
    priya.send("act", "on paper").await;
    priya.shows("[data-way='on paper']").await;
}

/// The link to a gift's receipt.
const RECEIPT: &str = "main a[href$='/receipt']";

/// Thanks the donor of the studs and a guest by email, and reads the email in the app.
async fn thank(priya: &Browser, server: &Server) {
    priya.open(&format!("{}/events/1/guests/thanks", server.base)).await;
    priya.shows("[data-thanked='0']").await;
    priya.click("main a[href$='/thanks/day']").await;
    priya.fill("#came", "312").await;
    priya.unfold("Times in the fire").await;
    priya.fill("#alarm", "0:38").await;
    priya.press("Save").await;
    priya.shows("#said").await;

    priya.go("Marguerite Vance").await;
    let sentence = "You told the children where you keep your own alarm.";
    priya.fill("#sentence", sentence).await;
    priya.send("act", "mail").await;
    priya.click("main ul li a[href^='/mail/']").await;
    priya.shows("pre.letter-text").await;
    let text = priya.read("pre.letter-text").await;
    let thanks = text.lines().find(|line| line.ends_with(sentence)).unwrap_or_else(|| panic!("{text}"));
    assert!(thanks.contains("guest"), "it follows the thanks: {text}");
    for says in ["312", "38 s", "Fenwick Tamura, Fire chief"] {
        assert!(text.contains(says), "{says:?}: {text}");
    }

    // The others go out together, after a preview.
    priya.open(&format!("{}/events/1/guests/thanks", server.base)).await;
    priya.shows("[data-thanked='1']").await;
    priya.send("act", "see").await;
    priya.shows("[data-mails='2']").await;
    priya.send("act", "mail").await;
    priya.shows("[data-thanked='3']").await;
    let thanks = server.reads_only("thanks");
    assert_eq!(thanks.len(), 3, "{thanks:#?}");
}

/// Names a page may not expect: a very long one, and one that is read from right to left.
const NAMES: [&str; 2] = ["Cornelius Bartholomew Abernathy-Featherstonehaugh van der Westhuizen", "נועה שמש"];

#[tokio::test]
async fn each_letter_and_receipt_fits_on_one_page_whatever_the_name() {
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
    browser.enter(server.link("education officer")).await;
    browser.open(&format!("{}/events/1/guests/thanks/letters", server.base)).await;
    browser.shows(".paper").await;
    let letters_there = browser.client.find_all(Locator::Css(".paper")).await.unwrap().len();
    assert!(letters_there >= NAMES.len(), "{letters_there} letters");
    let pages = print(&browser).await;
    assert_eq!(pages.len(), letters_there, "{}", pages.join("\n----\n"));
    let thanks = texts(&browser, ".paper > p:nth-of-type(4)").await;
    assert_eq!(thanks.len(), letters_there, "each has its thanks");
    for (page, thanks) in pages.iter().zip(thanks) {
        assert!(letters(page).contains(&letters(&thanks)), "{thanks}: {page}");
        let page = one_line(page);
        assert!(page.starts_with("Alder Bend Fire District"), "{page}");
        assert!(page.contains("Fenwick Tamura, Fire chief"), "{page}");
    }
    has_no_bars(&browser, &pages.concat()).await;
    for says in texts(&browser, ".noprint > p.soft").await {
        assert!(!letters(&pages.concat()).contains(&letters(&says)), "{says}");
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
        browser.shows(".paper").await;
        let pages = print(&browser).await;
        assert_eq!(pages.len(), 1, "{}", pages.join("\n----\n"));
        assert!(one_line(&pages[0]).contains("folding chairs"), "{}", pages[0]);
        seen += NAMES.iter().filter(|name| shows(&pages[0], name)).count();
    }
    assert_eq!(seen, NAMES.len());
}

/// Is the name on that page? A PDF reader may return right-to-left words in either order.
fn shows(page: &str, name: &str) -> bool {
    let page = one_line(page);
    let backwards = |word: &str| word.chars().rev().collect::<String>();
    name.split_whitespace().all(|word| page.contains(word) || page.contains(&backwards(word)))
}
