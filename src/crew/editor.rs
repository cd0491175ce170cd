//! Who may change the crew.

use crate::accounts::{Account, Role, SignedIn, User, Visit};
use crate::error::{Error, Result};
use crate::state::App;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;

/// The education officer, the safety officer, the burn boss, the incident commander or
/// the crew lead.
#[derive(Debug)]
pub struct CrewEditor(pub Visit);

pub(super) fn keeps_crew(user: &User) -> bool {
    checks(user.role) || user.commands() || user.role == Role::CrewLead
}

fn checks(role: Role) -> bool {
    matches!(role, Role::EducationOfficer | Role::SafetyOfficer)
}

/// May this user check a person's qualifications and override rules about them? If not,
/// says who may. The education officer and the safety officer may. For one of those two,
/// the other one, the burn boss or the incident commander may. No one may for themselves.
pub(super) fn may_decide(user: &User, about: i64, accounts: &[Account]) -> Result<(), &'static str> {
    let theirs = accounts.iter().find(|account| account.person_id == about && !account.disabled);
    let is_officer = theirs.is_some_and(|account| checks(account.role));
    if user.person_id != about && (checks(user.role) || (user.commands() && is_officer)) {
        return Ok(());
    }
    Err(match theirs.map(|account| account.role) {
        Some(Role::SafetyOfficer) => {
            "Someone else must decide about the safety officer: the education officer, the incident commander or the \
             burn boss. Ask one of them."
        }
        Some(Role::EducationOfficer) => {
            "Someone else must decide about the education officer: the safety officer, the incident commander or the \
             burn boss. Ask one of them."
        }
        _ => {
            "Only the safety officer and the education officer can check qualifications and override rules. Ask one of \
             them."
        }
    })
}

impl FromRequestParts<App> for CrewEditor {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Result<Self, Error> {
        let SignedIn(visit) = SignedIn::from_request_parts(parts, app).await?;
        if !keeps_crew(&visit.user) {
            return Err(Error::Forbidden(
                "Only the education officer, the safety officer, the incident commander, the burn boss and the crew \
                 lead can change the crew. Ask one of them, or go back.",
            ));
        }
        Ok(Self(visit))
    }
}
