//! Photos, for people who are signed in.

use super::files::{Size, path};
use super::store;
use crate::accounts::SignedIn;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::path::Path;
use crate::web::routes::get;
use axum::Router;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};

/// The photos themselves.
pub fn router() -> Router<App> {
    Router::new().route("/photos/{id}", get(large)).route("/photos/{id}/small", get(small))
}

async fn large(State(app): State<App>, SignedIn(_): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    serve(&app, id, Size::Large).await
}

async fn small(State(app): State<App>, SignedIn(_): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    serve(&app, id, Size::Small).await
}

async fn serve(app: &App, id: i64, size: Size) -> Result<Response> {
    let digest = store::digest(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let bytes = tokio::fs::read(path(&app.config.data, &digest, size)).await.map_err(|error| {
        tracing::error!(%error, id, "the file of a photo can't be read");
        Error::NotFound
    })?;
    // A number always stands for the same picture.
    let headers =
        [(header::CONTENT_TYPE, "image/jpeg"), (header::CACHE_CONTROL, "private, max-age=31536000, immutable")];
    Ok((headers, bytes).into_response())
}
