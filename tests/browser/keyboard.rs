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
        let covers = "const focused = document.activeElement;
            const [box] = focused.getClientRects();
            const above = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
            return focused.contains(above) ? null : `${focused.textContent} is under ${above?.textContent}`";
        let covered = browser.client.execute(covers, Vec::new()).await.unwrap();
        assert_eq!(covered, Value::Null);
    }
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
