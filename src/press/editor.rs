//! Who can change things in Press.

use crate::accounts::{SignedIn, Visit};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;

/// The education officer or the information officer.
#[derive(Debug)]
pub(super) struct PressEditor(pub Visit);

impl FromRequestParts<App> for PressEditor {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Error> {
        let SignedIn(visit) = SignedIn::from_request_parts(parts, app).await?;
        if !visit.user.keeps_people() {
            return Err(Error::Forbidden(
                "Only the education officer and the information officer can change things in Press. Ask one of them.",
            ));
        }
        Ok(Self(visit))
    }
}

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}
