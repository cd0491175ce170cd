//! Forms with photos in them.

use super::picture::too_large;
use super::taking::{Incoming, again, take_in};
use super::{MOST_BYTES, Taken};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::form::in_pieces;
use crate::web::form_key;
use crate::web::kept::Typed;
use crate::web::once::Sent;
use axum::extract::multipart::{Field, Multipart, MultipartError};
use axum::extract::{FromRequest, Request};
use axum::response::{IntoResponse, Response};
use serde::de::DeserializeOwned;
use std::collections::BTreeMap;

/// The most photos in a form,
const MOST_PHOTOS: usize = 4;
/// the most bytes in its other fields together,
const MOST_TEXT: usize = 256 * 1024;
/// and the most bytes in the whole request.
pub const MOST_SENT: usize = MOST_PHOTOS * MOST_BYTES + 2 * MOST_TEXT;

/// The ending of the field that holds the digest of a photo sent earlier; the beginning is
/// the photo's own field.
const KEPT: &str = "_kept";

/// A form with photos: its fields, and each photo or why it was refused.
#[derive(Debug)]
pub struct Posted<T>(pub T, pub Pictures);

/// The photos of a form, or why they were refused, by field.
#[derive(Debug, Default, Clone)]
pub struct Pictures(BTreeMap<String, Result<Taken, String>>);

impl Pictures {
    /// The photo of a field, or why it was refused. `None` if no file was chosen.
    #[must_use]
    pub fn of(&self, field: &str) -> Option<&Result<Taken, String>> {
        self.0.get(field)
    }

    /// The digest of a photo that was accepted, for the form to send again; empty if there is
    /// none.
    #[must_use]
    pub fn kept(&self, field: &str) -> &str {
        self.of(field).and_then(|taken| taken.as_ref().ok()).map_or("", |taken| &taken.digest)
    }

    /// Why a photo was refused; empty if it wasn't.
    #[must_use]
    pub fn mistake(&self, field: &str) -> &str {
        self.of(field).and_then(|taken| taken.as_ref().err()).map_or("", String::as_str)
    }
}

impl<T: DeserializeOwned + Send> FromRequest<App> for Posted<T> {
    type Rejection = Response;

    async fn from_request(request: Request, app: &App) -> Result<Self, Response> {
        let (typed, sent) = (Typed::of(&request), request.extensions().get::<Sent>().cloned());
        let multipart = Multipart::from_request(request, app).await.map_err(|_| in_pieces().into_response())?;
        let posted = read(app, multipart, &typed).await.map_err(IntoResponse::into_response)?;
        if let Some(sent) = sent {
            sent.read(&typed.all()).await?;
        }
        Ok(posted)
    }
}

async fn read<T: DeserializeOwned>(app: &App, mut form: Multipart, typed: &Typed) -> Result<Posted<T>> {
    let mut text = Vec::new();
    // The rest of the form is read even if a photo can't be saved.
    let mut failed = None;
    let (mut pictures, mut kept) = (BTreeMap::new(), BTreeMap::new());
    let mut length = 0;
    while let Some(field) = form.next_field().await.map_err(|error| refused(&error))? {
        let name = field.name().unwrap_or_default().to_owned();
        if field.file_name().is_some() {
            if pictures.len() == MOST_PHOTOS {
                return Err(in_pieces());
            }
            match picture(app, field).await {
                Ok(Some(taken)) => {
                    if let Ok(taken) = &taken {
                        typed.note(&format!("{name}{KEPT}"), &taken.digest);
                    }
                    pictures.insert(name, taken);
                }
                Ok(None) => {}
                Err(error @ Error::Internal(_)) => failed = Some(error),
                Err(error) => return Err(error),
            }
            continue;
        }
        let value = field.text().await.map_err(|error| refused(&error))?;
        length += name.len() + value.len();
        if length > MOST_TEXT {
            return Err(in_pieces());
        }
        typed.note(&name, &value);
        match name.strip_suffix(KEPT) {
            Some(name) => drop(kept.insert(name.to_owned(), value)),
            None if form_key::is_key(&name) => {}
            None => text.push((name, value)),
        }
    }
    if let Some(error) = failed {
        return Err(error);
    }
    for (name, digest) in kept {
        if !pictures.contains_key(&name)
            && let Some(taken) = again(app, &digest).await
        {
            pictures.insert(name, Ok(taken));
        }
    }
    let text = url::form_urlencoded::Serializer::new(String::new()).extend_pairs(text).finish();
    let fields = serde_html_form::from_str(&text).map_err(|_| in_pieces())?;
    Ok(Posted(fields, Pictures(pictures)))
}

/// `None` if no file was chosen: browsers send an empty one then.
async fn picture(app: &App, mut field: Field<'_>) -> Result<Option<Result<Taken, String>>> {
    let mut incoming = Incoming::default();
    let mut refused_for = None;
    let has_name = field.file_name().is_some_and(|name| !name.is_empty());
    // Always read to its end, because more fields may follow.
    while let Some(chunk) = field.chunk().await.map_err(|error| refused(&error))? {
        if refused_for.is_some() {
            continue;
        }
        if incoming.bytes.len() + chunk.len() > MOST_BYTES {
            refused_for = Some(too_large());
        } else if !incoming.add(&chunk) {
            refused_for = Some("Many photos are coming in right now. Send this one again in a minute.".to_owned());
        }
        if refused_for.is_some() {
            incoming = Incoming::default();
        }
    }
    match (refused_for, has_name, incoming.bytes.is_empty()) {
        (Some(why), ..) => Ok(Some(Err(why))),
        (None, false, true) => Ok(None),
        (None, ..) => take_in(app, incoming).await.map(Some),
    }
}

fn refused(error: &MultipartError) -> Error {
    tracing::debug!(%error, "a form with photos arrived incomplete");
    in_pieces()
}
