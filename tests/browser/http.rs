//! A visitor without a browser: requests, cookies, and the pages as they were sent.

use axum::body::Bytes;
use axum::http::{Method, Request, header};
use http_body_util::{BodyExt, Full};
use hyper_util::client::legacy::Client;
use hyper_util::client::legacy::connect::HttpConnector;
use hyper_util::rt::TokioExecutor;
use serde_json::Value;
use std::collections::BTreeMap;

/// The names and values of a form.
pub type Fields = Vec<(String, String)>;

pub struct Visitor {
    client: Client<HttpConnector, Full<Bytes>>,
    base: String,
    cookies: BTreeMap<String, String>,
}

pub struct Answer {
    /// Its path, after redirects.
    pub path: String,
    pub status: u16,
    pub kind: String,
    pub html: String,
    to: Option<String>,
}

impl Visitor {
    pub fn new(base: &str) -> Self {
        let client = Client::builder(TokioExecutor::new()).build_http();
        Self { client, base: base.to_owned(), cookies: BTreeMap::new() }
    }

    /// Someone who entered with a link of the demo.
    pub async fn entered(base: &str, link: &str) -> Self {
        let mut visitor = Self::new(base);
        let path = link.strip_prefix(base).unwrap();
        let start = visitor.post(path, &Vec::new()).await;
        assert_eq!(start.status, 200, "{link} opens the demo");
        visitor
    }

    /// The page there, after redirects.
    pub async fn get(&mut self, path: &str) -> Answer {
        self.follow(Method::GET, path, "", Bytes::new()).await
    }

    /// The answer to a form, after redirects.
    pub async fn post(&mut self, path: &str, fields: &Fields) -> Answer {
        self.follow(Method::POST, path, "application/x-www-form-urlencoded", encode(fields).into()).await
    }

    pub async fn send_json(&mut self, path: &str, body: &Value) -> Value {
        let answer = self.once(&Method::POST, path, "application/json", body.to_string().into()).await;
        serde_json::from_str(&answer.html).unwrap()
    }

    async fn follow(&mut self, method: Method, path: &str, kind: &str, body: Bytes) -> Answer {
        let mut answer = self.once(&method, path, kind, body).await;
        for _ in 0..5 {
            let Some(to) = answer.to.take() else { break };
            answer = self.once(&Method::GET, &to, "", Bytes::new()).await;
        }
        answer
    }

    async fn once(&mut self, method: &Method, path: &str, kind: &str, body: Bytes) -> Answer {
        let cookies: Vec<String> = self.cookies.iter().map(|(name, value)| format!("{name}={value}")).collect();
        let request = Request::builder()
            .method(method)
            .uri(format!("{}{path}", self.base))
            .header(header::ORIGIN, &self.base)
            .header(header::CONTENT_TYPE, kind)
            .header(header::COOKIE, cookies.join("; "))
            .body(Full::new(body))
            .unwrap();
        let response = self.client.request(request).await.unwrap();
        let (head, body) = response.into_parts();
        for cookie in head.headers.get_all(header::SET_COOKIE) {
            let (name, value) = cookie.to_str().unwrap().split(';').next().unwrap().split_once('=').unwrap();
            self.cookies.insert(name.to_owned(), value.to_owned());
        }
        let text = |name| head.headers.get(name).map(|value| value.to_str().unwrap().to_owned());
        Answer {
            path: path.to_owned(),
            status: head.status.as_u16(),
            kind: text(header::CONTENT_TYPE).unwrap_or_default(),
            to: text(header::LOCATION),
            html: String::from_utf8_lossy(&body.collect().await.unwrap().to_bytes()).into_owned(),
        }
    }
}

fn encode(fields: &Fields) -> String {
    let escape = burnday::web::query::query_escape;
    let pairs = fields.iter().map(|(name, value)| format!("{}={}", escape(name), escape(value)));
    pairs.collect::<Vec<_>>().join("&")
}
