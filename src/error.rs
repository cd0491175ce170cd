//! What can go wrong with a request, and the page that says so.

use crate::db::Trouble;
use crate::web::error_page::error_page;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};

pub type Result<T, E = Error> = std::result::Result<T, E>;

/// The ways a request can fail. A mistake in a form and a rule that says no aren't
/// among them: those get ordinary pages.
#[derive(Debug)]
pub enum Error {
    NotFound,
    /// Sign in first, then come back to this path.
    SignIn {
        next: String,
    },
    /// With the reason to show.
    Forbidden(&'static str),
    /// With the reason to show.
    BadRequest(String),
    /// This form was already sent and saved.
    SentBefore {
        /// Did it hold the same values then?
        is_same: bool,
    },
    /// Too many requests for the same work right now, so this one wasn't started.
    Busy,
    Internal(anyhow::Error),
}

impl Error {
    /// The cause, for callers that have no page to show it on.
    #[must_use]
    pub fn cause(self) -> anyhow::Error {
        match self {
            Self::Internal(cause) => cause,
            other => anyhow::anyhow!("{other:?}"),
        }
    }
}

impl<E: Into<anyhow::Error>> From<E> for Error {
    fn from(error: E) -> Self {
        Self::Internal(error.into())
    }
}

impl IntoResponse for Error {
    fn into_response(self) -> Response {
        match self {
            Self::NotFound => error_page(
                StatusCode::NOT_FOUND,
                "This page doesn't exist",
                "It may have been removed, or the address may have a typo. Go back, or start from the countdown.",
            ),
            Self::SignIn { next } => {
                Redirect::to(&format!("/sign-in?next={}", crate::web::query::query_escape(&next))).into_response()
            }
            Self::Forbidden(reason) => {
                error_page(StatusCode::FORBIDDEN, "You don't have permission to do this", reason)
            }
            Self::BadRequest(reason) => error_page(StatusCode::BAD_REQUEST, "That didn't work", &reason),
            Self::SentBefore { is_same } => {
                let advice = "You already sent this form. Open the page again to see what was saved.";
                let mut response = error_page(StatusCode::CONFLICT, "This is already saved", advice);
                response.extensions_mut().insert(SentBefore { is_same });
                response
            }
            Self::Busy => {
                let advice =
                    "Too many people are doing this at once. Nothing was changed. Wait a few seconds, then try again.";
                let mut response = error_page(StatusCode::SERVICE_UNAVAILABLE, "Burnday is busy right now", advice);
                response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from_static("5"));
                response
            }
            Self::Internal(error) if Trouble::of(error.as_ref()).is_some() => {
                let trouble = Trouble::of(error.as_ref()).unwrap_or(Trouble::Busy);
                tracing::warn!(%trouble, "a change could not be saved");
                unavailable(trouble)
            }
            Self::Internal(error) => {
                let id = crate::web::link::short_id();
                tracing::error!(id, error = format!("{error:#}"), "a request failed");
                error_page(
                    StatusCode::INTERNAL_SERVER_ERROR,
                    "Something went wrong on our side",
                    &format!(
                        "Nothing was changed. Go back and try again. If it fails again, tell the person who runs Burnday \
                         for you and give them this number: {id}. The log has the cause under that number."
                    ),
                )
            }
        }
    }
}

/// Marks the response to a form that was already sent, for [`once`](crate::web::once).
#[derive(Debug, Clone, Copy)]
pub struct SentBefore {
    pub is_same: bool,
}

/// Nothing can be saved for now. [`kept`](crate::web::kept) adds what the person typed.
fn unavailable(trouble: Trouble) -> Response {
    let (title, advice) = trouble.says();
    let mut response = error_page(StatusCode::SERVICE_UNAVAILABLE, title, advice);
    let seconds = if trouble == Trouble::Full { "60" } else { "5" };
    response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from_static(seconds));
    response.extensions_mut().insert(trouble);
    response
}
