//! Every kind of page, found by following links and by sending forms that are refused.

use crate::http::{Fields, Visitor};
use crate::server::Server;
use burnday::clock::Clock;
use burnday::web::words;
use scraper::{ElementRef, Html, Selector};
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::fmt;
use time::Duration;

/// How many pages of one shape are checked.
const EACH: usize = 2;

/// A page, and how to get it.
pub struct Stop {
    pub path: String,
    /// The form it answers.
    pub form: Option<Fields>,
    pub status: u16,
    pub html: String,
}

impl fmt::Display for Stop {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let method = if self.form.is_some() { "POST" } else { "GET" };
        write!(f, "{method} {} ({})", self.path, self.status)
    }
}

/// Someone who walks through the app.
pub struct Walker {
    visitor: Visitor,
    pub stops: Vec<Stop>,
}

impl Walker {
    pub fn new(visitor: Visitor) -> Self {
        Self { visitor, stops: Vec::new() }
    }

    /// Follows every link, beginning at the start page.
    pub async fn follow_links(&mut self) {
        let start = self.visitor.get("/").await.path;
        let mut waiting = VecDeque::from([start.clone()]);
        let mut known = BTreeSet::from([start]);
        let mut shapes: BTreeMap<String, usize> = BTreeMap::new();
        while let Some(path) = waiting.pop_front() {
            self.look(&path, 200).await;
            for link in links(&self.stops.last().unwrap().html) {
                let seen = shapes.entry(shape(&link)).or_default();
                if *seen < EACH && known.insert(link.clone()) {
                    *seen += 1;
                    waiting.push_back(link);
                }
            }
        }
    }

    /// Gets one page.
    pub async fn look(&mut self, path: &str, status: u16) -> &Stop {
        let answer = self.visitor.get(path).await;
        assert_eq!(answer.status, status, "GET {path}\n{}", answer.html);
        assert_eq!(answer.kind, "text/html; charset=utf-8", "GET {path}");
        self.stops.push(Stop { path: path.to_owned(), form: None, status, html: answer.html });
        self.stops.last().unwrap()
    }

    /// Changes and sends the form on a page that has this field, and takes the answer.
    pub async fn send(&mut self, page: &str, field: &str, changes: &[(&str, &str)], status: u16) -> &Stop {
        let shown = self.visitor.get(page).await;
        let (action, mut fields) = form_with(&shown.html, field, page);
        for (name, value) in changes {
            fields.retain(|(other, _)| other != name);
            fields.push(((*name).to_owned(), (*value).to_owned()));
        }
        let answer = self.visitor.post(&action, &fields).await;
        assert_eq!(answer.status, status, "POST {action} {fields:?}\n{}", answer.html);
        self.stops.push(Stop { path: action, form: Some(fields), status, html: answer.html });
        self.stops.last().unwrap()
    }

    /// Sends forms that are refused, shown again, or conflict with someone else's change.
    /// None of them changes anything, so a browser gets the same answers.
    pub async fn send_forms(&mut self) {
        let soon = words::iso(Clock::System.now().date() + Duration::days(7));
        self.send("/events/new", "burn_on", &[("name", "")], 422).await;
        self.send("/events/new", "burn_on", &[("name", "Too soon"), ("burn_on", &soon)], 422).await;

        let tasks = self.visitor.get("/events/1/tasks").await;
        let task = links(&tasks.html).into_iter().find(|link| shape(link) == "/events/#/tasks/#").unwrap();
        let edit = format!("{task}/edit");
        self.send(&task, "text", &[("text", "")], 422).await;
        self.send(&task, "on", &[("state", "done"), ("on", "2090-01-01")], 422).await;
        self.send(&edit, "title", &[("title", ""), ("lead", "5000"), ("duration", "0"), ("act", "save")], 422).await;
        self.send(&edit, "title", &[("lead", "300"), ("act", "see")], 200).await;
        self.send(&edit, "title", &[("title", "Another"), ("version", "0"), ("act", "save")], 409).await;
        self.send("/events/1/tasks/new", "title", &[("title", ""), ("act", "save")], 422).await;

        self.send("/events/1/edit", "site", &[("name", "")], 422).await;
        self.send("/events/1/edit", "site", &[("name", "Another"), ("version", "0")], 409).await;
        self.send("/events/1/edit", "site", &[("site", "School field"), ("burn_time", "13:00")], 200).await;
        self.look(&format!("/events/1/move?burn_on={soon}&rain_on=&anyway=yes"), 200).await;
        let tuesday = Clock::System.now().date().next_occurrence(time::Weekday::Tuesday);
        self.look(&format!("/events/1/move?burn_on={}&rain_on=", words::iso(tuesday)), 422).await;
        self.look("/events/1/move?burn_on=2199-01-01&rain_on=", 422).await;

        self.send("/events/1/press", "words", &[("words", "")], 422).await;
        self.send("/events/1/press/outlets", "rhythm", &[("name", ""), ("closed_on", "x")], 422).await;
        self.send("/events/1/press/outlets/1", "rhythm", &[("name", "Another"), ("version", "0")], 409).await;
        self.send("/events/1/press/outlets/1", "part", &[("person", "")], 422).await;
        self.send("/events/1/press/facts", "why", &[("why", "Another"), ("version", "0")], 409).await;
        self.send("/events/1/press/releases/2", "headline", &[("headline", ""), ("text", "")], 422).await;
        self.send("/events/1/press/releases/2", "headline", &[("headline", "Another"), ("version", "0")], 409).await;
        self.send("/events/1/burn-day/press", "outlet", &[("name", "")], 422).await;
        self.send("/events/1/press/coverage", "ran_on", &[("title", ""), ("minutes", "x")], 422).await;

        self.send("/settings/department", "phone", &[("name", "")], 422).await;
        self.send("/settings/department", "phone", &[("name", "Another"), ("version", "0")], 409).await;
        self.send("/settings/accounts", "mail", &[("name", ""), ("mail", "x")], 422).await;
        self.send("/settings/closed-days", "reason", &[("on", "")], 422).await;
        self.send("/mail", "why", &[("why", "")], 422).await;
        self.send("/you", "old", &[("old", "x"), ("new", "short")], 422).await;
        self.send("/events/1/guests/gifts/new", "promised_on", &[("what", ""), ("amount", "x")], 422).await;
        self.send("/events/1/guests/gifts/1/edit", "promised_on", &[("quantity", "13"), ("version", "0")], 409).await;
        self.send("/events/1/guests/gifts/3", "taken_by", &[("taken_by", "")], 422).await;
        self.look("/events/1/guests/gifts/3/receipt", 200).await;
        self.send("/events/1/guests/thanks/day", "alarm", &[("alarm", "38"), ("act", "save")], 422).await;
        self.send("/events/1/guests/thanks", "act", &[("act", "see")], 422).await;
        self.send_guests().await;
        self.send_loans().await;
        self.send_drawings().await;
        self.look("/nothing", 404).await;
    }

    async fn send_loans(&mut self) {
        let loans = "/events/1/loans";
        let typed = [("what", ""), ("value", "x"), ("burn_from", ""), ("checks", ":")];
        self.send(&format!("{loans}/new"), "serial", &typed, 422).await;
        let namesake = [("what", "tent"), ("lender", ""), ("new_name", "Eugenia Fontaine")];
        self.send(&format!("{loans}/new"), "serial", &namesake, 422).await;
        let edit = format!("{loans}/2/edit");
        self.send(&edit, "serial", &[("serial", "Another"), ("version", "0")], 409).await;
        self.send(&format!("{loans}/2"), "step", &[("step", "returned"), ("on", "")], 422).await;
        self.send(&format!("{loans}/7/ask"), "question", &[("question", ""), ("closes_on", "")], 422).await;
        self.send(&format!("{loans}/7/ask"), "question", &[("act", "see")], 200).await;
        self.send(&format!("{loans}/8/letter"), "text", &[("text", "")], 422).await;
        self.look(&format!("{loans}/8/pickup"), 200).await;
    }

    async fn send_drawings(&mut self) {
        let (plan, site) = ("/events/1/rooms/plan", "/events/1/rooms/site");
        self.send(&format!("{plan}/size"), "rod", &[("width", "0"), ("rod", "")], 422).await;
        self.send(&format!("{plan}/size"), "rod", &[("spare", "99"), ("version", "0")], 409).await;
        self.send(&format!("{plan}/items/-3"), "held", &[("x", ""), ("turn", "x")], 422).await;
        self.send(&format!("{site}/basis"), "aisles", &[("aisles", "x"), ("crowd_line", "")], 422).await;
        self.send(&format!("{site}/basis"), "aisles", &[("aisles", "33"), ("version", "99")], 409).await;
        self.send(&format!("{site}/items/1"), "turn", &[("width", "0"), ("turn", "x")], 422).await;
        self.send(&format!("{site}/items/1"), "turn", &[("name", "Another"), ("version", "99")], 409).await;
        self.send(&format!("{site}/items/3"), "corners", &[("corners", "x")], 422).await;
    }

    async fn send_guests(&mut self) {
        let guests = "/events/1/guests";
        self.send(&format!("{guests}/new"), "jurisdiction", &[("mail", "x")], 422).await;
        let edit = format!("{guests}/1/edit");
        self.send(&edit, "seat", &[("minutes", "long"), ("since", "ever")], 422).await;
        self.send(&edit, "seat", &[("seat", "Another"), ("version", "0")], 409).await;
        self.send(&format!("{guests}/1"), "reason", &[("number", "0")], 422).await;
        let invite = format!("{guests}/invite");
        self.send(&invite, "words", &[("question", ""), ("closes_on", "")], 422).await;
        self.send(&invite, "words", &[("act", "see")], 200).await;
        self.send(&format!("{guests}/day"), "deputy", &[("deputy", "")], 422).await;
        let program = format!("{guests}/program/edit");
        self.send(&program, "lasts", &[("minutes", "200")], 422).await;
        self.send(&program, "lasts", &[("begins", "30"), ("version", "0")], 409).await;
        self.look(&format!("{guests}/program?late=9"), 200).await;
        self.look(&format!("{guests}/program?late=x"), 422).await;
        self.send("/settings/guests", "rate", &[("rate", "1")], 422).await;
        self.send("/settings/guests", "rate", &[("rate", "131"), ("version", "0")], 409).await;
    }

    /// Sends a test message, so that there is one to open.
    pub async fn send_a_test(&mut self, demo: &Server) {
        let answer = self.visitor.post("/mail/test", &Vec::new()).await;
        assert_eq!(answer.status, 200, "{}", answer.html);
        for _ in 0..100 {
            if demo.ask_store("select count(*) from mail where dedup like 'test %' and state = 'sent'") == "1" {
                return;
            }
            tokio::time::sleep(std::time::Duration::from_millis(200)).await;
        }
        panic!("the message was not sent");
    }

    /// Asks someone outside to read a release, and returns the path of their link.
    pub async fn have_a_paper_read(&mut self, demo: &Server) -> String {
        let paper = "/events/1/press/releases/1";
        self.send(paper, "headline", &[("headline", "Two rooms burn, one with a fire sprinkler")], 200).await;
        self.send(paper, "reader", &[("reader", "Nell Okoro"), ("reader_mail", "nell@example.org")], 200).await;
        let mail = demo.reads(&[("paper-reading", "nell@example.org")]).remove(0);
        mail.links.into_iter().find(|link| link.contains("/read-paper/")).expect("the reader's link is in the email")
    }

    /// Makes a one-time link and returns its path.
    pub async fn make_link(&mut self, account: &str) -> String {
        let path = format!("{account}/link");
        let answer = self.visitor.post(&path, &Vec::new()).await;
        assert_eq!(answer.status, 200, "{}", answer.html);
        let link = Html::parse_document(&answer.html).select(&css(".copy")).next().unwrap().text().collect::<String>();
        self.stops.push(Stop { path, form: Some(Vec::new()), status: 200, html: answer.html });
        local(&link)
    }

    /// Invites someone and returns the path of the invitation.
    pub async fn invite(&mut self) -> String {
        let page = "/settings/accounts";
        let invited = self.send(page, "mail", &[("name", "Ada Lund"), ("mail", "ada@example.org")], 200).await;
        let link = Html::parse_document(&invited.html).select(&css(".copy")).next().unwrap().text().collect::<String>();
        // Inviting the same person again would be refused.
        self.stops.pop();
        local(&link)
    }
}

fn local(link: &str) -> String {
    let (_, rest) = link.trim().split_once("://").unwrap();
    rest[rest.find('/').unwrap()..].to_owned()
}

fn css(selector: &str) -> Selector {
    Selector::parse(selector).unwrap()
}

/// The pages of this site that a page links to. Files to save don't count.
fn links(html: &str) -> Vec<String> {
    let (page, anchors) = (Html::parse_document(html), css("a[href]:not([download])"));
    let links = page.select(&anchors).map(|link| link.attr("href").unwrap());
    let is_file = |link: &str| link.starts_with("/people/export") || link.starts_with("/photos/");
    links
        .filter(|link| link.starts_with('/') && !is_file(link))
        .map(|link| link.split('#').next().unwrap().to_owned())
        .collect()
}

/// A path without its numbers and without the values in its query.
pub fn shape(path: &str) -> String {
    let (path, query) = path.split_once('?').unwrap_or((path, ""));
    let part = |part: &str| if part.parse::<i64>().is_ok() { "#".to_owned() } else { part.to_owned() };
    let keys = query.split('&').map(|pair| pair.split('=').next().unwrap());
    let path = path.split('/').map(part).collect::<Vec<_>>().join("/");
    if query.is_empty() { path } else { format!("{path}?{}", keys.collect::<Vec<_>>().join("&")) }
}

/// Where the form with this field goes, and what it sends if nothing is changed.
fn form_with(html: &str, field: &str, page: &str) -> (String, Fields) {
    let document = Html::parse_document(html);
    let forms = css("form[method=post]");
    let holds = css(&format!("[name={field}]"));
    let form = document.select(&forms).find(|form| form.select(&holds).next().is_some());
    let form = form.unwrap_or_else(|| panic!("no form on {page} has {field}\n{html}"));
    let inputs = css("input[name], select[name], textarea[name]");
    let fields = form.select(&inputs).filter_map(|input| Some((input.attr("name")?.to_owned(), value(input)?)));
    (form.attr("action").unwrap_or(page).to_owned(), fields.collect())
}

fn value(input: ElementRef) -> Option<String> {
    match input.value().name() {
        "textarea" => Some(input.text().collect()),
        "select" => {
            let options = css("option");
            let chosen = input.select(&options).find(|option| option.attr("selected").is_some());
            let option = chosen.or_else(|| input.select(&options).next())?;
            Some(option.attr("value").map_or_else(|| option.text().collect(), str::to_owned))
        }
        _ if matches!(input.attr("type"), Some("checkbox" | "radio")) && input.attr("checked").is_none() => None,
        _ => Some(input.attr("value").unwrap_or_default().to_owned()),
    }
}
