//! What can keep a request from its answer, and the page that says so.

use crate::web::page::error_page;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};

pub type Result<T, E = Error> = std::result::Result<T, E>;

/// The five answers besides the one that was asked for. A mistake in a form or
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
            Self::Forbidden(reason) => error_page(StatusCode::FORBIDDEN, "This is not yours to do", reason),
            Self::BadRequest(reason) => error_page(StatusCode::BAD_REQUEST, "That can't be read", &reason),
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
