//! One-time links to an account, and ending its sign-ins.

use super::PATH;
use super::editing::{Edit, edit_page, find};
use super::refusing::must_know_own_password;
use crate::accounts::{self, Officer, Purpose, Visit};
use crate::error::{Error, Result};
use crate::events;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::link::Secret;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::post;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/settings/accounts/{id}/link", post(make_link))
        .route("/settings/accounts/{id}/end-sign-ins", post(end_sign_ins))
}

#[derive(Template)]
#[template(path = "settings/link.html")]
struct LinkPage {
    page: Page,
    name: String,
    link: String,
    lasts: &'static str,
}

/// Shows a link once. The store keeps only its hash.
pub(super) async fn show_link(
    app: &App,
    visit: &Visit,
    name: &str,
    purpose: Purpose,
    secret: &Secret,
) -> Result<Response> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("One-time link");
    let link = format!("{}{}/{}", app.config.base_url(), purpose.path(), secret.reveal());
    let lasts = if purpose == Purpose::Invitation { "14 days" } else { "an hour" };
    show(&LinkPage { page, name: name.to_owned(), link, lasts })
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct OwnPassword {
    /// Named so because another form on the page has a field like it.
    #[serde(rename = "own-link")]
    own: String,
}

async fn make_link(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<OwnPassword>,
) -> Result<Response> {
    let account = find(&app, id).await?;
    if account.disabled {
        return Err(Error::BadRequest("This account is disabled. Enable it first, then create the link.".to_owned()));
    }
    let mut mistakes = Mistakes::default();
    must_know_own_password(&app, &visit, &form.own, &mut mistakes).await?;
    if !mistakes.is_empty() {
        let page = Edit { link_mistakes: mistakes, ..edit_page(&app, &visit, account).await? };
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    }
    let purpose = if account.joined { Purpose::Password } else { Purpose::Invitation };
    let (actor, now, name) = (visit.user.actor(), app.clock.now(), account.name.clone());
    let secret = app
        .db
        .write(move |tx| Box::pin(async move { accounts::make_link(tx, actor, &account, purpose, now).await }))
        .await?;
    show_link(&app, &visit, &name, purpose, &secret).await
}

async fn end_sign_ins(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let account = find(&app, id).await?;
    let (actor, now) = (visit.user.actor(), app.clock.now());
    let said = format!("{} is signed out everywhere.", account.name);
    app.db.write(move |tx| Box::pin(async move { accounts::end_sign_ins(tx, actor, &account, now).await })).await?;
    Ok(flash::redirect(PATH, &said))
}
