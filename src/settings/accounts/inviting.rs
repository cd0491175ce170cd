//! The list of accounts, and inviting someone.

use super::links::show_link;
use super::refusing::{must_know_own_password, tell};
use crate::accounts::{self, Account, Officer, Purpose, Role, Visit};
use crate::error::Result;
use crate::events;
use crate::state::App;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/settings/accounts", get(index).merge(post(invite)))
}

#[derive(Template)]
#[template(path = "settings/accounts.html")]
struct Index {
    page: Page,
    accounts: Vec<Account>,
    form: InviteForm,
    mistakes: Mistakes,
    /// Nobody has a password in a demo.
    asks: bool,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct InviteForm {
    name: String,
    mail: String,
    role: String,
    own: String,
}

async fn index(State(app): State<App>, Officer(visit): Officer) -> Result<Response> {
    let form = InviteForm { role: Role::Reader.to_string(), ..InviteForm::default() };
    show(&view(&app, &visit, form, Mistakes::default()).await?)
}

async fn view(app: &App, visit: &Visit, form: InviteForm, mistakes: Mistakes) -> Result<Index> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Accounts");
    let asks = accounts::is_entered_by_password(app.db.read()).await?;
    Ok(Index { page, accounts: accounts::list(app.db.read()).await?, form, mistakes, asks })
}

async fn invite(State(app): State<App>, Officer(visit): Officer, Form(form): Form<InviteForm>) -> Result<Response> {
    let mut mistakes = Mistakes::default();
    let name = mistakes.note("name", form::name(&form.name, 100));
    let mail = mistakes.note("mail", form::mail(&form.mail));
    let role = mistakes.note("role", form.role.parse::<Role>());
    if mistakes.is_empty() {
        must_know_own_password(&app, &visit, &form.own, &mut mistakes).await?;
    }
    let (Some(name), Some(mail), Some(role), true) = (name, mail, role, mistakes.is_empty()) else {
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, form, mistakes).await?);
    };
    let (actor, now) = (visit.user.actor(), app.clock.now());
    let invited = name.clone();
    let made =
        app.db.write(move |tx| Box::pin(async move { accounts::invite(tx, actor, &name, &mail, role, now).await }));
    match made.await? {
        Ok((_, secret)) => show_link(&app, &visit, &invited, Purpose::Invitation, &secret).await,
        Err(refused) => {
            tell(&mut mistakes, refused);
            show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, form, mistakes).await?)
        }
    }
}
