//! The officer's first evening: from the printed link to a burn day that moved.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::server::Server;
use burnday::clock::Clock;
use burnday::web::words;
use fantoccini::Locator;
use time::macros::format_description;
use time::{Date, Duration};

const NAME: &str = "Two Rooms, One Spark";

#[tokio::test]
async fn a_burn_is_planned_worked_on_and_moved() {
    first_evening(Scripts::On).await;
}

#[tokio::test]
async fn a_burn_is_planned_worked_on_and_moved_without_scripts() {
    first_evening(Scripts::Off).await;
}

async fn first_evening(scripts: Scripts) {
    let server = Server::fresh(PROGRAM);
    let browser = Browser::start(scripts).await;

    set_up(&browser, server.link("")).await;
    let burn_day = plan(&browser).await;
    press_done(&browser, scripts).await;
    write_a_note(&browser).await;
    change_a_lead_time(&browser).await;
    move_the_burn_day(&browser, burn_day).await;

    assert_eq!(browser.console().await, [""; 0], "the console is quiet");
}

async fn set_up(browser: &Browser, link: &str) {
    browser.open(link).await;
    browser.sees("h1", "Set up Burnday").await;
    browser.fill("Name", "Alder Bend Fire District").await;
    browser.field("Time zone").await.select_by_label("Central Time").await.unwrap();
    browser.fill("Your name", "Priya Okafor").await;
    browser.fill("Mail address", "priya@example.org").await;
    browser.fill("Password", "four unrelated wet words").await;
    browser.press("Set up and sign in").await;
    browser.sees(".me", "Priya Okafor · education officer").await;
}

/// Asks for a day too soon, is refused and takes the earliest one.
async fn plan(browser: &Browser) -> Date {
    let too_soon = Clock::System.now().date() + Duration::days(7);
    browser.go("Plan a burn").await;
    browser.fill("Name", NAME).await;
    browser.fill_day("Burn day", too_soon).await;
    browser.press("Plan it").await;
    browser.sees("[role=alert]", &format!("The usual plan can't meet {}.", words::day(too_soon))).await;
    let refused = browser.console().await;
    assert!(refused.len() == 1 && refused[0].contains("status of 422"), "only the refusal shows: {refused:?}");

    let says = browser.read(".note.calm").await;
    let (_, earliest) = says.split_once("the earliest burn day is ").unwrap();
    let (earliest, _) = earliest.split_once(',').unwrap();
    let earliest = day(earliest);
    browser.press("Take the earliest day").await;
    browser.sees(".said", &format!("{NAME} is planned.")).await;
    browser.sees(".what", &words::day(earliest)).await;
    browser.sees("h2", "To do now").await;
    earliest
}

fn day(text: &str) -> Date {
    let known = format_description!("[weekday repr:short] [day padding:none] [month repr:short] [year]");
    Date::parse(text, known).unwrap_or_else(|error| panic!("{text:?} is no day: {error}"))
}

/// Marks a task done on the Countdown, takes it back and marks it again: in
/// place where scripts run, and by a page of its own where they don't.
async fn press_done(browser: &Browser, scripts: Scripts) {
    let before = browser.place().await;
    // Such a mark is lost when another page comes in.
    browser.client.execute("window.mark = 'still here'", Vec::new()).await.unwrap();
    let title = first_task(browser).await;
    let done = format!("Done: {title}");
    browser.press(&done).await;
    browser.sees(".said", &format!("“{title}” is done.")).await;
    assert_ne!(first_task(browser).await, title, "what is done is not to do");
    browser.press("Undo").await;
    browser.sees(".said", &format!("“{title}” is to do.")).await;
    assert_eq!(first_task(browser).await, title, "what isn't done is to do");
    browser.press(&done).await;
    browser.sees(".said", &format!("“{title}” is done.")).await;

    assert_eq!(browser.place().await, before);
    let mark = browser.client.execute("return window.mark", Vec::new()).await.unwrap();
    assert_eq!(mark == "still here", scripts == Scripts::On, "the page is kept if scripts run: {mark}");
}

async fn first_task(browser: &Browser) -> String {
    browser.client.find(Locator::Css(".list .t a")).await.unwrap().text().await.unwrap()
}

async fn write_a_note(browser: &Browser) {
    let title = first_task(browser).await;
    browser.go(&title).await;
    browser.sees("h1", &title).await;
    browser.fill("Add a note", "The county wants two copies.\nOne of them signed.").await;
    browser.press("Save").await;
    browser.sees(".said", "The note is kept.").await;
    browser.sees(".lines", "The county wants two copies.\nOne of them signed.").await;
}

/// Looks at what another lead time changes, then saves it.
async fn change_a_lead_time(browser: &Browser) {
    browser.go("Change this task").await;
    let field = "Number of days";
    let days: u32 = browser.field(field).await.prop("value").await.unwrap().unwrap().parse().unwrap();
    let longer = (days + 5).to_string();
    browser.fill(field, &longer).await;
    browser.press("See what this changes").await;
    browser.sees("section", "What this changes.").await;
    browser.sees("h1", "Change a task").await;
    let kept = browser.field(field).await.prop("value").await.unwrap().unwrap();
    assert_eq!(kept, longer, "what was typed is still there");
    browser.press("Save").await;
    browser.sees(".said", "is changed.").await;
    browser.sees(".facts", &format!("{longer} days before burn day")).await;
}

async fn move_the_burn_day(browser: &Browser, from: Date) {
    let to = from + Duration::days(14);
    let (from, new) = (words::day(from), words::day(to));
    browser.go("Countdown").await;
    browser.go("Move the burn day").await;
    browser.fill_day("New burn day", to).await;
    browser.press("See what a move does").await;
    browser.sees("h2", &new).await;
    browser.sees(".note", &format!("The plan can meet {new}")).await;
    browser.sees(".what", &from).await;
    browser.press(&format!("Move the burn day to {new}")).await;
    browser.sees(".said", &format!("Burn day is now {new}.")).await;
    browser.sees(".what", &new).await;
}
