//! An official is invited by email, names a deputy with the link in it, and is introduced
//! in the right order. The presenter's pages are printed.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{has_no_bars, letters, one_line, print, texts};
use crate::server::Server;
use burnday::asks::Kind;
use fantoccini::Locator;

#[tokio::test]
async fn an_official_is_invited_sends_a_deputy_and_is_introduced_in_the_right_order() {
    story(Scripts::On, Scripts::Off).await;
}

#[tokio::test]
async fn the_same_with_scripts_for_the_guest_alone() {
    story(Scripts::Off, Scripts::On).await;
}

async fn story(officer: Scripts, reader: Scripts) {
    let server = Server::demo(PROGRAM);
    let priya = Browser::start(officer).await;
    priya.enter(server.link("education officer")).await;

    priya.go_to("Guests").await;
    priya.go("Add guests").await;
    priya.unfold("Add a new person").await;
    priya.fill("Name", "Perpetua Lindgaard").await;
    priya.fill("Office", "State representative").await;
    priya.fill("Jurisdiction", "District 31").await;
    priya.fill("Email", "perpetua@example.org").await;
    priya.click("main form.fields button.main").await;
    priya.sees("h1", "The Honorable Perpetua Lindgaard").await;
    priya.shows("[data-by=jurisdiction]:not([data-home=visiting])").await;
    priya.go("Edit guest").await;
    priya.unfold("Speaking").await;
    priya.fill("#minutes", "1.5").await;
    priya.press("Save").await;
    priya.shows("[data-speaks='90']").await;
    priya.go("Invite").await;
    priya.send("act", "see").await;
    priya.counts("section.note details", 1).await;
    priya.send("act", "invite").await;
    priya.shows("#said").await;

    let link = read_the_mail(&priya).await;
    server.reads(&[("ask", "perpetua@example.org")]);
    let phone = Browser::start(reader).await;
    phone.resize(390, 844).await;
    phone.open(&link).await;
    phone.sees("h1", Kind::Guest.question()).await;
    for says in ["1 min 30 s", "195"] {
        phone.sees(".facts", says).await;
    }
    // What is folded opens with or without scripts.
    phone.client.find(Locator::Css("details.more > summary")).await.unwrap().click().await.unwrap();
    phone.fill("#deputy", "Nell Okoro").await;
    phone.fill("#deputy_title", "legislative aide").await;
    phone.click("button[name=say][value$=' deputy']").await;
    phone.sees("[data-stands=deputy]", "Nell Okoro, legislative aide").await;
    let confirmed = server.reads(&[("confirm", "perpetua@example.org")]).remove(0);
    assert!(confirmed.text.contains("Nell Okoro"), "{}", confirmed.text);

    priya.go_to("Guests").await;
    priya.click("[data-group='sends a deputy'] > summary").await;
    priya.sees("main .list", "Nell Okoro, legislative aide").await;
    priya.open(&format!("{}/events/1/burn-day/cards", server.base)).await;
    priya.shows(".cards").await;
    let names = texts(&priya, ".card .name").await;
    let place = |name: &str| names.iter().position(|other| other.contains(name)).unwrap();
    // After the senator's deputy, whose office is higher, and before the county.
    assert!(place("Nell Harrow") < place("Nell Okoro"), "{names:?}");
    assert!(place("Nell Okoro") < place("Solberg-Wray"), "{names:?}");
    let paper = print(&priya).await;
    let card = paper.iter().find(|page| page.contains("Nell Okoro")).unwrap();
    let on_behalf = priya.find("//section[contains(., 'Nell Okoro')]//*[@data-on-behalf]").await.text().await.unwrap();
    assert!(on_behalf.contains("The Honorable Perpetua Lindgaard, State representative"), "{on_behalf}");
    assert!(letters(card).contains(&letters(&on_behalf)), "{card}");
    assert!(paper.concat().contains("נועה") || paper.concat().contains("העונ"), "a right-to-left name is there");
    has_no_bars(&priya, &paper.concat()).await;

    priya.open(&format!("{}/events/1/burn-day/presenter", server.base)).await;
    priya.shows(".onesheet").await;
    let sheet = print(&priya).await;
    assert_eq!(sheet.len(), 1, "one sheet for the presenter:\n{}", sheet.join("\n----\n"));
    let sheet = one_line(&sheet.concat());
    assert!(sheet.contains("Nell Okoro") && sheet.contains("SOHL-berg RAY"), "{sheet}");
    has_no_bars(&priya, &sheet).await;

    priya.open(&format!("{}/events/1/guests/briefings", server.base)).await;
    priya.shows(".sheet h2").await;
    let briefings = texts(&priya, ".sheet h2").await.len();
    let paper = print(&priya).await;
    assert_eq!(paper.len(), briefings, "one page for each:\n{}", paper.join("\n----\n"));

    thank(&priya, &server).await;
    assert_eq!(phone.console().await, [""; 0], "the guest's console is quiet");
    assert_eq!(priya.console().await, [""; 0], "the officer's console is quiet");
}

/// After burn day: the official is thanked for sending someone, who is thanked too.
async fn thank(priya: &Browser, server: &Server) {
    server.burns_in(-1);
    priya.open(&format!("{}/events/1/guests/thanks", server.base)).await;
    let deputy = "//li[contains(., 'Nell Okoro, legislative aide')][contains(@data-who, '-deputy')]";
    assert!(priya.find(deputy).await.text().await.unwrap().contains("Perpetua Lindgaard"));
    priya.go("Perpetua Lindgaard").await;
    priya.fill("#sentence", "Your aide stayed for every question.").await;
    priya.send("act", "mail").await;
    priya.click("main ul li a[href^='/mail/']").await;
    priya.sees("pre.letter-text", "Nell Okoro").await;
    priya.sees("pre.letter-text", "Your aide stayed for every question.").await;
    server.reads(&[("thanks", "perpetua@example.org")]);
}

#[tokio::test]
async fn guests_are_checked_in_at_the_door_on_a_phone() {
    for scripts in [Scripts::On, Scripts::Off] {
        let server = Server::demo(PROGRAM);
        let gate = Browser::start(scripts).await;
        gate.resize(390, 844).await;
        gate.enter(server.link("crew lead")).await;
        gate.go_to("Guests").await;
        gate.open(&format!("{}/events/1/burn-day/guests", server.base)).await;
        counts_at_the_door(&gate, 0, 10).await;
        let at = |name: &str, here: &str| format!("//li[contains(., '{name}')]//button[@name='here'][@value='{here}']");
        let here = gate.find(&at("Marguerite Vance", "yes")).await;
        let (.., width, height) = here.rectangle().await.unwrap();
        assert!(height >= 48.0 && width >= 120.0, "large enough for a thumb in a glove: {width} by {height}");
        gate.click(&at("Marguerite Vance", "yes")).await;
        counts_at_the_door(&gate, 1, 9).await;
        gate.click(&at("Cassius Oduya", "no")).await;
        counts_at_the_door(&gate, 1, 8).await;
        gate.open(&format!("{}/events/1/guests/program", server.base)).await;
        // The speaker who isn't here.
        gate.sees("main .plain-list", "The Honorable Cassius Oduya").await;
        assert_eq!(gate.console().await, [""; 0], "the console is quiet");
    }
}

/// Checks how many are here and how many are still expected.
async fn counts_at_the_door(gate: &Browser, here: usize, expected: usize) {
    gate.counts("ol.door > li", here + expected).await;
    gate.counts("ol.door [name=here][aria-pressed=true]", here).await;
}

/// Reads the message on its page and returns the link in it.
async fn read_the_mail(priya: &Browser) -> String {
    priya.go("People").await;
    priya.go("Lindgaard, Perpetua").await;
    priya.click("main a[href^='/mail/']").await;
    priya.sees("h1", Kind::Guest.question()).await;
    let text = priya.read("pre.letter-text").await;
    text.split_whitespace().find(|word| word.contains("/answer/")).unwrap().to_owned()
}
