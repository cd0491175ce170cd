//! Who changes something about the crew.

use crate::accounts::{Account, Role, SignedIn, User, Visit};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;

/// The education officer, the safety officer, whoever commands, or the crew lead.
#[derive(Debug)]
pub struct CrewKeeper(pub Visit);

pub(super) fn keeps_crew(user: &User) -> bool {
    checks(user.role) || user.commands() || user.role == Role::CrewLead
}

fn checks(role: Role) -> bool {
    matches!(role, Role::EducationOfficer | Role::SafetyOfficer)
}

/// Says no to one who may not check what somebody is qualified in, nor override
/// a rule about them, and says who may. The education officer and the safety
/// officer do; about one of these two the other, the burn boss or the incident
/// commander; and nobody about themselves.
pub(super) fn may_decide(user: &User, about: i64, accounts: &[Account]) -> Result<(), &'static str> {
    let theirs = accounts.iter().find(|account| account.person_id == about && !account.disabled);
    let is_officer = theirs.is_some_and(|account| checks(account.role));
    if user.person_id != about && (checks(user.role) || (user.commands() && is_officer)) {
        return Ok(());
    }
    Err(match theirs.map(|account| account.role) {
        Some(Role::SafetyOfficer) => {
            "Somebody else decides about the safety officer: the education officer, the incident commander or the burn \
             boss. Ask one of them."
        }
        Some(Role::EducationOfficer) => {
            "Somebody else decides about the education officer: the safety officer, the incident commander or the burn \
             boss. Ask one of them."
        }
        _ => {
            "Only the safety officer and the education officer check qualifications and override a rule. Ask one of \
             them."
        }
    })
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

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}
