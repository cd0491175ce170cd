//! Who may call a handler: its first extractor says so.

use super::User;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash;
use anyhow::anyhow;
use axum::extract::FromRequestParts;
use axum::http::request::Parts;

/// A request from someone who is signed in.
#[derive(Debug, Clone)]
pub struct Visit {
    pub user: User,
    /// The address of the page, without its query.
    pub path: String,
    /// What was just done, to show once.
    pub said: Option<flash::Said>,
}

/// Anyone with an account.
#[derive(Debug)]
pub struct SignedIn(pub Visit);

/// Anyone who may change something: not a reader.
#[derive(Debug)]
pub struct Worker(pub Visit);

/// Anyone who may see how to reach people.
#[derive(Debug)]
pub struct PeopleReader(pub Visit);

/// Anyone who may change the contact records.
#[derive(Debug)]
pub struct PeopleKeeper(pub Visit);

/// The education officer.
#[derive(Debug)]
pub struct Officer(pub Visit);

const READERS: &str = "A reader can look but not change anything. Ask the education officer to make this change.";
const NOT_SHOWN: &str = "Only the officers and the crew lead can see contact details. Ask one of them, or go back.";
const NOT_KEPT: &str = "Only the education officer and the information officer can change contact records. Ask one of them, \
                        or go back.";
const NOT_OFFICER: &str = "Only the education officer can do this. Ask them, or go back.";

/// The visit, if this user may make it; otherwise the refusal.
fn allowed(parts: &Parts, may: impl Fn(&User) -> bool, refusal: &'static str) -> Result<Visit> {
    let visit = parts.extensions.get::<Visit>().cloned();
    let visit = visit.ok_or_else(|| Error::Internal(anyhow!("this route is not behind the sign-in")))?;
    if may(&visit.user) { Ok(visit) } else { Err(Error::Forbidden(refusal)) }
}

impl FromRequestParts<App> for SignedIn {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &App) -> Result<Self, Error> {
        allowed(parts, |_| true, "").map(Self)
    }
}

impl FromRequestParts<App> for Worker {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &App) -> Result<Self, Error> {
        allowed(parts, User::works, READERS).map(Self)
    }
}

impl FromRequestParts<App> for PeopleReader {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &App) -> Result<Self, Error> {
        allowed(parts, User::sees_people, NOT_SHOWN).map(Self)
    }
}

impl FromRequestParts<App> for PeopleKeeper {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &App) -> Result<Self, Error> {
        allowed(parts, User::keeps_people, NOT_KEPT).map(Self)
    }
}

impl FromRequestParts<App> for Officer {
    type Rejection = Error;

    async fn from_request_parts(parts: &mut Parts, _: &App) -> Result<Self, Error> {
        allowed(parts, User::is_officer, NOT_OFFICER).map(Self)
    }
}
