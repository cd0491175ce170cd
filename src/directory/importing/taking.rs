//! Taking a file that someone sends.

use super::page::address;
use crate::accounts::PeopleKeeper;
use crate::directory::files::{self, Sent};
use crate::directory::store;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::form;
use crate::web::form_key;
use crate::web::link::hex;
use crate::web::once::Sent as SentForm;
use crate::web::routes::post;
use axum::extract::multipart::{Field, MultipartRejection};
use axum::extract::{Multipart, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Router};
use sha2::{Digest, Sha256};

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/import/file", post(take))
}

/// A file that arrived.
struct Upload {
    /// Its name in the data folder.
    key: String,
    name: String,
    /// The key of the form it came with.
    form_key: String,
}

async fn take(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    sent: Option<Extension<SentForm>>,
    parts: Result<Multipart, MultipartRejection>,
) -> Result<Response> {
    let now = app.clock.now();
    let upload = match receive(&app, parts.map_err(|_| broken())?).await? {
        Ok(upload) => upload,
        Err(too_large) => return Ok(too_large),
    };
    if let Some(Extension(sent)) = sent
        && let Some(answer) = answered_before(&app, &sent, &upload).await?
    {
        return Ok(answer);
    }
    let (account, Upload { key, name, .. }) = (visit.user.account_id, upload);
    let kept = app.db.write(move |tx| {
        Box::pin(async move {
            store::drop_waiting(tx, now - files::WAITS).await?;
            store::keep_file(tx, account, &key, &name, now).await
        })
    });
    Ok(Redirect::to(&address(kept.await?)).into_response())
}

fn broken() -> Error {
    Error::BadRequest("No file arrived. Go back and choose one.".to_owned())
}

/// Writes the file to the data folder, or says that it is too large.
async fn receive(app: &App, mut parts: Multipart) -> Result<Result<Upload, Response>> {
    let too_large = || Ok(Err(StatusCode::PAYLOAD_TOO_LARGE.into_response()));
    let mut form_key = String::new();
    loop {
        match parts.next_field().await {
            Ok(Some(field)) if field.name() == Some("file") => {
                let name = file_name(&field);
                return match files::take(app, field).await? {
                    Sent::Waits(key) => Ok(Ok(Upload { key, name, form_key })),
                    Sent::TooLarge => too_large(),
                    Sent::Broken => Err(broken()),
                };
            }
            Ok(Some(field)) if field.name() == Some(form_key::FIELD) => {
                form_key = field.text().await.map_err(|_| broken())?;
            }
            Ok(Some(_)) => {}
            Err(error) if files::is_too_large(&error) => return too_large(),
            Ok(None) | Err(_) => return Err(broken()),
        }
    }
}

fn file_name(field: &Field<'_>) -> String {
    let name: String = field.file_name().unwrap_or_default().chars().take(100).collect();
    form::line(&name, 100).unwrap_or_else(|_| "File without a name".to_owned())
}

/// The answer the form got if it was sent before. The file isn't needed again then.
async fn answered_before(app: &App, sent: &SentForm, upload: &Upload) -> Result<Option<Response>> {
    let content = files::read(app, &upload.key).await.unwrap_or_default();
    let fields = [
        (form_key::FIELD, upload.form_key.clone()),
        ("name", upload.name.clone()),
        ("file", hex(&Sha256::digest(&content))),
    ];
    let Err(answer) = sent.read(&fields.map(|(name, value)| (name.to_owned(), value))).await else { return Ok(None) };
    files::remove(app, &upload.key).await;
    if answer.status() == StatusCode::CONFLICT {
        let reason = "You already sent a different file with this form. Reload the page and choose this file again.";
        return Err(Error::BadRequest(reason.to_owned()));
    }
    Ok(Some(answer))
}
