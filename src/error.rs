//! What can keep a request from its answer, and the page that says so.

use crate::db::Trouble;
use crate::web::page::error_page;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};

pub type Result<T, E = Error> = std::result::Result<T, E>;

/// The seven answers besides the one that was asked for. A mistake in a form or
/// a refusal by a rule is none of them: those are ordinary pages.
#[derive(Debug)]
pub enum Error {
    NotFound,
    /// Sign in first, then come back to this path.
    SignIn {
        next: String,
    },
    /// The reason is shown.
    Forbidden(&'static str),
    /// The reason is shown.
    BadRequest(String),
    /// The form was sent before, and kept.
    SentBefore {
        /// Was the same in it?
        is_same: bool,
    },
    /// So many want the same just now that it isn't begun at all.
    Busy,
    Internal(anyhow::Error),
}

impl Error {
    /// For whoever has no page to see it on.
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
                "There is nothing at this address",
                "It may have been removed, or the address may be mistyped. Go back, or start again from the countdown.",
            ),
            Self::SignIn { next } => {
                Redirect::to(&format!("/sign-in?next={}", crate::web::page::query_escape(&next))).into_response()
            }
            Self::Forbidden(reason) => {
                error_page(StatusCode::FORBIDDEN, "You don't have permission to do this", reason)
            }
            Self::BadRequest(reason) => error_page(StatusCode::BAD_REQUEST, "That can't be read", &reason),
            Self::SentBefore { is_same } => {
                let advice = "You sent this form before. Open the page again to see what is saved.";
                let mut response = error_page(StatusCode::CONFLICT, "This is saved already", advice);
                response.extensions_mut().insert(SentBefore { is_same });
                response
            }
            Self::Busy => {
                let advice = "Many people want this at once. Nothing was changed. Wait a few seconds, then try again.";
                let mut response = error_page(StatusCode::SERVICE_UNAVAILABLE, "Burnday is busy just now", advice);
                response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from_static("5"));
                response
            }
            Self::Internal(error) if Trouble::of(error.as_ref()).is_some() => {
                let trouble = Trouble::of(error.as_ref()).unwrap_or(Trouble::Busy);
                tracing::warn!(%trouble, "a change could not be kept");
                unavailable(trouble)
            }
            Self::Internal(error) => {
                let id = crate::web::link::short_id();
                tracing::error!(id, error = format!("{error:#}"), "a request failed");
                error_page(
                    StatusCode::INTERNAL_SERVER_ERROR,
                    "Something went wrong on our side",
                    &format!(
                        "Nothing was changed. Go back and try once more; if it fails again, tell whoever runs this \
                         program and give them the number {id}, under which the cause is logged."
                    ),
                )
            }
        }
    }
}

/// Marks the answer to a form that was sent before, for [`once`](crate::web::once).
#[derive(Debug, Clone, Copy)]
pub struct SentBefore {
    pub is_same: bool,
}

/// Nothing can be kept for now. [`kept`](crate::web::kept) adds what was typed.
fn unavailable(trouble: Trouble) -> Response {
    let (title, advice) = trouble.says();
    let mut response = error_page(StatusCode::SERVICE_UNAVAILABLE, title, advice);
    let seconds = if trouble == Trouble::Full { "60" } else { "5" };
    response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from_static(seconds));
    response.extensions_mut().insert(trouble);
    response
}
