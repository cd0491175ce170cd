//! A form that is sent twice does its work once. Each form on a page has its own key, which
//! is saved with the form's write. Sent again, it gets the same response as the first time.
//! Sent with different values, it asks before saving those too.

mod answers;
mod keyed_pages;

use self::answers::Answer;
use super::error_page::error_page;
use super::form_key::{TAPS, is_key};
use super::kept::{self, Typed};
use super::link::{LinkKey, Secret, hex};
use super::moved;
use crate::db::Db;
use crate::db::once::Form;
use crate::error::{Error, SentBefore};
use anyhow::anyhow;
use axum::body::{Body, to_bytes};
use axum::extract::{Request, State};
use axum::http::{Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use futures_util::FutureExt;
use std::panic::AssertUnwindSafe;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::OwnedMutexGuard;
use tracing::Instrument;

pub use answers::Answers;
pub use keyed_pages::keys;

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
pub async fn once(State(once): State<Once>, request: Request, next: Next) -> Response {
    if request.method() != Method::POST {
        return next.run(request).await;
    }
    let sent = Sent::new(&once, &request);
    if sent.has_files { with_files(sent, request, next).await } else { with_fields(sent, request, next).await }
}

async fn with_files(sent: Sent, mut request: Request, next: Next) -> Response {
    let form = Arc::clone(&sent.form);
    request.extensions_mut().insert(sent.clone());
    let typed = Typed::of(&request);
    let response = answer_to(&form, request, next).await;
    saved_or(sent.answered(response, typed.all()).await, &form)
}

async fn with_fields(sent: Sent, request: Request, next: Next) -> Response {
    let form = Arc::clone(&sent.form);
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
