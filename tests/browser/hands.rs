//! What a person does at the browser, named by what they read there.

use crate::driver::Browser;
use fantoccini::Locator;
use fantoccini::elements::Element;
use serde_json::Value;
use std::time::{Duration, Instant};
use time::Date;
use time::macros::format_description;

/// A slow machine still shows a page within this time.
pub const PATIENCE: Duration = Duration::from_mins(1);
const PAUSE: Duration = Duration::from_millis(30);

impl Browser {
    pub async fn open(&self, address: &str) {
        self.client.goto(address).await.unwrap();
    }

    /// Presses the button with this text.
    pub async fn press(&self, text: &str) {
        self.click(&format!("//button[not(@aria-hidden) and normalize-space()=\"{text}\"]")).await;
    }

    /// Follows the link with this text.
    pub async fn go(&self, text: &str) {
        self.click(&format!("//a[normalize-space()=\"{text}\"]")).await;
    }

    /// Presses what is there, and waits for the page that it leads to, if it leads to
    /// one.
    pub async fn click(&self, path: &str) {
        let mut element = self.find(path).await;
        let leads_on = self.leads_on(&element).await;
        let before = self.client.find(Locator::Css("main")).await.unwrap();
        // What was said stays at the top of the page, over what is there.
        let to_the_middle = "arguments[0].scrollIntoView({block: 'center'})";
        let shown = self.client.execute(to_the_middle, vec![serde_json::to_value(&element).unwrap()]).await;
        if shown.is_err() {
            // It is gone with the page it was on.
            element = self.find(path).await;
        }
        element.click().await.unwrap_or_else(|error| panic!("click {path}: {error}"));
        if leads_on {
            self.turns(&before, path).await;
        }
    }

    /// Waits until the page that this belongs to has given way to another.
    async fn turns(&self, before: &Element, path: &str) {
        let until = Instant::now() + PATIENCE;
        let is_there = "return document.readyState === 'complete' && document.querySelector('main') !== null";
        // What is gone has no look any more.
        while before.is_displayed().await.is_ok()
            || self.client.execute(is_there, Vec::new()).await.ok() != Some(Value::Bool(true))
        {
            assert!(Instant::now() < until, "{path} led nowhere\n{}", self.page().await);
            tokio::time::sleep(PAUSE).await;
        }
    }

    /// Is it a button that sends a form, or a link to another page?
    async fn leads_on(&self, element: &Element) -> bool {
        let asks = "const at = arguments[0];
            return at.tagName === 'A' ? !at.hash && !at.target : at.type === 'submit' && at.form !== null;";
        let leads = self.client.execute(asks, vec![serde_json::to_value(element).unwrap()]).await;
        // It is gone with the page it was on, and is found again.
        leads.map_or(true, |leads| leads == Value::Bool(true))
    }

    /// Empties the field with this label and types into it.
    pub async fn fill(&self, label: &str, text: &str) {
        let field = self.field(label).await;
        field.clear().await.unwrap();
        field.send_keys(text).await.unwrap();
    }

    /// The same for a day, which is typed in the order of the language.
    pub async fn fill_day(&self, label: &str, day: Date) {
        let keys = day.format(format_description!("[month][day][year]")).unwrap();
        self.fill(label, &keys).await;
        let typed = self.field(label).await.prop("value").await.unwrap();
        assert_eq!(typed.unwrap(), burnday::web::words::iso(day), "{label}");
    }

    /// The field with this label.
    pub async fn field(&self, label: &str) -> Element {
        self.find(&format!("//*[@id=(//label[normalize-space()=\"{label}\"]/@for) or @aria-label=\"{label}\"]")).await
    }

    /// The first element there that is shown.
    pub async fn find(&self, path: &str) -> Element {
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            for element in self.client.find_all(Locator::XPath(path)).await.unwrap() {
                // It may be gone with the page it was on.
                if element.is_displayed().await.unwrap_or(false) {
                    return element;
                }
            }
            tokio::time::sleep(PAUSE).await;
        }
        panic!("{path} isn't on the page\n{}", self.page().await);
    }

    /// Waits until an element's text holds this.
    pub async fn sees(&self, css: &str, text: &str) {
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            for element in self.client.find_all(Locator::Css(css)).await.unwrap() {
                // It may be gone with the page it was on.
                if element.text().await.is_ok_and(|says| says.contains(text)) {
                    return;
                }
            }
            tokio::time::sleep(PAUSE).await;
        }
        panic!("no {css} says {text:?}\n{}", self.page().await);
    }

    /// The text of the element.
    pub async fn read(&self, css: &str) -> String {
        self.client.find(Locator::Css(css)).await.unwrap().text().await.unwrap()
    }

    /// The path of the page.
    pub async fn place(&self) -> String {
        self.client.current_url().await.unwrap().path().to_owned()
    }

    /// Where it is and what it says, for a failure.
    async fn page(&self) -> String {
        let url = self.client.current_url().await.unwrap();
        format!("at {url}\n{}", self.read("body").await)
    }
}
