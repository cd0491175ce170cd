//! Entering the demo in a role, with a link.

use super::opened::{Opened, opened, private};
use super::starting::start_session;
use super::{Purpose, store};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::client::Client;
use crate::web::page::show;
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::CookieJar;

pub(super) fn router() -> Router<App> {
    Router::new().route("/enter/{secret}", get(enter_page).merge(post(enter)))
}

#[derive(Template)]
#[template(path = "accounts/enter.html")]
struct EnterPage {
    department: String,
    name: String,
    role: &'static str,
}

async fn enter_page(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    match opened(&app, &client, &secret, Purpose::Demo).await? {
        Opened::No(answer) => Ok(answer),
        Opened::Yes(_, account) => {
            let account = account.ok_or(Error::NotFound)?;
            let department = store::department(app.db.read()).await?.unwrap_or_default().name;
            private(show(&EnterPage { department, name: account.name, role: account.role.as_str() }))
        }
    }
}

async fn enter(
    State(app): State<App>,
    Client(client): Client,
    jar: CookieJar,
    Path(secret): Path<String>,
) -> Result<Response> {
    match opened(&app, &client, &secret, Purpose::Demo).await? {
        Opened::No(answer) => Ok(answer),
        Opened::Yes(_, account) => start_session(&app, &jar, account.ok_or(Error::NotFound)?.id, "/").await,
    }
}
