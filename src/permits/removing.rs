//! Removing a record, after a page that says what that does.

use super::holds::{Holds, holds};
use super::records::Records;
use crate::accounts::Officer;
use crate::error::{Error, Result};
use crate::permit_records::{self, Permit, Refused};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/permits/{permit}/remove", get(remove_page).merge(post(remove)))
}

#[derive(Template)]
#[template(path = "permits/remove.html")]
struct Remove {
    page: Page,
    permit: Permit,
    holds: Option<Holds>,
}

async fn remove_page(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, permit)): Path<(i64, i64)>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let permit = records.find(permit)?.clone();
    let holds = holds(&records.seen(), &permit);
    show(&Remove { page: records.page(&app, &visit, "Remove a permit or notice").await?, permit, holds })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct RemoveForm {
    version: i64,
}

async fn remove(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, permit)): Path<(i64, i64)>,
    Form(form): Form<RemoveForm>,
) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let known = records.find(permit)?;
    let (which, title) = (known.full_id(), &known.details.title);
    let (actor, now) = (visit.user.actor(), records.now);
    let remove = app
        .db
        .write(move |tx| Box::pin(async move { permit_records::remove(tx, actor, which, form.version, now).await }));
    match remove.await? {
        Ok(()) => Ok(flash::redirect(&format!("/events/{id}/permits"), &format!("“{title}” removed."))),
        Err(Refused::Stale) => Ok(flash::redirect(
            &known.href(),
            "Someone changed this in the meantime, so it was not removed. Check it, then remove it if you still want to.",
        )),
        Err(_) => Err(Error::NotFound),
    }
}
