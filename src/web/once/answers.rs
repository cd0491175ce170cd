//! The responses to the latest forms, to send again.

use axum::body::{Body, Bytes, to_bytes};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use std::collections::{HashMap, VecDeque};
use std::sync::{Arc, Mutex, PoisonError};

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
pub(super) type Slot = Arc<tokio::sync::Mutex<Option<Answer>>>;

#[derive(Debug, Clone)]
pub(super) struct Answer {
    status: StatusCode,
    headers: Vec<(header::HeaderName, HeaderValue)>,
    body: Bytes,
}

impl Answers {
    pub(super) fn slot(&self, key: &str) -> Slot {
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
    pub(super) fn forget(&self, key: &str) {
        let mut newest = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        newest.by_key.remove(key);
        newest.order.retain(|known| known != key);
    }
}

impl Answer {
    /// What to send again: the page, or the redirect with its sentence.
    pub(super) async fn of(response: Response) -> (Option<Self>, Response) {
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

    pub(super) fn again(&self) -> Response {
        let mut response = (self.status, Body::from(self.body.clone())).into_response();
        for (name, value) in &self.headers {
            response.headers_mut().append(name, value.clone());
        }
        response
    }
}

#[cfg(test)]
mod tests {
    use super::*;

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
