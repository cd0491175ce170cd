//! Changing an account.

use super::PATH;
use super::refusing::{must_know_own_password, tell};
use crate::accounts::{self, Account, Change, Officer, Refused, Visit};
use crate::error::{Error, Result};
use crate::events;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/settings/accounts/{id}", get(edit).merge(post(update)))
}

#[derive(Template)]
#[template(path = "settings/account.html")]
pub(super) struct Edit {
    pub page: Page,
    pub account: Account,
    pub form: AccountForm,
    pub mistakes: Mistakes,
    /// In the second form, for a new link.
    pub link_mistakes: Mistakes,
    /// Nobody has a password in a demo.
    pub asks: bool,
}

#[derive(Deserialize, Default)]
#[serde(default)]
pub(super) struct AccountForm {
    name: String,
    mail: String,
    role: String,
    disabled: String,
    own: String,
    version: i64,
}

impl AccountForm {
    fn of(account: &Account) -> Self {
        Self {
            name: account.name.clone(),
            mail: account.mail.clone(),
            role: account.role.to_string(),
            disabled: if account.disabled { "yes".to_owned() } else { String::new() },
            own: String::new(),
            version: account.version,
        }
    }
}

pub(super) async fn find(app: &App, id: i64) -> Result<Account> {
    accounts::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

/// The page of an account, before anyone types.
pub(super) async fn edit_page(app: &App, visit: &Visit, account: Account) -> Result<Edit> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("Account");
    let asks = accounts::is_entered_by_password(app.db.read()).await?;
    let form = AccountForm::of(&account);
    Ok(Edit { page, account, form, mistakes: Mistakes::default(), link_mistakes: Mistakes::default(), asks })
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let account = find(&app, id).await?;
    show(&edit_page(&app, &visit, account).await?)
}

async fn update(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<AccountForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let account = find(&app, id).await?;
    let page = edit_page(&app, &visit, account.clone()).await?;
    let change = match read(&app, &visit, &account, &form).await? {
        Ok(change) => change,
        Err(mistakes) => return show_as(StatusCode::UNPROCESSABLE_ENTITY, &Edit { form, mistakes, ..page }),
    };
    let (actor, seen) = (visit.user.actor(), Account { version: form.version, ..account.clone() });
    let saved =
        app.db.write(move |tx| Box::pin(async move { accounts::save(tx, actor, &seen, &change, now).await })).await?;
    match saved {
        Ok(()) => Ok(flash::redirect(PATH, &format!("Saved {}'s account.", account.name))),
        Err(Refused::Stale) => conflict::show(page.page, &stale(&find(&app, id).await?, &form)),
        Err(refused) => {
            let mut mistakes = Mistakes::default();
            tell(&mut mistakes, refused);
            show_as(StatusCode::UNPROCESSABLE_ENTITY, &Edit { form, mistakes, ..page })
        }
    }
}

/// The change that was typed. Another email or role lets someone else in.
async fn read(app: &App, visit: &Visit, account: &Account, form: &AccountForm) -> Result<Result<Change, Mistakes>> {
    let mut mistakes = Mistakes::default();
    let name = mistakes.note("name", form::name(&form.name, 100));
    let mail = mistakes.note("mail", form::mail(&form.mail));
    let role = mistakes.note("role", form.role.parse());
    let (Some(name), Some(mail), Some(role)) = (name, mail, role) else { return Ok(Err(mistakes)) };
    if mail != account.mail || role != account.role {
        must_know_own_password(app, visit, &form.own, &mut mistakes).await?;
    }
    let change = Change { name, mail, role, disabled: form.disabled == "yes" };
    Ok(if mistakes.is_empty() { Ok(change) } else { Err(mistakes) })
}

/// Both versions of an account that someone else changed in the meantime.
fn stale(stands: &Account, form: &AccountForm) -> Conflict {
    let mut conflict = Conflict::new(&stands.name, format!("{PATH}/{}", stands.id), stands.version);
    conflict.field("name", "Name", &stands.name, &form.name);
    conflict.field("mail", "Email", &stands.mail, &form.mail);
    conflict.field("role", "Role", stands.role.as_str(), &form.role);
    conflict.field("disabled", "Disabled", if stands.disabled { "yes" } else { "" }, &form.disabled);
    conflict
}
