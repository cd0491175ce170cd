//! An official is invited by mail, sends a deputy by the link in it, and is
//! introduced in the right place; what is printed for the presenter.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::server::Server;
use fantoccini::Locator;
use fantoccini::wd::PrintConfiguration;
use std::process::Command;

const QUESTION: &str = "Will you be our guest at the live burn?";

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
    priya.open(server.link("education officer")).await;
    priya.press("Enter as education officer").await;

    priya.go("Guests").await;
    priya.go("Add guests").await;
    priya.fill("Name", "Perpetua Lindgaard").await;
    priya.fill("Office", "State representative").await;
    priya.fill("Jurisdiction", "District 31").await;
    priya.fill("Mail address", "perpetua@example.org").await;
    priya.press("Add to the guests").await;
    priya.sees("h1", "The Honorable Perpetua Lindgaard").await;
    priya.sees("main", "yes, by jurisdiction").await;
    priya.go("Change").await;
    priya.fill("Minutes to speak", "1.5").await;
    priya.press("Save").await;
    priya.sees(".said", "Saved.").await;
    priya.go("Invite").await;
    priya.press("See the mails").await;
    priya.sees(".note", "1 mail is ready. Nothing goes out until you press the button.").await;
    priya.press("Invite 1 guest").await;
    priya.sees(".said", "1 guest is invited.").await;

    let link = read_the_mail(&priya).await;
    server.reads(&[("ask", "perpetua@example.org")]);
    let phone = Browser::start(reader).await;
    phone.resize(390, 844).await;
    phone.open(&link).await;
    phone.sees("h1", QUESTION).await;
    phone.sees("main", "1 min 30 s, about 195 words").await;
    // Scripts or not, what is folded away opens.
    phone.client.find(Locator::Css("details.more > summary")).await.unwrap().click().await.unwrap();
    phone.fill("Who comes instead", "Nell Okoro").await;
    phone.fill("Their title", "legislative aide").await;
    let send = "//button[starts-with(normalize-space(.), 'Send this person')]";
    phone.click(send).await;
    phone.sees(".note", "You send Nell Okoro, legislative aide on").await;
    let confirmed = server.reads(&[("confirm", "perpetua@example.org")]).remove(0);
    assert!(confirmed.text.contains("Nell Okoro"), "{}", confirmed.text);

    priya.go("Guests").await;
    priya.sees("main", "sends Nell Okoro, legislative aide").await;
    priya.go("Cue cards").await;
    priya.sees("h1", "Cue cards").await;
    let names = texts(&priya, ".card .name").await;
    let place = |name: &str| names.iter().position(|other| other.contains(name)).unwrap();
    // Behind the senator's deputy, who has the higher office, before the county.
    assert!(place("Nell Harrow") < place("Nell Okoro"), "{names:?}");
    assert!(place("Nell Okoro") < place("Solberg-Wray"), "{names:?}");
    let paper = print(&priya).await;
    let card = paper.iter().find(|page| page.contains("Nell Okoro")).unwrap();
    assert!(one_line(card).contains("on behalf of The Honorable Perpetua Lindgaard, State representative"), "{card}");
    assert!(paper.concat().contains("נועה") || paper.concat().contains("העונ"), "a name from right to left is there");
    assert!(!paper.concat().contains("Sign out"));

    priya.go("The presenter's sheet").await;
    priya.sees("h1", "The presenter's sheet").await;
    let sheet = print(&priya).await;
    assert_eq!(sheet.len(), 1, "one sheet for the presenter:\n{}", sheet.join("\n----\n"));
    let sheet = one_line(&sheet.concat());
    assert!(sheet.contains("Nell Okoro") && sheet.contains("SOHL-berg RAY"), "{sheet}");
    assert!(!sheet.contains("Cue cards"), "{sheet}");

    priya.go("All guests").await;
    priya.go("Briefings").await;
    priya.sees("h1", "Briefings").await;
    let briefings = texts(&priya, ".sheet h2").await.len();
    let paper = print(&priya).await;
    assert_eq!(paper.len(), briefings, "one page for each:\n{}", paper.join("\n----\n"));

    thank(&priya, &server).await;
    assert_eq!(phone.console().await, [""; 0], "the guest's console is quiet");
    assert_eq!(priya.console().await, [""; 0], "the officer's console is quiet");
}

/// After the day: the official for sending somebody, who is thanked too.
async fn thank(priya: &Browser, server: &Server) {
    server.burns_in(-1);
    priya.open(&format!("{}/events/1/guests/thanks", server.base)).await;
    let reasons = "//li[contains(., 'Nell Okoro, legislative aide')]";
    assert!(priya.find(reasons).await.text().await.unwrap().contains("coming for Perpetua Lindgaard"));
    priya.go("Perpetua Lindgaard").await;
    priya.fill("A sentence for them alone", "Your aide stayed for every question.").await;
    priya.press("Send it to perpetua@example.org").await;
    priya.sees(".said", "The thanks to Perpetua Lindgaard go out by mail.").await;
    priya.click("//main//ul//li//a[starts-with(@href, '/mail/')]").await;
    priya.sees("pre.letter-text", "Thank you for sending Nell Okoro").await;
    priya.sees("pre.letter-text", "Your aide stayed for every question.").await;
    server.reads(&[("thanks", "perpetua@example.org")]);
}

#[tokio::test]
async fn whoever_is_at_the_door_ticks_guests_on_a_phone() {
    for scripts in [Scripts::On, Scripts::Off] {
        let server = Server::demo(PROGRAM);
        let gate = Browser::start(scripts).await;
        gate.resize(390, 844).await;
        gate.open(server.link("crew lead")).await;
        gate.press("Enter as crew lead").await;
        gate.go("Guests").await;
        gate.go("On the day").await;
        gate.sees("main", "0 here, 10 awaited.").await;
        let at = |name: &str, button: &str| {
            format!("//li[contains(., '{name}')]//button[starts-with(normalize-space(.), '{button}:')]")
        };
        let here = gate.find(&at("Marguerite Vance", "Here")).await;
        let (.., width, height) = here.rectangle().await.unwrap();
        assert!(height >= 48.0 && width >= 120.0, "a thumb in a glove finds it: {width} by {height}");
        gate.click(&at("Marguerite Vance", "Here")).await;
        gate.sees("main", "1 here, 9 awaited.").await;
        gate.click(&at("Cassius Oduya", "Not here")).await;
        gate.sees("main", "1 here, 8 awaited.").await;
        gate.go("Programme").await;
        gate.sees("main", "Were to speak, and aren't here").await;
        gate.sees("main", "The Honorable Cassius Oduya").await;
        assert_eq!(gate.console().await, [""; 0], "the console is quiet");
    }
}

/// Reads the message in the Mail place and gives the link in it.
async fn read_the_mail(priya: &Browser) -> String {
    priya.go("People").await;
    priya.go("Perpetua Lindgaard").await;
    priya.click("//li[contains(., 'mail,')]//a").await;
    priya.sees("h1", QUESTION).await;
    let text = priya.client.find(Locator::Css("pre.letter-text")).await.unwrap().text().await.unwrap();
    let link = text.lines().find_map(|line| line.strip_prefix("Answer: ")).unwrap();
    link.to_owned()
}

async fn texts(browser: &Browser, css: &str) -> Vec<String> {
    let mut texts = Vec::new();
    for element in browser.client.find_all(Locator::Css(css)).await.unwrap() {
        texts.push(element.text().await.unwrap());
    }
    texts
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The text of each page of paper.
async fn print(browser: &Browser) -> Vec<String> {
    let pdf = browser.client.print(PrintConfiguration::default()).await.unwrap();
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("paper.pdf");
    std::fs::write(&file, pdf).unwrap();
    let output = Command::new("pdftotext").arg("-raw").arg(&file).arg("-").output();
    let output = output.expect("pdftotext is missing: run tests/run, which installs it");
    let text = String::from_utf8(output.stdout).unwrap();
    text.trim_end_matches('\u{c}').split('\u{c}').map(str::to_owned).collect()
}
