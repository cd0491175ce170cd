//! Using the app without a mouse.

use crate::PROGRAM;
use crate::driver::{Browser, Scripts};
use crate::hands::PATIENCE;
use crate::server::Server;
use fantoccini::Locator;
use fantoccini::key::Key;
use serde_json::Value;
use std::time::Instant;

#[tokio::test]
async fn a_task_is_done_with_the_keyboard_alone() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.enter(server.link("education officer")).await;
    browser.shows("#now").await;

    type_key(&browser, Key::Tab).await;
    assert_eq!(focus(&browser, "className").await, "skip");
    let left = focus(&browser, "getBoundingClientRect().left").await;
    assert!(left.as_f64().unwrap() >= 0.0, "the skip link can be seen while it has the focus: {left}");

    type_key(&browser, Key::Enter).await;
    type_key(&browser, Key::Tab).await;
    assert_eq!(focus(&browser, "closest('main')?.id").await, "main", "the skip link jumps past the bars");

    tab_to(&browser, "button[value=done]").await;
    let action = focus(&browser, "form.getAttribute('action')").await;
    let task = action.as_str().unwrap().split('/').nth(4).unwrap();
    type_key(&browser, Key::Enter).await;
    browser.shows("#said").await;
    assert_eq!(server.ask_store(&format!("select state from task where id = {task}")), "done");
    // The script that runs after the page is replaced sets the focus.
    let until = Instant::now() + PATIENCE;
    while focus(&browser, "id").await != "said" {
        assert!(Instant::now() < until, "the focus is on the confirmation");
    }

    // The next Tab goes on into the page, not back to its start.
    type_key(&browser, Key::Tab).await;
    assert_ne!(focus(&browser, "className").await, "skip");
}

#[tokio::test]
async fn a_confirmation_never_covers_the_focus() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.resize(390, 844).await;
    browser.enter(server.link("education officer")).await;
    browser.go("All tasks").await;
    browser.shows("button[value=done]").await;

    let buttons = browser.client.find_all(Locator::Css("button[value=done]")).await.unwrap();
    buttons[buttons.len() / 2].send_keys(&char::from(Key::Enter).to_string()).await.unwrap();
    browser.shows("#said").await;
    let buttons = browser.client.find_all(Locator::Css("button[value=done]")).await.unwrap();
    buttons.last().unwrap().send_keys(&char::from(Key::Tab).to_string()).await.unwrap();
    for _ in 0..40 {
        press_back(&browser).await;
        assert_eq!(covered(&browser).await, Value::Null);
    }
}

#[tokio::test]
async fn the_row_with_save_stays_in_sight_and_never_covers_the_focus() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.enter(server.link("education officer")).await;
    for (width, height) in [(390, 844), (1280, 900)] {
        browser.resize(width, height).await;
        browser.open(&format!("{}/events/1/loans/new", server.base)).await;
        let unfold = "for (const part of document.querySelectorAll('main details')) part.open = true";
        browser.client.execute(unfold, Vec::new()).await.unwrap();
        browser.field("Item").await.send_keys("tent").await.unwrap();
        for _ in 0..40 {
            type_key(&browser, Key::Tab).await;
            assert_eq!(covered(&browser).await, Value::Null, "{width} px");
            let below = "return document.querySelector('.save').getBoundingClientRect().bottom - innerHeight";
            let below = browser.client.execute(below, Vec::new()).await.unwrap().as_f64().unwrap();
            assert!(below < 1.0, "{width} px: Save is {below} px below the page");
        }
    }
}

/// Wide, the bar is a row of links. On a phone it is a menu, which a popover opens and
/// Escape closes.
#[tokio::test]
async fn every_place_is_reached_with_the_keyboard_alone() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.enter(server.link("education officer")).await;
    for page in ["Crew", "Staffing proposal"] {
        browser.shows("#main").await;
        tab_to_link(&browser, "header", page).await;
        type_key(&browser, Key::Enter).await;
        browser.sees("header [aria-current=page]", page).await;
    }
    assert_eq!(browser.place().await, "/events/1/crew/proposal");

    browser.resize(360, 740).await;
    browser.open(&format!("{}/events/1", server.base)).await;
    let is_open = "return document.querySelector('#menu').matches(':popover-open')";
    let is_open = async || browser.client.execute(is_open, Vec::new()).await.unwrap();
    for closes in [true, false] {
        browser.shows("button.menu").await;
        if focus(&browser, "className").await != "menu" {
            tab_to(&browser, "button.menu").await;
        }
        assert_eq!(is_open().await, false);
        type_key(&browser, Key::Enter).await;
        assert_eq!(is_open().await, true);
        tab_to_link(&browser, "#menu", "Press").await;
        assert_eq!(covered(&browser).await, Value::Null);
        type_key(&browser, if closes { Key::Escape } else { Key::Enter }).await;
        if closes {
            assert_eq!(is_open().await, false);
            assert_eq!(focus(&browser, "className").await, "menu", "the focus goes back to the button");
        }
    }
    browser.sees("h1", "Press").await;
    assert_eq!(browser.place().await, "/events/1/press");
}

/// Presses Tab until the focus is on a link in this part of the page that has this name.
async fn tab_to_link(browser: &Browser, part: &str, name: &str) {
    for _ in 0..40 {
        type_key(browser, Key::Tab).await;
        let here = focus(browser, &format!("closest('{part}') ? document.activeElement.textContent : ''")).await;
        if here.as_str().unwrap().split_whitespace().collect::<Vec<_>>().join(" ").starts_with(name) {
            return;
        }
    }
    panic!("the link {name} doesn't get the focus after pressing Tab forty times");
}

/// The keys of the editable combobox in the WAI-ARIA Authoring Practices.
#[tokio::test]
async fn a_person_is_chosen_with_the_keyboard_alone() {
    let server = Server::demo(PROGRAM);
    let browser = Browser::start(Scripts::On).await;
    browser.enter(server.link("education officer")).await;
    browser.open(&format!("{}/events/1/loans/new", server.base)).await;
    browser.field("Lender").await.send_keys("fontaine").await.unwrap();
    browser.shows("[data-typed=fontaine] [role=option]").await;
    assert_eq!(focus(&browser, "role").await, "combobox");
    assert_eq!(focus(&browser, "ariaExpanded").await, "true");
    assert_eq!(marked(&browser).await, "", "nothing is chosen for whoever types");

    type_key(&browser, Key::Down).await;
    assert!(marked(&browser).await.contains("Eugenia Fontaine"), "{}", marked(&browser).await);
    // The last one adds someone new. From there, down leads to the first one again.
    type_key(&browser, Key::Up).await;
    assert!(marked(&browser).await.starts_with("fontaine"), "{}", marked(&browser).await);
    type_key(&browser, Key::Down).await;
    type_key(&browser, Key::Escape).await;
    assert_eq!(focus(&browser, "ariaExpanded").await, "false");
    assert_eq!(focus(&browser, "value").await, "fontaine", "the first Escape only closes the list");
    // What was typed isn't a person, so the browser doesn't send it.
    assert_eq!(focus(&browser, "validity.valid").await, false);

    type_key(&browser, Key::Down).await;
    browser.shows("[role=option][aria-selected=true]").await;
    type_key(&browser, Key::Enter).await;
    assert_eq!(chosen(&browser).await, "Eugenia Fontaine · Alder Bend School District");
    assert_eq!(focus(&browser, "value").await, "Eugenia Fontaine · Alder Bend School District");
    assert_eq!(focus(&browser, "validity.valid").await, true);
    assert_eq!(browser.place().await, "/events/1/loans/new", "Enter in the list sends nothing");
    type_key(&browser, Key::Escape).await;
    assert_eq!((focus(&browser, "value").await, chosen(&browser).await), ("".into(), "–".to_owned()));

    // Someone who isn't found is added in the same form.
    let field = browser.client.active_element().await.unwrap();
    field.send_keys("Zelda Marchbank").await.unwrap();
    browser.shows("[data-typed='Zelda Marchbank'] [role=option]").await;
    type_key(&browser, Key::Up).await;
    type_key(&browser, Key::Enter).await;
    assert_eq!(focus(&browser, "name").await, "new_phone");
    let name = browser.field("#new_name").await.prop("value").await.unwrap().unwrap();
    assert_eq!(name, "Zelda Marchbank");
    browser.fill("Item", "tent").await;
    browser.press("Save").await;
    browser.shows("#said").await;
    let added = "select count(*) from loan l join person p on p.id = l.lender_id where p.name = 'Zelda Marchbank'";
    assert_eq!(server.ask_store(added), "1");
    assert_eq!(browser.console().await, [""; 0], "the console is quiet");
}

/// The suggestion that the keys are on; empty if they are on none.
async fn marked(browser: &Browser) -> String {
    let look = "const id = document.activeElement.getAttribute('aria-activedescendant');
        return id ? document.getElementById(id).textContent : '';";
    let text = browser.client.execute(look, Vec::new()).await.unwrap();
    text.as_str().unwrap().to_owned()
}

/// Who is chosen in the list that the form sends.
async fn chosen(browser: &Browser) -> String {
    let look = "return document.querySelector('select[name=lender]').selectedOptions[0].textContent";
    browser.client.execute(look, Vec::new()).await.unwrap().as_str().unwrap().to_owned()
}

/// What covers the focused element, if anything does.
async fn covered(browser: &Browser) -> Value {
    let covers = "const focused = document.activeElement;
        const [box] = focused.getClientRects();
        const above = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
        return focused.contains(above) ? null : `${focused.textContent} is under ${above?.textContent}`";
    browser.client.execute(covers, Vec::new()).await.unwrap()
}

/// Shift and Tab.
async fn press_back(browser: &Browser) {
    let focused = browser.client.active_element().await.unwrap();
    focused.send_keys(&format!("{}{}", char::from(Key::Shift), char::from(Key::Tab))).await.unwrap();
}

/// Presses Tab until the focus is on an element that matches.
async fn tab_to(browser: &Browser, css: &str) {
    for _ in 0..40 {
        type_key(browser, Key::Tab).await;
        if focus(browser, &format!("matches('{css}')")).await == true {
            return;
        }
    }
    panic!("{css} doesn't get the focus after pressing Tab forty times");
}

async fn type_key(browser: &Browser, key: Key) {
    let focused = browser.client.active_element().await.unwrap();
    focused.send_keys(&char::from(key).to_string()).await.unwrap();
}

/// A property of the focused element.
async fn focus(browser: &Browser, what: &str) -> Value {
    browser.client.execute(&format!("return document.activeElement.{what}"), Vec::new()).await.unwrap()
}
