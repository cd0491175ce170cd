use axum::Router;
use axum::body::Body;
use axum::extract::ConnectInfo;
use axum::http::{HeaderMap, Method, Request, header};
use burnday::server;
use burnday::state::App;
use http_body_util::BodyExt;
use scraper::{ElementRef, Html, Selector};
use std::collections::BTreeMap;
use std::net::SocketAddr;
use tower::ServiceExt;

/// Keeps cookies, and follows nothing by itself.
#[derive(Clone)]
pub struct Browser {
    router: Router,
    pub cookies: BTreeMap<String, String>,
    pub address: SocketAddr,
}

/// What came back.
pub struct Answer {
    pub status: u16,
    pub headers: HeaderMap,
    pub body: String,
    /// The same as it came over, which need not be text.
    pub bytes: Vec<u8>,
}

impl Browser {
    pub fn new(app: App) -> Self {
        Self::of(server::router(app))
    }

    pub fn of(router: Router) -> Self {
        Self { router, cookies: BTreeMap::new(), address: "192.0.2.7:4000".parse().unwrap() }
    }

    pub async fn get(&mut self, path: &str) -> Answer {
        self.send(Request::get(path).body(Body::empty()).unwrap()).await
    }

    /// Sends a form as the pages of this site do.
    pub async fn post(&mut self, path: &str, fields: &[(&str, &str)]) -> Answer {
        self.post_body(path, &encode(fields)).await
    }

    pub async fn submit(&mut self, path: &str, form: &Filled) -> Answer {
        self.post_body(path, &form.body()).await
    }

    pub async fn post_body(&mut self, path: &str, body: &str) -> Answer {
        let request = Request::post(path)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .header("sec-fetch-site", "same-origin")
            .body(Body::from(body.to_owned()));
        self.send(request.unwrap()).await
    }

    /// Sends a form with files in it: their field, name and content.
    pub async fn post_files(&mut self, path: &str, fields: &[(&str, &str)], files: &[(&str, &str, Vec<u8>)]) -> Answer {
        let mut body = Vec::new();
        let mut part = |disposition: String, content: &[u8]| {
            body.extend(format!("--edge\r\ncontent-disposition: form-data; {disposition}\r\n\r\n").as_bytes());
            body.extend(content);
            body.extend(b"\r\n");
        };
        for (name, value) in fields {
            part(format!("name=\"{name}\""), value.as_bytes());
        }
        for (name, file, content) in files {
            part(format!("name=\"{name}\"; filename=\"{file}\""), content);
        }
        body.extend(b"--edge--\r\n");
        let request = Request::post(path)
            .header(header::CONTENT_TYPE, "multipart/form-data; boundary=edge")
            .header("sec-fetch-site", "same-origin")
            .body(Body::from(body));
        self.send(request.unwrap()).await
    }

    pub async fn send(&mut self, mut request: Request<Body>) -> Answer {
        let cookies: Vec<String> = self.cookies.iter().map(|(name, value)| format!("{name}={value}")).collect();
        if !cookies.is_empty() {
            request.headers_mut().insert(header::COOKIE, cookies.join("; ").parse().unwrap());
        }
        request.headers_mut().entry(header::HOST).or_insert("127.0.0.1:8080".parse().unwrap());
        request.extensions_mut().insert(ConnectInfo(self.address));
        let head = request.method() == Method::HEAD;
        let response = self.router.clone().oneshot(request).await.unwrap();
        for cookie in response.headers().get_all(header::SET_COOKIE) {
            let (name, rest) = cookie.to_str().unwrap().split_once('=').unwrap();
            let value = rest.split(';').next().unwrap();
            if rest.contains("Max-Age=0") {
                self.cookies.remove(name);
            } else {
                self.cookies.insert(name.to_owned(), value.to_owned());
            }
        }
        let (parts, body) = response.into_parts();
        let body = body.collect().await.unwrap().to_bytes();
        assert!(!head || body.is_empty());
        let status = parts.status.as_u16();
        let bytes = body.to_vec();
        let is_picture = parts
            .headers
            .get(header::CONTENT_TYPE)
            .is_some_and(|kind| kind == "image/jpeg" || kind == "image/vnd.microsoft.icon");
        let body = if is_picture { String::new() } else { String::from_utf8(bytes.clone()).unwrap() };
        Answer { status, headers: parts.headers, body, bytes }
    }
}

pub fn encode(fields: &[(&str, &str)]) -> String {
    let pairs = fields.iter().map(|(name, value)| format!("{}={}", escape(name), escape(value)));
    pairs.collect::<Vec<_>>().join("&")
}

fn escape(text: &str) -> String {
    burnday::web::query::query_escape(text)
}

impl Answer {
    pub fn header(&self, name: &str) -> &str {
        self.headers.get(name).map_or("", |value| value.to_str().unwrap())
    }

    /// A cookie that it sets, as it is sent back.
    pub fn set_cookie(&self, name: &str) -> String {
        let all = self.headers.get_all("set-cookie").iter().map(|value| value.to_str().unwrap());
        let mut found =
            all.filter_map(|cookie| cookie.split(';').next()).filter(|cookie| cookie.starts_with(&format!("{name}=")));
        found.next().unwrap_or_else(|| panic!("no cookie {name}: {:?}", self.headers)).to_owned()
    }

    /// Where it sends the browser.
    pub fn location(&self) -> &str {
        self.header("location")
    }

    /// The text of each element that fits.
    pub fn all(&self, selector: &str) -> Vec<String> {
        let page = Html::parse_document(&self.body);
        let text = |element: ElementRef<'_>| {
            element.text().collect::<String>().split_whitespace().collect::<Vec<_>>().join(" ")
        };
        page.select(&Selector::parse(selector).unwrap()).map(text).collect()
    }

    /// The text of the first element that fits; empty without one.
    pub fn text(&self, selector: &str) -> String {
        self.all(selector).into_iter().next().unwrap_or_default()
    }

    /// An attribute of each element that fits.
    pub fn attributes(&self, selector: &str, attribute: &str) -> Vec<String> {
        let page = Html::parse_document(&self.body);
        let selector = Selector::parse(selector).unwrap();
        page.select(&selector).filter_map(|element| element.attr(attribute).map(str::to_owned)).collect()
    }

    /// Whether an element fits.
    pub fn has(&self, selector: &str) -> bool {
        self.count(selector) > 0
    }

    /// How many elements fit.
    pub fn count(&self, selector: &str) -> usize {
        Html::parse_document(&self.body).select(&Selector::parse(selector).unwrap()).count()
    }

    /// What a `data-` mark of the first element that fits says; empty without one.
    pub fn mark(&self, selector: &str, name: &str) -> String {
        self.attributes(selector, &format!("data-{name}")).into_iter().next().unwrap_or_default()
    }

    /// The fields about which the page says that something is wrong.
    pub fn mistakes(&self) -> Vec<String> {
        let marks = self.attributes(".mistake[id]", "id");
        marks.iter().filter_map(|id| id.strip_suffix("-mistake")).map(str::to_owned).collect()
    }

    /// What it says about one of them; empty if nothing is wrong.
    pub fn mistake(&self, field: &str) -> String {
        self.text(&format!("[id='{field}-mistake']"))
    }

    /// What it says was just done.
    pub fn said(&self) -> String {
        self.text("#said")
    }

    /// What is beside a label in a list of facts; empty without one.
    pub fn fact(&self, label: &str) -> String {
        let page = Html::parse_document(&self.body);
        let rows = Selector::parse("dl.facts > div").unwrap();
        let text = |row: ElementRef<'_>, part: &str| {
            let found: String = row.select(&Selector::parse(part).unwrap()).flat_map(|part| part.text()).collect();
            found.split_whitespace().collect::<Vec<_>>().join(" ")
        };
        page.select(&rows).find(|row| text(*row, "dt") == label).map(|row| text(row, "dd")).unwrap_or_default()
    }

    /// What a form field holds.
    pub fn value(&self, name: &str) -> String {
        self.attributes(&format!("input[name={name}]"), "value").into_iter().next().unwrap_or_default()
    }

    /// What the page's form holds, but for its key: a test sends one page's form again
    /// and again, for several people, of whom each would have a page of their own.
    pub fn form(&self) -> Filled {
        self.form_at(FORM)
    }

    /// The same of the first form that fits.
    pub fn form_at(&self, selector: &str) -> Filled {
        self.keyed_form_at(selector).without(burnday::web::form_key::FIELD).without("tap-key")
    }

    /// The page's form with its key, as a browser sends it.
    pub fn keyed_form(&self) -> Filled {
        self.keyed_form_at(FORM)
    }

    /// The same of the first form that fits.
    pub fn keyed_form_at(&self, selector: &str) -> Filled {
        let page = Html::parse_document(&self.body);
        let form = page.select(&Selector::parse(selector).unwrap()).next();
        filled(form.unwrap_or_else(|| panic!("no form {selector} ({})\n{}", self.status, self.body)))
    }

    /// Every form that changes something: where it is sent, as a browser would press
    /// its first button. One with files says so.
    pub fn presses(&self, here: &str) -> Vec<(String, bool, Filled)> {
        let page = Html::parse_document(&self.body);
        let forms = Selector::parse("form[method=post]").unwrap();
        let button = Selector::parse("button[name]").unwrap();
        let press = |form: ElementRef<'_>| {
            let mut fields = filled(form);
            if let Some(button) = form.select(&button).next() {
                fields = fields.and(button.attr("name").unwrap(), button.attr("value").unwrap_or_default());
            }
            let has_files = form.attr("enctype").is_some();
            (form.attr("action").unwrap_or(here).to_owned(), has_files, fields)
        };
        page.select(&forms).map(press).collect()
    }

    pub fn says(&self, words: &str) -> bool {
        self.text("body").contains(words)
    }
}

fn filled(form: ElementRef<'_>) -> Filled {
    let select = |selector| Selector::parse(selector).unwrap();
    let mut fields = Vec::new();
    for field in form.select(&select("input[name], select[name], textarea[name]")) {
        let name = field.attr("name").unwrap().to_owned();
        let value = match field.value().name() {
            "textarea" => field.text().collect::<String>().trim_start_matches('\n').to_owned(),
            "select" => {
                let chosen = field.select(&select("option[selected]")).next();
                let chosen = chosen.or_else(|| field.select(&select("option")).next()).unwrap();
                chosen.attr("value").map_or_else(|| chosen.text().collect(), str::to_owned)
            }
            _ => field.attr("value").unwrap_or_default().to_owned(),
        };
        let is_tick = matches!(field.attr("type"), Some("checkbox" | "radio"));
        let left_out = is_tick && field.attr("checked").is_none();
        if !left_out {
            fields.push((name, value));
        }
    }
    Filled(fields)
}

/// The form of a page that has one.
const FORM: &str = "main form.stack[method=post], main form.fields[method=post]";

/// A form filled in.
#[derive(Debug, Clone)]
pub struct Filled(Vec<(String, String)>);

impl Filled {
    /// Types something else into a field.
    pub fn with(mut self, name: &str, value: &str) -> Self {
        self.0.retain(|(field, _)| field != name);
        self.and(name, value)
    }

    /// Leaves a field out.
    pub fn without(mut self, name: &str) -> Self {
        self.0.retain(|(known, _)| known != name);
        self
    }

    /// Sends a field besides.
    pub fn and(mut self, name: &str, value: &str) -> Self {
        self.0.push((name.to_owned(), value.to_owned()));
        self
    }

    /// What a field holds.
    pub fn value(&self, name: &str) -> &str {
        self.0.iter().find(|(field, _)| field == name).map_or("", |(_, value)| value)
    }

    /// Its fields, as a form with files sends them.
    pub fn pairs(&self) -> Vec<(&str, &str)> {
        self.0.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect()
    }

    pub fn body(&self) -> String {
        encode(&self.pairs())
    }
}
