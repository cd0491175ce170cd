//! What a person does in the browser. The element is found by a selector, by a path, or by
//! a name or label of one or two words.

use crate::driver::Browser;
use fantoccini::Locator;
use fantoccini::elements::Element;
use serde_json::Value;
use std::time::{Duration, Instant};
use time::Date;
use time::macros::format_description;

/// Even a slow machine shows a page within this time.
pub const PATIENCE: Duration = Duration::from_mins(1);
const PAUSE: Duration = Duration::from_millis(30);
/// What the W3C's `WebDriver` protocol (12.1) calls a reference to an element.
const ELEMENT_KEY: &str = "element-6066-11e4-a52e-4f735466cecf";

impl Browser {
    pub async fn open(&self, address: &str) {
        self.client.goto(address).await.unwrap();
    }

    /// Enters the demo with a link that was printed for someone.
    pub async fn enter(&self, link: &str) {
        self.open(link).await;
        self.click("main form button").await;
        self.shows("header.top").await;
    }

    /// Presses the button with this text.
    pub async fn press(&self, text: &str) {
        self.click(&format!("//button[not(@aria-hidden) and normalize-space()=\"{text}\"]")).await;
    }

    /// Presses the button that sends this value.
    pub async fn send(&self, name: &str, value: &str) {
        self.click(&format!("button:not(.unseen)[name='{name}'][value='{value}']")).await;
    }

    /// Follows the link with this text. On a phone, it may be behind the menu's button.
    pub async fn go(&self, text: &str) {
        let link = format!("//a[normalize-space()=\"{text}\"]");
        let is_folded = "const found = document.evaluate(arguments[0], document, null, 7, null);
            const links = Array.from({length: found.snapshotLength}, (_, at) => found.snapshotItem(at));
            return links.length > 0 && !links.some((link) => link.checkVisibility())
                && links.some((link) => link.closest('#menu'));";
        // There may be no page right now.
        let is_folded = self.client.execute(is_folded, vec![link.as_str().into()]).await.unwrap_or_default();
        if is_folded == Value::Bool(true) {
            self.click(".menu").await;
        }
        self.click(&link).await;
    }

    /// Goes to a place by the bar, which is behind a button on a phone.
    pub async fn go_to(&self, name: &str) {
        let folded = "return document.querySelector('.menu').checkVisibility()";
        if self.client.execute(folded, Vec::new()).await.unwrap() == Value::Bool(true) {
            self.click(".menu").await;
        }
        self.click(&format!("//nav[@class='places']/a[starts-with(normalize-space(), \"{name}\")]")).await;
    }

    /// Clicks what is there, and waits for the page it leads to, if any.
    pub async fn click(&self, path: &str) {
        // A confirmation stays at the top of the page and may cover the element. A button
        // that sends a form and a link to another page lead to a new page.
        let make_ready = "const at = arguments[0];
            at.scrollIntoView({block: 'center'});
            document.querySelector('main').dataset.left = 'yes';
            return at.tagName === 'A' ? !at.hash && !at.target : at.type === 'submit' && at.form !== null;";
        let until = Instant::now() + PATIENCE;
        let (element, leads_on) = loop {
            let element = self.find(path).await;
            let at = serde_json::to_value(&element).unwrap();
            // It may be gone along with its page.
            if let Ok(leads_on) = self.client.execute(make_ready, vec![at]).await {
                break (element, leads_on == Value::Bool(true));
            }
            assert!(Instant::now() < until, "{path} can't be clicked\n{}", self.page().await);
        };
        element.click().await.unwrap_or_else(|error| panic!("click {path}: {error}"));
        if leads_on {
            self.turns(path).await;
        }
    }

    /// Waits until another page has replaced this one.
    async fn turns(&self, path: &str) {
        let until = Instant::now() + PATIENCE;
        let came =
            "return document.readyState === 'complete' && document.querySelector('main:not([data-left])') !== null";
        while self.client.execute(came, Vec::new()).await.ok() != Some(Value::Bool(true)) {
            assert!(Instant::now() < until, "{path} led nowhere\n{}", self.page().await);
            tokio::time::sleep(PAUSE).await;
        }
    }

    /// Clears the field with this label and types into it.
    pub async fn fill(&self, label: &str, text: &str) {
        let field = self.field(label).await;
        field.clear().await.unwrap();
        field.send_keys(text).await.unwrap();
    }

    /// The same for a date, typed in the order of the browser's language.
    pub async fn fill_day(&self, label: &str, day: Date) {
        let keys = day.format(format_description!("[month][day][year]")).unwrap();
        self.fill(label, &keys).await;
        let typed = self.field(label).await.prop("value").await.unwrap();
        assert_eq!(typed.unwrap(), burnday::web::words::iso(day), "{label}");
    }

    /// Opens the part of a form whose name begins like this, if it is closed.
    pub async fn unfold(&self, name: &str) {
        let path = format!("//summary[starts-with(normalize-space(), \"{name}\")]");
        let summary = serde_json::to_value(self.find(&path).await).unwrap();
        let is_open = "return arguments[0].parentElement.open";
        if self.client.execute(is_open, vec![summary]).await.unwrap() == Value::Bool(false) {
            self.click(&path).await;
        }
    }

    /// Chooses a person: by typing the name where scripts run, and otherwise in the list,
    /// where a line is the name and what is known about them.
    pub async fn choose_person(&self, label: &str, line: &str) {
        let field = self.field(label).await;
        if field.tag_name().await.unwrap() == "select" {
            field.select_by_label(line).await.unwrap();
            return;
        }
        let name = line.split(" · ").next().unwrap();
        field.send_keys(name).await.unwrap();
        let found = format!("//ul[@role='listbox' and @data-typed=\"{name}\"]");
        self.click(&format!("{found}/li[bdi[normalize-space()=\"{name}\"]]")).await;
    }

    /// The field with this label, or the one a selector finds.
    pub async fn field(&self, label: &str) -> Element {
        if label.starts_with(['#', '[']) {
            return self.find(label).await;
        }
        self.find(&format!("//*[@id=(//label[normalize-space()=\"{label}\"]/@for) or @aria-label=\"{label}\"]")).await
    }

    /// The first visible element there. A path begins with a slash or a parenthesis.
    /// Anything else is a selector.
    pub async fn find(&self, path: &str) -> Element {
        // One command, since each goes through three programs.
        let look = "const [path] = arguments;
            const found = [];
            if ('/('.includes(path[0])) {
                const there = document.evaluate(path, document, null, 7, null);
                for (let at = 0; at < there.snapshotLength; at++) found.push(there.snapshotItem(at));
            } else {
                found.push(...document.querySelectorAll(path));
            }
            return found.find((element) => element.checkVisibility({visibilityProperty: true})) ?? null;";
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            // There may be no page right now.
            let found = self.client.execute(look, vec![path.into()]).await.unwrap_or_default();
            if let Some(id) = found.get(ELEMENT_KEY).and_then(Value::as_str) {
                return Element::from_element_id(self.client.clone(), id.to_owned().into());
            }
            tokio::time::sleep(PAUSE).await;
        }
        panic!("{path} isn't on the page\n{}", self.page().await);
    }

    /// Waits until something there is visible.
    pub async fn shows(&self, path: &str) {
        self.find(path).await;
    }

    /// Waits until there are this many elements, visible or not.
    pub async fn counts(&self, css: &str, number: usize) {
        let look = "return document.querySelectorAll(arguments[0]).length";
        let until = Instant::now() + PATIENCE;
        let mut found = Value::Null;
        while Instant::now() < until {
            found = self.client.execute(look, vec![css.into()]).await.unwrap_or_default();
            if found == number {
                return;
            }
            tokio::time::sleep(PAUSE).await;
        }
        panic!("{found} of {css}, not {number}\n{}", self.page().await);
    }

    /// The value of a `data-` mark of the first element there.
    pub async fn mark(&self, path: &str, name: &str) -> String {
        self.find(path).await.attr(&format!("data-{name}")).await.unwrap().unwrap_or_default()
    }

    /// Waits until an element's text contains this.
    pub async fn sees(&self, css: &str, text: &str) {
        let look = "const [css, text] = arguments;
            return [...document.querySelectorAll(css)].some((element) => element.innerText.includes(text));";
        let until = Instant::now() + PATIENCE;
        while Instant::now() < until {
            let sees = self.client.execute(look, vec![css.into(), text.into()]).await.unwrap_or_default();
            if sees == Value::Bool(true) {
                return;
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

    /// The address and the text of the page, for a failure.
    pub async fn page(&self) -> String {
        let url = self.client.current_url().await.unwrap();
        format!("at {url}\n{}", self.read("body").await)
    }
}
