//! Numbers in an address.

use crate::error::Error;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use serde::de::DeserializeOwned;

/// What stands in the address; an address that can't be read is one where
/// nothing is.
#[derive(Debug)]
pub struct Path<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned + Send> FromRequestParts<S> for Path<T> {
    type Rejection = Error;

    #[expect(clippy::disallowed_types, reason = "this is what stands before it")]
    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, Error> {
        let path = axum::extract::Path::from_request_parts(parts, state).await;
        path.map(|axum::extract::Path(value)| Self(value)).map_err(|_| Error::NotFound)
    }
}
