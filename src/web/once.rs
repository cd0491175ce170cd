//! A form that is sent twice does its work once. Each form on a page has its own key, which
//! is saved with the form's write. Sent again, it gets the same response as the first time.
//! Sent with different values, it asks before saving those too.

use super::error_page::error_page;
use super::form_key::{FIELD, TAPS, is_key};
use super::kept::{self, Typed};
use super::link::{LinkKey, Secret, hex};
use super::moved;
use crate::db::Db;
use crate::db::once::Form;
use crate::error::{Error, SentBefore};
use anyhow::anyhow;
use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use futures_util::FutureExt;
use std::collections::{HashMap, VecDeque};
use std::fmt::Write;
use std::panic::AssertUnwindSafe;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::OwnedMutexGuard;
use tracing::Instrument;

/// How such a form is marked.
const IS_TAPPED: &str = "data-taps";

/// Responses to this many forms are kept in memory.
const ANSWERS: usize = 1_024;
/// A page longer than this is not kept.
const LONGEST: usize = 64 * 1024;

/// Responses to the latest forms. After a restart they are gone, and a form that is sent
/// again only learns that it is saved.
#[derive(Debug, Default)]
pub struct Answers(Mutex<Newest>);

#[derive(Debug, Default)]
struct Newest {
    by_key: HashMap<String, Slot>,
    order: VecDeque<String>,
}

/// Locked by the one that answers the form.
type Slot = Arc<tokio::sync::Mutex<Option<Answer>>>;

#[derive(Debug, Clone)]
struct Answer {
    status: StatusCode,
    headers: Vec<(header::HeaderName, HeaderValue)>,
    body: Bytes,
}

impl Answers {
    fn slot(&self, key: &str) -> Slot {
        let mut newest = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(slot) = newest.by_key.get(key) {
            return Arc::clone(slot);
        }
        if newest.order.len() == ANSWERS
            && let Some(oldest) = newest.order.pop_front()
        {
            newest.by_key.remove(&oldest);
        }
        let slot = Slot::default();
        newest.order.push_back(key.to_owned());
        newest.by_key.insert(key.to_owned(), Arc::clone(&slot));
        slot
    }

    /// Drops it: nothing was saved for the form.
    fn forget(&self, key: &str) {
        let mut newest = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        newest.by_key.remove(key);
        newest.order.retain(|known| known != key);
    }
}

impl Answer {
    /// What to send again: the page, or the redirect with its sentence.
    async fn of(response: Response) -> (Option<Self>, Response) {
        let (parts, body) = response.into_parts();
        let Ok(body) = to_bytes(body, usize::MAX).await else {
            return (None, StatusCode::INTERNAL_SERVER_ERROR.into_response());
        };
        let said = [header::CONTENT_TYPE, header::LOCATION, header::SET_COOKIE];
        let headers = parts.headers.iter().filter(|(name, _)| said.contains(name));
        let headers = headers.map(|(name, value)| (name.clone(), value.clone())).collect();
        let answer = (body.len() <= LONGEST).then(|| Self { status: parts.status, headers, body: body.clone() });
        (answer, Response::from_parts(parts, Body::from(body)))
    }

    fn again(&self) -> Response {
        let mut response = (self.status, Body::from(self.body.clone())).into_response();
        for (name, value) in &self.headers {
            response.headers_mut().append(name, value.clone());
        }
        response
    }
}

/// What the layer needs from the program.
#[derive(Clone)]
pub struct Once {
    pub db: Db,
    pub answers: Arc<Answers>,
    pub key: LinkKey,
    /// The number of the account that sends the form.
    pub who: fn(&Request) -> i64,
}

/// The key of a form, and the right to answer it.
type Turn = (String, OwnedMutexGuard<Option<Answer>>);

/// A form on its way to its handler.
#[derive(Clone)]
pub struct Sent {
    once: Once,
    form: Arc<Form>,
    turn: Arc<Mutex<Option<Turn>>>,
    who: i64,
    action: String,
    has_files: bool,
}

impl Sent {
    fn new(once: &Once, request: &Request) -> Self {
        Self {
            once: once.clone(),
            form: Arc::default(),
            turn: Arc::default(),
            who: (once.who)(request),
            action: request.uri().to_string(),
            has_files: !kept::is_form(request.headers()),
        }
    }

    /// Called once all fields are known and before anything is done with them.
    ///
    /// # Errors
    /// The response, if the form was already sent.
    pub async fn read(&self, fields: &[(String, String)]) -> Result<(), Response> {
        let sent = fields.iter().find(|(name, _)| is_key(name));
        let Some((name, key)) = sent.filter(|(_, key)| Secret::read(key).is_some() && !kept::holds_secret(fields))
        else {
            return Ok(());
        };
        let digest = self.digest(&self.action, fields);
        let earlier = self.earlier(fields);
        let key = if name == TAPS { hex(&digest) } else { key.clone() };
        let turn = self.once.answers.slot(&key).lock_owned().await;
        for tap in earlier.iter().filter(|_| name == TAPS) {
            if self.once.db.digest_of_form(&hex(tap)).await.map_err(IntoResponse::into_response)?.is_some() {
                return Err(saved_already());
            }
        }
        match self.once.db.digest_of_form(&key).await.map_err(IntoResponse::into_response)? {
            Some(known) if known == digest || earlier.contains(&known) => {
                Err(turn.as_ref().map_or_else(saved_already, Answer::again))
            }
            Some(_) => Err(kept::other(self.action.clone(), self.has_files, fields)),
            None => {
                self.form.is(key.clone(), digest);
                *self.turn.lock().unwrap_or_else(PoisonError::into_inner) = Some((key, turn));
                Ok(())
            }
        }
    }

    fn digest(&self, action: &str, fields: &[(String, String)]) -> Vec<u8> {
        let who = self.who.to_string();
        let fields = fields.iter().flat_map(|(name, value)| [name.as_str(), value]);
        self.once.key.digest([who.as_str(), action].into_iter().chain(fields))
    }

    /// The digests that an earlier version saved for the same form, if its address was
    /// another one then.
    fn earlier(&self, fields: &[(String, String)]) -> Vec<Vec<u8>> {
        let path = self.action.split('?').next().unwrap_or_default();
        let query = &self.action[path.len()..];
        moved::old_addresses(path).into_iter().map(|old| self.digest(&(old + query), fields)).collect()
    }

    async fn answered(self, response: Response, fields: Vec<(String, String)>) -> Response {
        if let Some(before) = response.extensions().get::<SentBefore>() {
            // The first request is gone, and its write came just before this one's.
            let can_be_sent = !before.is_same && !kept::is_bare(&fields);
            return if can_be_sent { kept::other(self.action, self.has_files, &fields) } else { saved_already() };
        }
        let turn = self.turn.lock().unwrap_or_else(PoisonError::into_inner).take();
        match turn {
            Some((_, mut turn)) if self.form.is_kept() && !response.status().is_server_error() => {
                let (answer, response) = Answer::of(response).await;
                *turn = answer;
                response
            }
            Some((key, _)) => {
                self.once.answers.forget(&key);
                response
            }
            None => response,
        }
    }
}

/// Once the form's write is saved, no page may say that nothing was changed, whatever went
/// wrong after it.
fn saved_or(response: Response, form: &Form) -> Response {
    if !(form.is_kept() && response.status().is_server_error()) {
        return response;
    }
    let advice = "What you sent is saved, but the next page could not be shown. Open the page again to see it. If \
                  that fails, too, tell the person who runs Burnday for you.";
    error_page(StatusCode::OK, "This is saved", advice)
}

fn saved_already() -> Response {
    let advice = "You already sent this form. Open the page again to see what was saved.";
    error_page(StatusCode::OK, "This is already saved", advice)
}

/// Lets a form through once. For a form with files, the code that reads it says what it
/// holds.
pub async fn once(State(once): State<Once>, mut request: Request, next: Next) -> Response {
    if request.method() != Method::POST {
        return next.run(request).await;
    }
    let sent = Sent::new(&once, &request);
    let form = Arc::clone(&sent.form);
    if sent.has_files {
        request.extensions_mut().insert(sent.clone());
        let typed = Typed::of(&request);
        let response = answer_to(&form, request, next).await;
        return saved_or(sent.answered(response, typed.all()).await, &form);
    }
    let (parts, body) = request.into_parts();
    let Ok(body) = to_bytes(body, usize::MAX).await else {
        return StatusCode::PAYLOAD_TOO_LARGE.into_response();
    };
    let fields: Vec<(String, String)> = url::form_urlencoded::parse(&body).into_owned().collect();
    if let Err(answer) = sent.read(&fields).await {
        return answer;
    }
    let request = Request::from_parts(parts, Body::from(body));
    // A second click makes the browser drop the first request. Finish it anyway, or there
    // would be no response to send again.
    let answering = async move {
        let response = answer_to(&sent.form, request, next).await;
        sent.answered(response, fields).await
    };
    let answered = tokio::spawn(answering.in_current_span()).await;
    saved_or(answered.unwrap_or_else(|error| Error::Internal(error.into()).into_response()), &form)
}

/// The same care for forms without a key, such as those with a password: only what is said
/// after a failure depends on what was saved.
pub async fn saved(request: Request, next: Next) -> Response {
    if request.method() != Method::POST {
        return next.run(request).await;
    }
    let form = Arc::default();
    let response = answer_to(&form, request, next).await;
    saved_or(response, &form)
}

async fn answer_to(form: &Arc<Form>, request: Request, next: Next) -> Response {
    let answer = AssertUnwindSafe(Arc::clone(form).answer(next.run(request)));
    answer.catch_unwind().await.unwrap_or_else(|_| Error::Internal(anyhow!("a handler panicked")).into_response())
}

/// Gives each form on a page its key. It happens here so that no page can forget it.
pub async fn keys(request: Request, next: Next) -> Response {
    let response = next.run(request).await;
    let is_page = response.headers().get(header::CONTENT_TYPE).is_some_and(|k| k.as_bytes().starts_with(b"text/html"));
    if !is_page {
        return response;
    }
    let (mut parts, body) = response.into_parts();
    let Ok(body) = to_bytes(body, usize::MAX).await else {
        return StatusCode::INTERNAL_SERVER_ERROR.into_response();
    };
    let body = match std::str::from_utf8(&body) {
        Ok(html) => {
            parts.headers.remove(header::CONTENT_LENGTH);
            Body::from(with_keys(html))
        }
        Err(_) => Body::from(body),
    };
    Response::from_parts(parts, body)
}

/// In our pages no tag holds a ">" before its end, since values are escaped.
fn with_keys(html: &str) -> String {
    let mut keyed = String::with_capacity(html.len() + html.len() / 8);
    let mut rest = html;
    while let Some(start) = rest.find("<form") {
        let Some(length) = rest[start..].find('>') else { break };
        let (before, after) = rest.split_at(start + length + 1);
        keyed.push_str(before);
        let tag = &before[start..];
        if tag.contains(r#"method="post""#) && !tag.contains("data-keyed") {
            let field = if tag.contains(IS_TAPPED) { TAPS } else { FIELD };
            let key = Secret::new();
            let key = key.reveal();
            let _ = write!(keyed, r#"<input type="hidden" name="{field}" value="{key}">"#);
        }
        rest = after;
    }
    keyed.push_str(rest);
    keyed
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_form_that_changes_something_gets_a_key_of_its_own() {
        let page = r#"<form method="post" action="/a" class="x"><button></button></form><form action="/b"></form>
                      <form method="post" action="/c" data-keyed></form><p>&#60;form method="post"&#62;</p>
                      <form class="x" method="post"></form><form method="post" data-taps></form>"#;
        let keyed = with_keys(page);
        let keys: Vec<&str> = keyed.split(r#"name="form-key" value=""#).skip(1).map(|rest| &rest[..43]).collect();
        assert_eq!(keys.len(), 2, "{keyed}");
        assert!(keys[0] != keys[1] && keys.iter().all(|key| Secret::read(key).is_some()));
        assert!(
            keyed.contains(r#"action="/a" class="x"><input"#)
                && keyed.contains(r#"data-taps><input type="hidden" name="tap-key""#)
        );
        let taps = keyed.split(r#"name="tap-key" value=""#).skip(1).map(|rest| &rest[..43]);
        let mut without = keyed.clone();
        for key in taps {
            without = without.replace(&format!(r#"<input type="hidden" name="tap-key" value="{key}">"#), "");
        }
        for key in keys {
            without = without.replace(&format!(r#"<input type="hidden" name="form-key" value="{key}">"#), "");
        }
        assert_eq!(without, page, "nothing else is touched");
    }

    #[test]
    fn the_oldest_answer_is_forgotten() {
        let answers = Answers::default();
        let first = answers.slot("0");
        for number in 1..=ANSWERS {
            answers.slot(&number.to_string());
        }
        assert!(!Arc::ptr_eq(&first, &answers.slot("0")));
        assert!(answers.0.lock().unwrap().by_key.len() <= ANSWERS);
    }
}
