//! Who changes something about the crew.

use crate::accounts::{Role, SignedIn, User, Visit};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;

/// The education officer, the safety officer or the crew lead.
#[derive(Debug)]
pub struct CrewKeeper(pub Visit);

/// The education officer or the safety officer: who looks at certificates and
/// lets a rule go.
#[derive(Debug)]
pub(super) struct Checker(pub Visit);

pub(super) fn keeps_crew(user: &User) -> bool {
    checks(user) || user.role == Role::CrewLead
}

pub(super) fn checks(user: &User) -> bool {
    matches!(user.role, Role::EducationOfficer | Role::SafetyOfficer)
}

impl FromRequestParts<App> for CrewKeeper {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Error> {
        let SignedIn(visit) = SignedIn::from_request_parts(parts, app).await?;
        if !keeps_crew(&visit.user) {
            return Err(Error::Forbidden(
                "Only the education officer, the safety officer and the crew lead change the crew. Ask one of them, \
                 or go back.",
            ));
        }
        Ok(Self(visit))
    }
}

impl FromRequestParts<App> for Checker {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Error> {
        let SignedIn(visit) = SignedIn::from_request_parts(parts, app).await?;
        if !checks(&visit.user) {
            return Err(Error::Forbidden(
                "Only the safety officer and the education officer check qualifications. Ask one of them, or go back.",
            ));
        }
        Ok(Self(visit))
    }
}

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}
