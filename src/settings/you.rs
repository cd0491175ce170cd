//! The account of the person who is signed in.

use crate::accounts::{self, SignedIn, Visit};
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events;
use crate::state::App;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/you", get(index))
        .route("/you/password", post(change_password))
        .route("/you/sign-out-everywhere", post(sign_out_everywhere))
}

#[derive(Template)]
#[template(path = "settings/you.html")]
struct You {
    page: Page,
    account: accounts::Account,
    mistakes: Mistakes,
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn) -> Result<Response> {
    show(&view(&app, &visit, Mistakes::default()).await?)
}

async fn view(app: &App, visit: &Visit, mistakes: Mistakes) -> Result<You> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Your account");
    Ok(You { page, account: account(app, visit).await?, mistakes })
}

async fn account(app: &App, visit: &Visit) -> Result<accounts::Account> {
    accounts::find(app.db.read(), visit.user.account_id).await?.ok_or(Error::NotFound)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct PasswordForm {
    old: String,
    new: String,
}

async fn change_password(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Form(form): Form<PasswordForm>,
) -> Result<Response> {
    let account = account(&app, &visit).await?;
    let mut mistakes = Mistakes::default();
    if let Some(why) = accounts::is_own_password(&app, account.id, form.old).await?.mistake() {
        mistakes.add("old", why);
    }
    mistakes
        .note("new", accounts::check_password(&form.new, &[&account.mail, &account.name, &visit.user.department.name]));
    if !mistakes.is_empty() {
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, mistakes).await?);
    }
    let hash = accounts::hash_password(&app, form.new).await?;
    let now = app.clock.now();
    let actor = Actor::Account(account.id);
    app.db
        .write(move |tx| Box::pin(async move { accounts::change_password(tx, actor, &account, &hash, now).await }))
        .await?;
    Ok((accounts::end_session_cookie(&app), Redirect::to("/sign-in")).into_response())
}

async fn sign_out_everywhere(State(app): State<App>, SignedIn(visit): SignedIn) -> Result<Response> {
    let account = account(&app, &visit).await?;
    let (actor, now) = (visit.user.actor(), app.clock.now());
    app.db.write(move |tx| Box::pin(async move { accounts::end_sign_ins(tx, actor, &account, now).await })).await?;
    Ok((accounts::end_session_cookie(&app), Redirect::to("/sign-in")).into_response())
}
