//! Choosing a password, with a link: the first one of an account, or a new one.

use super::opened::{Opened, dead_link, opened, private};
use super::password::{check, hash};
use super::starting::start_session;
use super::{Account, Purpose, store};
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::client::Client;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::CookieJar;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/invitation/{secret}", get(invitation_page).merge(post(take_invitation)))
        .route("/new-password/{secret}", get(new_password_page).merge(post(new_password)))
}

#[derive(Template)]
#[template(path = "accounts/new_password.html")]
struct NewPasswordPage {
    department: String,
    name: String,
    mail: String,
    role: &'static str,
    is_invitation: bool,
    mistakes: Mistakes,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct NewPasswordForm {
    password: String,
}

async fn invitation_page(state: State<App>, client: Client, path: Path<String>) -> Result<Response> {
    password_page(state, client, path, Purpose::Invitation).await
}

async fn new_password_page(state: State<App>, client: Client, path: Path<String>) -> Result<Response> {
    password_page(state, client, path, Purpose::Password).await
}

async fn password_page(
    State(app): State<App>,
    Client(client): Client,
    Path(secret): Path<String>,
    purpose: Purpose,
) -> Result<Response> {
    match opened(&app, &client, &secret, purpose).await? {
        Opened::No(answer) => Ok(answer),
        Opened::Yes(_, account) => private(show(&choose_password(&app, account, purpose, Mistakes::default()).await?)),
    }
}

async fn choose_password(
    app: &App,
    account: Option<Account>,
    purpose: Purpose,
    mistakes: Mistakes,
) -> Result<NewPasswordPage> {
    let account = account.ok_or(Error::NotFound)?;
    let department = store::department(app.db.read()).await?.unwrap_or_default().name;
    let is_invitation = purpose == Purpose::Invitation;
    let role = account.role.as_str();
    Ok(NewPasswordPage { department, name: account.name, mail: account.mail, role, is_invitation, mistakes })
}

async fn take_invitation(
    state: State<App>,
    client: Client,
    jar: CookieJar,
    path: Path<String>,
    form: Form<NewPasswordForm>,
) -> Result<Response> {
    save_password(state, client, jar, path, form, Purpose::Invitation).await
}

async fn new_password(
    state: State<App>,
    client: Client,
    jar: CookieJar,
    path: Path<String>,
    form: Form<NewPasswordForm>,
) -> Result<Response> {
    save_password(state, client, jar, path, form, Purpose::Password).await
}

async fn save_password(
    State(app): State<App>,
    Client(client): Client,
    jar: CookieJar,
    Path(secret): Path<String>,
    Form(form): Form<NewPasswordForm>,
    purpose: Purpose,
) -> Result<Response> {
    let (secret, account) = match opened(&app, &client, &secret, purpose).await? {
        Opened::No(answer) => return Ok(answer),
        Opened::Yes(secret, account) => (secret, account.ok_or(Error::NotFound)?),
    };
    let mut mistakes = Mistakes::default();
    let department = store::department(app.db.read()).await?.unwrap_or_default().name;
    let own = [account.mail.as_str(), &account.name, &department];
    if mistakes.note("password", check(&form.password, &own)).is_none() {
        let page = choose_password(&app, Some(account), purpose, mistakes).await?;
        return private(show_as(StatusCode::UNPROCESSABLE_ENTITY, &page));
    }
    let hash = hash(&app, form.password).await?;
    let (id, now) = (account.id, app.clock.now());
    let done = app.db.write(move |tx| {
        Box::pin(async move {
            if !store::use_up(tx, &secret).await? {
                return Ok(false);
            }
            store::change_password(tx, Actor::Link, &account, &hash, now).await?;
            Ok(true)
        })
    });
    if done.await? { start_session(&app, &jar, id, "/").await } else { dead_link(&app).await }
}
