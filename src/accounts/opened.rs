//! Links that let someone in without a password, and the answer to one that doesn't.

use super::{Account, Department, Purpose, store};
use crate::error::Result;
use crate::state::App;
use crate::web::limits::Limit;
use crate::web::link::Secret;
use crate::web::page::show_as;
use askama::Template;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};

/// What a link opens.
pub(super) enum Opened {
    Yes(Secret, Option<Account>),
    No(Response),
}

/// Checks whether a link opens what it claims to.
pub(super) async fn opened(app: &App, client: &str, secret: &str, purpose: Purpose) -> Result<Opened> {
    if let Err(too_often) = app.limits.take(Limit::LinkAddress, client) {
        return Ok(Opened::No(too_often.into_response()));
    }
    let found = match Secret::read(secret) {
        Some(secret) => {
            store::link(app.db.read(), &secret, purpose, app.clock.now()).await?.map(|account| (secret, account))
        }
        None => None,
    };
    Ok(match found {
        Some((secret, account)) => Opened::Yes(secret, account),
        None => Opened::No(dead_link(app).await?),
    })
}

#[derive(Template)]
#[template(path = "accounts/dead_link.html")]
struct DeadLink {
    department: Department,
}

/// The same answer for a link that is unknown, used, expired, or for something else.
pub async fn dead_link(app: &App) -> Result<Response> {
    let department = store::department(app.db.read()).await?.unwrap_or_default();
    private(show_as(StatusCode::NOT_FOUND, &DeadLink { department }))
}

/// The address holds a secret, so no other page may learn it.
///
/// # Errors
/// The page's own.
pub fn private(page: Result<Response>) -> Result<Response> {
    Ok(([(header::REFERRER_POLICY, "no-referrer")], page?).into_response())
}
