//! The officer's first evening, from the printed link to a date change.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::server::Server;
use burnday::accounts::Role;
use burnday::clock::Clock;
use burnday::web::words::Reader;
use fantoccini::Locator;
use time::macros::format_description;
use time::{Date, Duration};

const NAME: &str = "Two Rooms, One Spark";

#[tokio::test]
async fn a_burn_is_planned_worked_on_and_gets_a_new_date() {
    first_evening(Scripts::On).await;
}

#[tokio::test]
async fn a_burn_is_planned_worked_on_and_gets_a_new_date_without_scripts() {
    first_evening(Scripts::Off).await;
}

async fn first_evening(scripts: Scripts) {
    let server = Server::fresh(PROGRAM);
    let browser = Browser::start(scripts).await;

    set_up(&browser, server.link("")).await;
    let burn_day = plan(&browser).await;
    press_done(&browser, &server, scripts).await;
    write_a_note(&browser).await;
    change_a_lead_time(&browser).await;
    move_the_burn_day(&browser, burn_day).await;

    assert_eq!(browser.console().await, [""; 0], "the console is quiet");
}

async fn set_up(browser: &Browser, link: &str) {
    browser.open(link).await;
    browser.fill("Name", "Alder Bend Fire District").await;
    browser.field("Time zone").await.select_by_label("Central Time").await.unwrap();
    browser.fill("Your name", "Priya Okafor").await;
    browser.fill("Email", "priya@example.org").await;
    browser.fill("Password", "four unrelated wet words").await;
    browser.click("main form button.main").await;
    for says in ["Priya Okafor", Role::EducationOfficer.as_str()] {
        browser.sees(".me", says).await;
    }
}

/// Asks for a day that is too soon, is refused, and takes the earliest one.
async fn plan(browser: &Browser) -> Date {
    let too_soon = Clock::System.now().date() + Duration::days(7);
    browser.click("a[href='/events/new']").await;
    browser.fill("Name", NAME).await;
    browser.fill_day("Burn day", too_soon).await;
    browser.press("Plan it").await;
    browser.sees("#refusal", &Reader::App.day(too_soon)).await;
    let refused = browser.console().await;
    assert!(refused.len() == 1 && refused[0].contains("status of 422"), "only the refusal shows: {refused:?}");

    let earliest = browser.mark("#earliest", "earliest").await;
    let earliest = Date::parse(&earliest, format_description!("[year]-[month]-[day]")).unwrap();
    browser.sees("#earliest", &Reader::App.day(earliest)).await;
    browser.send("act", "earliest").await;
    for says in [NAME, &Reader::App.day(earliest)] {
        browser.sees(".what", says).await;
    }
    browser.shows("#now").await;
    earliest
}

/// On a phone the timeline is wider than the page and begins shortly before today, also
/// after a press has replaced the page's content.
#[tokio::test]
async fn the_timeline_begins_near_today_on_a_phone() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.resize(390, 844).await;
    browser.enter(server.link("education officer")).await;
    browser.shows(".ruler .today").await;
    let place = "const ruler = document.querySelector('.ruler').getBoundingClientRect();
        return document.querySelector('.ruler .today').getBoundingClientRect().left - ruler.left;";
    let today = async || browser.client.execute(place, Vec::new()).await.unwrap().as_f64().unwrap();
    assert!((0.0..120.0).contains(&today().await), "{}", today().await);
    browser.send("state", "done").await;
    browser.shows("#said").await;
    assert!((0.0..120.0).contains(&today().await), "{}", today().await);
}

/// Marks a task as done on the Countdown, undoes it, and marks it again: in place where
/// scripts run, otherwise with a new page.
async fn press_done(browser: &Browser, server: &Server, scripts: Scripts) {
    let before = browser.place().await;
    // This mark is lost when a new page loads.
    browser.client.execute("window.mark = 'still here'", Vec::new()).await.unwrap();
    let title = first_task(browser).await;
    let href = browser.find(".list .t a").await.attr("href").await.unwrap().unwrap();
    let (_, task) = href.rsplit_once('/').unwrap();
    let state = || server.ask_store(&format!("select state from task where id = {task}"));
    let done = format!("form[action='{href}/state'] button[value=done]");
    browser.click(&done).await;
    browser.shows("#said").await;
    assert_eq!(state(), "done");
    assert_ne!(first_task(browser).await, title, "a task that is done is no longer listed first");
    browser.press("Undo").await;
    browser.shows("#said").await;
    assert_eq!(state(), "to do");
    assert_eq!(first_task(browser).await, title, "a task that was reopened is listed first again");
    browser.click(&done).await;
    browser.shows("#said").await;
    assert_eq!(state(), "done");

    assert_eq!(browser.place().await, before);
    let mark = browser.client.execute("return window.mark", Vec::new()).await.unwrap();
    assert_eq!(mark == "still here", scripts == Scripts::On, "the page stays if scripts run: {mark}");
}

async fn first_task(browser: &Browser) -> String {
    browser.client.find(Locator::Css(".list .t a")).await.unwrap().text().await.unwrap()
}

async fn write_a_note(browser: &Browser) {
    let title = first_task(browser).await;
    browser.go(&title).await;
    browser.sees("h1", &title).await;
    browser.fill("#text", "The county wants two copies.\nOne of them signed.").await;
    browser.press("Save").await;
    browser.sees(".lines", "The county wants two copies.\nOne of them signed.").await;
}

/// Previews what another lead time changes, then saves it.
async fn change_a_lead_time(browser: &Browser) {
    browser.click("main a[href$='/edit']").await;
    let field = "[name=lead]";
    let days: u32 = browser.field(field).await.prop("value").await.unwrap().unwrap().parse().unwrap();
    let longer = (days + 5).to_string();
    browser.fill(field, &longer).await;
    browser.send("act", "see").await;
    browser.shows("#effects").await;
    let kept = browser.field(field).await.prop("value").await.unwrap().unwrap();
    assert_eq!(kept, longer, "what was typed is still there");
    browser.press("Save").await;
    browser.shows(&format!("//dl//div[dt='Lead time']/dd[contains(., '{longer} ')]")).await;
}

async fn move_the_burn_day(browser: &Browser, from: Date) {
    let to = from + Duration::days(14);
    let (from, new) = (Reader::App.day(from), Reader::App.day(to));
    browser.go_to("Countdown").await;
    browser.click("a[href$='/move']").await;
    browser.fill_day("#burn_on", to).await;
    browser.click("form[data-choose] button").await;
    browser.sees("h2", &new).await;
    // The plan can meet that day.
    browser.shows("#verdict.calm[data-verdict=possible][data-later='14']").await;
    // The table of deadlines is folded under its count.
    browser.counts("details[data-deadlines]:not([open]) table", 1).await;
    browser.sees(".what", &from).await;
    browser.click("form[method=post][action$='/move'] button.main").await;
    browser.shows("#said").await;
    browser.sees(".what", &new).await;
}
