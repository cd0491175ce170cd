//! Numbers in a web address.

use crate::error::Error;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use serde::de::DeserializeOwned;

/// The parts of an address. An address that can't be read is a page that doesn't exist.
#[derive(Debug)]
pub struct Path<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned + Send> FromRequestParts<S> for Path<T> {
    type Rejection = Error;

    #[expect(clippy::disallowed_types, reason = "this wraps it")]
    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Error> {
        let path = axum::extract::Path::from_request_parts(parts, state).await;
        path.map(|axum::extract::Path(value)| Self(value)).map_err(|_| Error::NotFound)
    }
}
