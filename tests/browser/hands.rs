//! What a person does at the browser, named by what they read there.

use crate::driver::Browser;
use fantoccini::Locator;
use fantoccini::elements::Element;
use std::time::{Duration, Instant};
use time::Date;
use time::macros::format_description;

/// A slow machine still shows a page within this time.
const PATIENCE: Duration = Duration::from_secs(10);
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

    async fn click(&self, path: &str) {
        let mut element = self.find(path).await;
        // What was said stays at the top of the page, over what is there.
        let to_the_middle = "arguments[0].scrollIntoView({block: 'center'})";
        let shown = self.client.execute(to_the_middle, vec![serde_json::to_value(&element).unwrap()]).await;
        if shown.is_err() {
            // It is gone with the page it was on.
            element = self.find(path).await;
        }
        element.click().await.unwrap_or_else(|error| panic!("click {path}: {error}"));
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
