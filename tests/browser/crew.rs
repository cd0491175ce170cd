//! A crew is put together from the usual posts, asked, and signs in on the day;
//! what is printed for it.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{one_line, print};
use crate::server::Server;
use fantoccini::Locator;

const QUESTION: &str = "Can you stand at a post on burn day?";
const PUMPS: &str = "Pump operators, one per source";

#[tokio::test]
async fn a_crew_is_asked_and_a_missing_qualification_is_put_right() {
    story(Scripts::On, Scripts::Off).await;
}

#[tokio::test]
async fn the_same_with_scripts_for_the_crew_alone() {
    story(Scripts::Off, Scripts::On).await;
}

async fn story(officer: Scripts, reader: Scripts) {
    let server = Server::demo(PROGRAM);
    server.sql("pragma foreign_keys = on; delete from post");
    let tomas = Browser::start(officer).await;
    tomas.open(server.link("crew lead")).await;
    tomas.press("Enter as crew lead").await;
    tomas.go("Crew").await;
    tomas.sees(".empty", "No posts yet.").await;
    tomas.press("Start from the usual posts").await;
    tomas.sees(".said", "posts are added by common practice.").await;
    tomas.sees("main", "For burn day, 33 of 33 seats are open").await;

    tomas.go(PUMPS).await;
    assign(&tomas, "Bram Ostrander").await;
    tomas.sees(".said", "Assigned to “Pump operators, one per source”.").await;
    // Nobody stands at two pumps, nor without a certificate.
    assign(&tomas, "Zelda Quarrie").await;
    tomas.sees(".note", "Zelda Quarrie was not assigned.").await;
    tomas.sees(".note", "“Driver/operator” is needed and not recorded.").await;
    tomas.sees(".note", "Basis: common practice").await;

    tomas.go("The whole crew").await;
    tomas.go("People of the crew").await;
    tomas.go("Zelda Quarrie").await;
    tomas.field("Qualification").await.select_by_label("Driver/operator").await.unwrap();
    tomas.fill("What shows it", "licence seen, copy in the folder").await;
    tomas.press("Save").await;
    tomas.sees(".said", "The qualification is recorded.").await;
    tomas.sees("main", "not checked by the safety officer yet").await;
    let here = tomas.client.current_url().await.unwrap();
    let dele = Browser::start(officer).await;
    dele.open(server.link("safety officer")).await;
    dele.press("Enter as safety officer").await;
    dele.open(here.as_str()).await;
    dele.press("Checked: Driver/operator").await;
    dele.sees("main", "checked by Dele Aldous").await;

    tomas.go("The whole crew").await;
    tomas.go(PUMPS).await;
    assign(&tomas, "Zelda Quarrie").await;
    tomas.sees(".said", "Assigned to").await;
    tomas.go("The whole crew").await;
    tomas.go("Ask 2 people").await;
    tomas.press("See the mails").await;
    tomas.sees(".note", "2 mails are ready. Nothing goes out until you press the button.").await;
    tomas.client.find(Locator::Css(".note details summary")).await.unwrap().click().await.unwrap();
    tomas.sees(".note .letter", "06:30 to 11:30").await;
    tomas.press("Ask 2 people").await;
    tomas.sees(".said", "2 people are asked.").await;
    assert_eq!(server.reads_only("ask").len(), 2);
    tomas.sees("main", "asked and waiting").await;

    let priya = Browser::start(officer).await;
    priya.open(server.link("education officer")).await;
    priya.press("Enter as education officer").await;
    for name in ["Bram Ostrander", "Zelda Quarrie"] {
        let link = read_the_mail(&priya, name, QUESTION, "Answer: ").await;
        let phone = Browser::start(reader).await;
        phone.resize(390, 844).await;
        phone.open(&link).await;
        phone.sees("h1", QUESTION).await;
        phone.sees("main", PUMPS).await;
        for (place, day) in [(1, "Sat"), (2, "Sat")] {
            let yes = format!("(//button[starts-with(normalize-space(.), 'Yes, I will be there')])[{place}]");
            phone.click(&yes).await;
            phone.sees(".note", &format!("You said yes to {day}")).await;
        }
        assert_eq!(phone.console().await, [""; 0], "{name}'s console is quiet");
    }
    let confirmed = server.reads_only("confirm");
    assert!(confirmed.iter().all(|mail| mail.text.contains("yes")), "{confirmed:#?}");
    tomas.go("Crew").await;
    tomas.sees("main", "For burn day, 31 of 33 seats are open").await;
    let pumps = "//tbody[.//a[normalize-space(.) = 'Pump operators, one per source']]";
    let stands = tomas.find(pumps).await.text().await.unwrap();
    assert_eq!(stands.matches("confirmed").count(), 4, "two people, two dates: {stands}");
    // Chromium tells of the refusal, and of nothing else.
    let told = tomas.console().await;
    assert!(told.len() == 1 && told[0].contains("status of 422"), "{told:?}");
    for browser in [dele, priya] {
        assert_eq!(browser.console().await, [""; 0], "the console is quiet");
    }
}

#[tokio::test]
async fn call_sheets_print_one_a_page_and_go_out_by_mail() {
    let server = Server::demo(PROGRAM);
    let priya = Browser::start(Scripts::On).await;
    priya.open(server.link("education officer")).await;
    priya.press("Enter as education officer").await;
    priya.go("Crew").await;
    priya.sees("main", "For burn day every seat is filled.").await;
    priya.sees("main", "“Driver/operator” is needed and holds until").await;
    priya.go("Call sheets").await;
    let names = texts(&priya, ".who-for").await;
    assert_eq!(names.len(), 33, "{names:?}");
    let paper = print(&priya).await;
    assert_eq!(paper.len(), names.len(), "one page for each:\n{}", paper.join("\n----\n"));
    for (name, page) in names.iter().zip(&paper) {
        assert!(one_line(page).starts_with(name.as_str()), "{name}: {page}");
        for words in ["Hours", "If it is called off", "Safety officer Dele Aldous", "555-0117"] {
            assert!(one_line(page).contains(words), "{words}: {page}");
        }
        assert!(!page.contains("Sign out") && !page.contains("Mail to"), "{page}");
    }
    let ray = paper.iter().find(|page| page.starts_with("Ray Ortiz")).unwrap();
    assert!(one_line(ray).contains("With you Solveig Marchetti"), "{ray}");

    server.sql("update event set burn_on = date('now', '-6 hours') where id = 1");
    server.sql(
        "update ask set for_on = (select burn_on from event where id = 1), lapsed_at = null
                where id in (select min(id) from ask group by request_id)",
    );
    priya.open(&format!("{}/events/1/crew/sheets", server.base)).await;
    priya.press("Mail to those who said yes").await;
    priya.sees(".said", "call sheets are mailed.").await;
    for mail in server.reads_only("call-sheet") {
        assert!(mail.text.contains("Hours: "), "{}", mail.text);
        assert!(mail.links.iter().all(|link| link.starts_with("/call-sheet/")), "{:?}", mail.links);
    }
    let link = read_the_mail(&priya, "Ray Ortiz", "Your call sheet for", "See it as it stands").await;
    sign_in(&server, &link).await;
    assert_eq!(priya.console().await, [""; 0], "the console is quiet");
}

/// On a phone: by the own link, and at the check-in table.
async fn sign_in(server: &Server, link: &str) {
    for scripts in [Scripts::On, Scripts::Off] {
        let phone = Browser::start(scripts).await;
        phone.resize(390, 844).await;
        phone.open(link).await;
        phone.sees("h1", "Call sheet for").await;
        fits(&phone).await;
        phone.press("I am coming").await;
        phone.sees("main", "said so again").await;
        phone.press("Sign in: I am on the site").await;
        phone.sees(".note", "You are signed in since").await;

        let table = Browser::start(scripts).await;
        table.resize(390, 844).await;
        table.open(server.link("timekeeper")).await;
        table.press("Enter as timekeeper").await;
        table.go("Crew").await;
        fits(&table).await;
        table.go("On the day").await;
        fits(&table).await;
        table.sees("main", "1 on the site, 32 awaited.").await;
        let button = |name: &str, says: &str| {
            format!("//li[contains(., '{name}')]//button[starts-with(normalize-space(.), '{says}:')]")
        };
        let one = table.find(&button("Solveig Marchetti", "Sign in")).await;
        let (.., width, height) = one.rectangle().await.unwrap();
        assert!(height >= 48.0 && width >= 120.0, "a thumb in a glove finds it: {width} by {height}");
        table.click(&button("Solveig Marchetti", "Sign in")).await;
        table.sees("main", "2 on the site, 31 awaited.").await;
        for name in ["Solveig Marchetti", "Ray Ortiz"] {
            table.click(&button(name, "Sign out")).await;
            table.sees(".said", &format!("{name} is out.")).await;
        }
        table.sees("main", "0 on the site").await;
        for browser in [&phone, &table] {
            assert_eq!(browser.console().await, [""; 0], "the console is quiet");
        }
        // As before, for the other.
        server.sql("delete from attendance");
    }
}

/// Nothing is wider than the phone.
async fn fits(browser: &Browser) {
    let (.., width, _) = browser.client.find(Locator::Css("main")).await.unwrap().rectangle().await.unwrap();
    assert!(width <= 390.0, "{width}");
}

async fn assign(browser: &Browser, name: &str) {
    let choice = format!("//label[contains(., '{name}')]/input");
    browser.click(&choice).await;
    browser.press("Assign").await;
}

/// Reads a message to somebody in the Mail place and gives the link in it.
async fn read_the_mail(priya: &Browser, name: &str, subject: &str, before: &str) -> String {
    priya.go("People").await;
    priya.fill("Name, organisation, office, mail or phone", name).await;
    priya.press("Look up").await;
    priya.go(name).await;
    let line = format!("//li[contains(., 'mail,') and contains(., '{subject}')]//a");
    priya.click(&line).await;
    let text = priya.client.find(Locator::Css("pre.letter-text")).await.unwrap().text().await.unwrap();
    let line = text.lines().find(|line| line.starts_with(before)).unwrap();
    line.split_whitespace().last().unwrap().to_owned()
}

async fn texts(browser: &Browser, css: &str) -> Vec<String> {
    let mut texts = Vec::new();
    for element in browser.client.find_all(Locator::Css(css)).await.unwrap() {
        texts.push(element.text().await.unwrap());
    }
    texts
}
