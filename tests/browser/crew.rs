//! A crew is put together from the usual positions, asked, and signs in on burn day. Its
//! call sheets are printed.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::paper::{has_all, has_no_bars, one_line, print, texts};
use crate::server::Server;
use burnday::asks::Kind;
use fantoccini::Locator;

/// The link from a page of the crew to all positions.
const ALL: &str = ".pages a[href$='/crew']";
/// The link to them from any other page.
const CREW: &str = ".places a[href$='/crew']";

#[tokio::test]
async fn a_crew_is_asked_and_a_missing_qualification_is_added() {
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
    tomas.enter(server.link("crew lead")).await;
    tomas.click(CREW).await;
    tomas.shows("[data-empty=posts]").await;
    tomas.click("form[action$='/crew/template'] button.main").await;
    // For burn day and the rain date.
    tomas.counts(".missing[data-filled='0'][data-waiting='0'][data-open='33']", 2).await;
    let pumps = server.ask_store("select min(id) from post where duty = 'pump operator'");
    let pumps_called = server.ask_store(&format!("select name from post where id = {pumps}"));

    tomas.go(&pumps_called).await;
    assign(&tomas, "Bram Ostrander").await;
    tomas.sees("[data-person]", "Bram Ostrander").await;
    // A certificate is required.
    assign(&tomas, "Zelda Quarrie").await;
    tomas.sees("[data-refused]", "Zelda Quarrie").await;
    tomas.sees("[data-refused] [data-why=not-recorded]", "Driver/operator").await;
    tomas.shows("[data-refused] [data-why=not-recorded] [data-basis]").await;
    tomas.counts("tr[data-person]", 1).await;

    tomas.click(".pages a[href$='/crew/people']").await;
    tomas.go("Quarrie, Zelda").await;
    tomas.field("Qualification").await.select_by_label("Driver/operator").await.unwrap();
    tomas.fill("#evidence", "license seen, copy in the folder").await;
    tomas.press("Save").await;
    tomas.sees("[data-certificate][data-checked='']", "Driver/operator").await;
    let here = tomas.client.current_url().await.unwrap();
    let dele = Browser::start(officer).await;
    dele.enter(server.link("safety officer")).await;
    dele.open(here.as_str()).await;
    dele.click("[data-certificate] form[action$='/check'] button").await;
    dele.sees("[data-certificate]:not([data-checked=''])", "Dele Aldous").await;

    tomas.click(ALL).await;
    tomas.go(&pumps_called).await;
    assign(&tomas, "Zelda Quarrie").await;
    tomas.counts("tr[data-person]", 2).await;
    tomas.click(ALL).await;
    tomas.click("a.main[href$='/crew/ask']").await;
    tomas.counts("input[name=person]:checked", 2).await;
    tomas.send("act", "see").await;
    tomas.counts("section.note details", 2).await;
    tomas.client.find(Locator::Css(".note details summary")).await.unwrap().click().await.unwrap();
    for hour in ["6:30 a.m.", "11:30 a.m."] {
        tomas.sees(".note .letter", hour).await;
    }
    tomas.send("act", "ask").await;
    tomas.shows("#said").await;
    assert_eq!(server.reads_only("ask").len(), 2);
    // Two people, two dates.
    tomas.counts("[data-state=waiting]", 4).await;

    let priya = Browser::start(officer).await;
    priya.enter(server.link("education officer")).await;
    for name in ["Bram Ostrander", "Zelda Quarrie"] {
        let link = read_the_mail(&priya, &server, name, ("ask", "/answer/")).await;
        let phone = Browser::start(reader).await;
        phone.resize(390, 844).await;
        phone.open(&link).await;
        phone.sees("h1", Kind::Post.question()).await;
        phone.sees("main", &pumps_called).await;
        phone.counts("[data-both]", 1).await;
        for date in [1, 2] {
            // A date that is answered moves into the fold.
            phone.click("form.answers > fieldset:nth-of-type(1) button[value$=' yes']").await;
            phone.counts("[data-stands=yes]", date).await;
            phone.counts("[data-both]", 0).await;
        }
        assert_eq!(phone.console().await, [""; 0], "{name}'s console is quiet");
    }
    let confirmed = server.reads_only("confirm");
    assert!(confirmed.iter().all(|mail| mail.text.contains("yes")), "{confirmed:#?}");
    tomas.click(CREW).await;
    tomas.counts(".missing[data-filled='2'][data-open='31']", 2).await;
    tomas.counts(&format!("[data-post='{pumps}'] [data-state=confirmed]"), 4).await;
    // Chromium reports the refusal and nothing else.
    let refused = tomas.console().await;
    assert!(refused.len() == 1 && refused[0].contains("status of 422"), "{refused:?}");
    for browser in [dele, priya] {
        assert_eq!(browser.console().await, [""; 0], "the console is quiet");
    }
}

#[tokio::test]
async fn call_sheets_print_one_to_a_page_and_go_out_by_email() {
    let server = Server::demo(PROGRAM);
    let priya = Browser::start(Scripts::On).await;
    priya.enter(server.link("education officer")).await;
    priya.click(CREW).await;
    // The first is for burn day.
    assert_eq!(priya.mark(".missing", "open").await, "0");
    assert_eq!(priya.mark(".missing", "waiting").await, "0");
    priya.shows("[data-problems~=rule] [data-day][data-why~=expired]").await;
    priya.open(&format!("{}/events/1/burn-day/call-sheets", server.base)).await;
    priya.counts("tr[data-sent]", 33).await;
    priya.click("a[href$='who=all']").await;
    let names = texts(&priya, ".who-for").await;
    assert_eq!(names.len(), 33, "{names:?}");
    let paper = print(&priya).await;
    assert_eq!(paper.len(), names.len(), "one page for each:\n{}", paper.join("\n----\n"));
    for (number, (name, page)) in (1..).zip(names.iter().zip(&paper)) {
        let page = one_line(page);
        assert!(page.starts_with(name.as_str()), "{name}: {page}");
        for says in ["Hours", "Safety officer Dele Aldous", "555-0117"] {
            assert!(page.contains(says), "{says}: {page}");
        }
        // What happens if the burn is postponed, and who is in charge.
        has_all(&priya, &format!("article.sheet:nth-of-type({number}) dl:last-of-type div"), &page).await;
    }
    has_no_bars(&priya, &paper.concat()).await;
    let ray = paper.iter().find(|page| page.starts_with("Ray Ortiz")).unwrap();
    assert!(one_line(ray).contains("With you Solveig Marchetti"), "{ray}");

    server.sql("update event set burn_on = date('now', '-6 hours') where id = 1");
    server.sql(
        "update ask set for_on = (select burn_on from event where id = 1), lapsed_at = null
                where id in (select min(id) from ask group by request_id)",
    );
    priya.open(&format!("{}/events/1/burn-day/call-sheets", server.base)).await;
    // As if the scheduled messages with them hadn't gone out yet.
    server.sql("delete from sent_sheet");
    priya.click("form[action$='/burn-day/call-sheets'] button").await;
    priya.shows("#said").await;
    for mail in server.reads_only("call-sheet") {
        assert!(mail.text.contains("Hours: "), "{}", mail.text);
        assert!(mail.links.iter().all(|link| link.starts_with("/call-sheet/")), "{:?}", mail.links);
    }
    let link = read_the_mail(&priya, &server, "Ray Ortiz", ("call-sheet", "/call-sheet/")).await;
    sign_in(&server, &link).await;
    assert_eq!(priya.console().await, [""; 0], "the console is quiet");
}

/// On a phone: with their own link, and at the check-in table.
async fn sign_in(server: &Server, link: &str) {
    for (is_again, scripts) in [(false, Scripts::On), (true, Scripts::Off)] {
        let phone = Browser::start(scripts).await;
        phone.resize(390, 844).await;
        phone.open(link).await;
        phone.sees("h2", "Ray Ortiz").await;
        fits(&phone).await;
        if is_again {
            phone.click("details[data-change] > summary").await;
        }
        let answers = || server.ask_store("select count(*) from answer").parse::<usize>().unwrap();
        let before = answers();
        phone.send("act", "yes").await;
        phone.shows("[data-note=coming]").await;
        assert!(answers() > before, "the answer is saved again");
        phone.send("act", "in").await;
        phone.shows("[data-note=signed-in]").await;

        let table = Browser::start(scripts).await;
        table.resize(390, 844).await;
        table.enter(server.link("timekeeper")).await;
        for page in ["crew", "burn-day/call-sheets", "burn-day/crew"] {
            table.open(&format!("{}/events/1/{page}", server.base)).await;
            fits(&table).await;
        }
        table.shows(".count[data-here='1'][data-awaited='32']").await;
        let button = |name: &str, act: &str| {
            format!(
                "//li[contains(., '{name}')]//form[contains(@action, '/burn-day/crew/')][contains(@action, '/{act}')]/button"
            )
        };
        let one = table.find(&button("Solveig Marchetti", "in")).await;
        let (.., width, height) = one.rectangle().await.unwrap();
        assert!(height >= 48.0 && width >= 120.0, "large enough for a thumb in a glove: {width} by {height}");
        table.click(&button("Solveig Marchetti", "in")).await;
        table.shows(".count[data-here='2'][data-awaited='31']").await;
        for (name, here) in [("Solveig Marchetti", 1), ("Ray Ortiz", 0)] {
            table.click(&button(name, "out")).await;
            table.shows(&format!(".count[data-here='{here}']")).await;
        }
        for browser in [&phone, &table] {
            assert_eq!(browser.console().await, [""; 0], "the console is quiet");
        }
        // Back to the start, for the other browser.
        server.sql("delete from attendance");
    }
}

/// Checks that nothing is wider than the phone.
async fn fits(browser: &Browser) {
    let (.., width, _) = browser.client.find(Locator::Css("main")).await.unwrap().rectangle().await.unwrap();
    assert!(width <= 390.0, "{width}");
}

async fn assign(browser: &Browser, name: &str) {
    let choice = format!("//label[contains(., '{name}')]/input");
    browser.click(&choice).await;
    browser.press("Assign").await;
}

/// Reads the newest message of a kind to someone, and returns the link in it that leads
/// there.
async fn read_the_mail(priya: &Browser, server: &Server, name: &str, (what, leads_to): (&str, &str)) -> String {
    let mail = format!("select max(id) from mail where dedup like '{what}/%' and to_name = '{name}'");
    let mail = server.ask_store(&mail);
    priya.go("People").await;
    priya.fill("#q", name).await;
    priya.press("Search").await;
    let (given, surname) = name.split_once(' ').unwrap();
    priya.go(&format!("{surname}, {given}")).await;
    priya.click(&format!("main a[href='/mail/{mail}']")).await;
    let text = priya.read("pre.letter-text").await;
    text.split_whitespace().find(|word| word.contains(leads_to)).unwrap().to_owned()
}
