//! The department's accounts, for the education officer.

use crate::accounts::{self, Account, Change, Officer, Purpose, Refused, Role, Visit};
use crate::error::{Error, Result};
use crate::events;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::link::Secret;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

const PATH: &str = "/settings/accounts";

pub(super) fn router() -> Router<App> {
    Router::new()
        .route(PATH, get(index).merge(post(invite)))
        .route("/settings/accounts/{id}", get(edit).merge(post(update)))
        .route("/settings/accounts/{id}/link", post(make_link))
        .route("/settings/accounts/{id}/end-sign-ins", post(end_sign_ins))
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

#[derive(Template)]
#[template(path = "settings/link.html")]
struct LinkPage {
    page: Page,
    name: String,
    link: String,
    lasts: &'static str,
}

/// Shows a link once. The store keeps only its hash.
async fn show_link(app: &App, visit: &Visit, name: &str, purpose: Purpose, secret: &Secret) -> Result<Response> {
    let page = events::page(app, visit, None, app.clock.now()).await?.titled("One-time link");
    let link = format!("{}{}/{}", app.config.base_url(), purpose.path(), secret.reveal());
    let lasts = if purpose == Purpose::Invitation { "14 days" } else { "an hour" };
    show(&LinkPage { page, name: name.to_owned(), link, lasts })
}

async fn invite(State(app): State<App>, Officer(visit): Officer, Form(form): Form<InviteForm>) -> Result<Response> {
    let mut mistakes = Mistakes::default();
    let name = mistakes.note("name", form::name(&form.name, 100));
    let mail = mistakes.note("mail", form::mail(&form.mail));
    let role = mistakes.note("role", form.role.parse::<Role>());
    if mistakes.is_empty() {
        again(&app, &visit, &form.own, &mut mistakes).await?;
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

/// Anything that lets someone in asks for the officer's own password again: a person who
/// finds an open browser must not be able to take over.
async fn again(app: &App, visit: &Visit, own: &str, mistakes: &mut Mistakes) -> Result<()> {
    if !accounts::is_entered_by_password(app.db.read()).await? {
        return Ok(());
    }
    let typed = accounts::is_own_password(app, visit.user.account_id, own.to_owned()).await?;
    if let Some(why) = typed.mistake() {
        mistakes.add("own", why);
    }
    Ok(())
}

/// Shows a refusal beside the field it is about.
fn tell(mistakes: &mut Mistakes, refused: Refused) {
    match refused {
        Refused::NameTaken => {
            mistakes.add("name", "Someone with this name has an account. Add something to tell the two apart.");
        }
        Refused::MailTaken => mistakes.add("mail", "Another account has this email. Use a different one."),
        Refused::Stale => mistakes.add("name", "Someone else changed this. Reload the page and try again."),
        Refused::LastOfficer => mistakes.add(
            "role",
            "This is the only education officer who can sign in, and there must be one. Give someone else the role \
             first.",
        ),
    }
}

#[derive(Template)]
#[template(path = "settings/account.html")]
struct Edit {
    page: Page,
    account: Account,
    form: AccountForm,
    mistakes: Mistakes,
    /// In the second form, for a new link.
    link_mistakes: Mistakes,
    /// Nobody has a password in a demo.
    asks: bool,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct AccountForm {
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

async fn find(app: &App, id: i64) -> Result<Account> {
    accounts::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let account = find(&app, id).await?;
    let form = AccountForm::of(&account);
    let page = events::page(&app, &visit, None, app.clock.now()).await?.titled("Account");
    let asks = accounts::is_entered_by_password(app.db.read()).await?;
    show(&Edit { page, account, form, mistakes: Mistakes::default(), link_mistakes: Mistakes::default(), asks })
}

async fn update(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<AccountForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let account = find(&app, id).await?;
    let page = events::page(&app, &visit, None, now).await?.titled("Account");
    let asks = accounts::is_entered_by_password(app.db.read()).await?;
    let mut mistakes = Mistakes::default();
    let name = mistakes.note("name", form::name(&form.name, 100));
    let mail = mistakes.note("mail", form::mail(&form.mail));
    let role = mistakes.note("role", form.role.parse());
    let lets_in = |mail: &str| mail != account.mail || role != Some(account.role);
    if mistakes.is_empty() && mail.as_deref().is_some_and(lets_in) {
        again(&app, &visit, &form.own, &mut mistakes).await?;
    }
    let (Some(name), Some(mail), Some(role), true) = (name, mail, role, mistakes.is_empty()) else {
        return show_as(
            StatusCode::UNPROCESSABLE_ENTITY,
            &Edit { page, account, form, mistakes, link_mistakes: Mistakes::default(), asks },
        );
    };
    let change = Change { name, mail, role, disabled: form.disabled == "yes" };
    let seen = Account { version: form.version, ..account.clone() };
    let actor = visit.user.actor();
    let saved =
        app.db.write(move |tx| Box::pin(async move { accounts::save(tx, actor, &seen, &change, now).await })).await?;
    match saved {
        Ok(()) => Ok(flash::redirect(PATH, &format!("Saved {}'s account.", account.name))),
        Err(Refused::Stale) => {
            let stands = find(&app, id).await?;
            let mut conflict = Conflict::new(&stands.name, format!("{PATH}/{id}"), stands.version);
            conflict.field("name", "Name", &stands.name, &form.name);
            conflict.field("mail", "Email", &stands.mail, &form.mail);
            conflict.field("role", "Role", stands.role.as_str(), &form.role);
            conflict.field("disabled", "Disabled", if stands.disabled { "yes" } else { "" }, &form.disabled);
            conflict::show(page, &conflict)
        }
        Err(refused) => {
            tell(&mut mistakes, refused);
            show_as(
                StatusCode::UNPROCESSABLE_ENTITY,
                &Edit { page, account, form, mistakes, link_mistakes: Mistakes::default(), asks },
            )
        }
    }
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
    again(&app, &visit, &form.own, &mut mistakes).await?;
    if !mistakes.is_empty() {
        let page = events::page(&app, &visit, None, app.clock.now()).await?.titled("Account");
        let form = AccountForm::of(&account);
        let asks = accounts::is_entered_by_password(app.db.read()).await?;
        let link_mistakes = mistakes;
        let edit = Edit { page, account, form, mistakes: Mistakes::default(), link_mistakes, asks };
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &edit);
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
