//! Signing in and out.

use super::password::verify;
use super::starting::start_session;
use super::{device, session, store};
use crate::error::{Error, Result};
use crate::hashing::Waits;
use crate::state::App;
use crate::web::client::Client;
use crate::web::form::Form;
use crate::web::limits::{Limit, TooOften};
use crate::web::local_path::local_path;
use crate::web::page::{show, show_as};
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::{CookieJar, Query};
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/sign-in", get(sign_in_page).merge(post(sign_in))).route("/sign-out", post(sign_out))
}

#[derive(Template, Default)]
#[template(path = "accounts/sign_in.html")]
struct SignInPage {
    department: String,
    mail: String,
    next: String,
    refusal: Option<Refusal>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Refusal {
    Wrong,
    /// Too many people are trying right now.
    Busy,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Next {
    next: String,
}

async fn sign_in_page(State(app): State<App>, Query(query): Query<Next>) -> Result<Response> {
    let Some(department) = store::department(app.db.read()).await? else { return not_set_up() };
    show(&SignInPage { department: department.name, next: query.next, ..SignInPage::default() })
}

#[derive(Template)]
#[template(path = "accounts/not_set_up.html")]
struct NotSetUp;

fn not_set_up() -> Result<Response> {
    show_as(StatusCode::SERVICE_UNAVAILABLE, &NotSetUp)
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct SignInForm {
    mail: String,
    password: String,
    next: String,
}

async fn sign_in(
    State(app): State<App>,
    Client(client): Client,
    jar: CookieJar,
    Form(form): Form<SignInForm>,
) -> Result<Response> {
    let mail = form.mail.trim().to_owned();
    let known = store::credentials(app.db.read(), &mail).await?;
    let (account, hash) = known.map_or((None, None), |(id, hash)| (Some(id), Some(hash)));
    let device = account.and_then(|account| device::known(&app, &jar, account));
    let waits = match turn(&app, &mail, &client, device).await {
        Ok(waits) => waits,
        Err(too_often) => return Ok(too_often.into_response()),
    };
    let outcome = match verify(&app, form.password, hash, waits).await {
        Ok(right) => account.filter(|_| right).ok_or(Refusal::Wrong),
        Err(Error::Busy) => Err(Refusal::Busy),
        Err(error) => return Err(error),
    };
    match outcome {
        Ok(account) => start_session(&app, &jar, account, local_path(&form.next)).await,
        Err(refusal) => refuse(&app, mail, form.next, refusal).await,
    }
}

/// The page again, with what is wrong.
async fn refuse(app: &App, mail: String, next: String, refusal: Refusal) -> Result<Response> {
    let Some(department) = store::department(app.db.read()).await? else { return not_set_up() };
    let page = SignInPage { department: department.name, mail, next, refusal: Some(refusal) };
    match refusal {
        Refusal::Wrong => show_as(StatusCode::UNPROCESSABLE_ENTITY, &page),
        Refusal::Busy => {
            let page = show_as(StatusCode::SERVICE_UNAVAILABLE, &page)?;
            Ok(([(header::RETRY_AFTER, "5")], page).into_response())
        }
    }
}

/// May someone try now, and where do they wait? A browser that signed in to the account
/// before has its own tries, so nobody else can use them up. All others get some per account
/// and address, and wait a little when many try one account. An account is never locked.
async fn turn(app: &App, mail: &str, client: &str, device: Option<i64>) -> Result<Waits, TooOften> {
    let own = device.map(|device| app.limits.take(Limit::SignInDevice, &device.to_string()));
    if let Some(Ok(())) = own {
        return Ok(Waits::AsKnown);
    }
    app.limits.take(Limit::SignInAddress, client)?;
    app.limits.take(Limit::SignInHere, &format!("{mail} {client}"))?;
    tokio::time::sleep(app.limits.wait(Limit::SignInAccount, mail)).await;
    Ok(Waits::AsStranger)
}

async fn sign_out(State(app): State<App>, jar: CookieJar) -> Result<Response> {
    if let Some(secret) = session::secret(&app, &jar) {
        app.db.write(move |tx| Box::pin(session::store::sign_out(tx, secret))).await?;
    }
    Ok((session::end(&app), Redirect::to("/sign-in")).into_response())
}
