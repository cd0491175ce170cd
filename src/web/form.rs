//! Forms: reading what was sent, and saying beside each field what is wrong with it.

mod days;
mod mistakes;
mod numbers;
mod reach;
#[cfg(test)]
mod tests;
mod texts;
mod times;

use crate::error::Error;
use axum::body::{Body, Bytes};
use axum::extract::{FromRequest, Request};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;

pub use days::{YEARS, day};
pub use mistakes::Mistakes;
pub use numbers::number;
pub use reach::{mail, phone};
pub use texts::{line, name, optional_line, optional_name, paragraph};
pub use times::time_of_day;

/// The fields of a form. A body that isn't a form gets a page in response.
#[derive(Debug)]
pub struct Form<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Form<T> {
    type Rejection = Response;

    #[expect(clippy::disallowed_types, reason = "this wraps it")]
    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        match axum_extra::extract::Form::<T>::from_request(request, state).await {
            Ok(axum_extra::extract::Form(form)) => Ok(Self(form)),
            Err(rejection) => {
                let answer = rejection.into_response();
                if answer.status() == StatusCode::PAYLOAD_TOO_LARGE {
                    return Err(answer);
                }
                Err(in_pieces().into_response())
            }
        }
    }
}

/// The answer to a form that lacks a part of itself.
#[must_use]
pub fn in_pieces() -> Error {
    let reason =
        "The form didn't arrive in one piece. Nothing was changed. Go back, reload the page, and send it again.";
    Error::BadRequest(reason.to_owned())
}

/// The fields of one form as two sets: those of the thing itself, and those that help fill
/// it in.
#[derive(Debug)]
pub struct Both<A, B>(pub A, pub B);

impl<S: Send + Sync, A: DeserializeOwned + Send, B: DeserializeOwned + Send> FromRequest<S> for Both<A, B> {
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        let (parts, body) = request.into_parts();
        let body = Bytes::from_request(Request::from_parts(parts.clone(), body), state).await;
        let body = body.map_err(IntoResponse::into_response)?;
        let again = || Request::from_parts(parts.clone(), Body::from(body.clone()));
        let (Form(one), Form(other)) =
            (Form::<A>::from_request(again(), state).await?, Form::<B>::from_request(again(), state).await?);
        Ok(Self(one, other))
    }
}

/// The same with three sets.
#[derive(Debug)]
pub struct Three<A, B, C>(pub A, pub B, pub C);

impl<S, A, B, C> FromRequest<S> for Three<A, B, C>
where
    S: Send + Sync,
    A: DeserializeOwned + Send,
    B: DeserializeOwned + Send,
    C: DeserializeOwned + Send,
{
    type Rejection = Response;

    async fn from_request(request: Request, state: &S) -> Result<Self, Response> {
        let (parts, body) = request.into_parts();
        let body = Bytes::from_request(Request::from_parts(parts.clone(), body), state).await;
        let body = body.map_err(IntoResponse::into_response)?;
        let again = || Request::from_parts(parts.clone(), Body::from(body.clone()));
        let Form(one) = Form::<A>::from_request(again(), state).await?;
        let Both(two, three) = Both::<B, C>::from_request(again(), state).await?;
        Ok(Self(one, two, three))
    }
}
