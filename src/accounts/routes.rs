use super::{Department, HomeForm, Purpose, device, session, store};
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::hashing::Waits;
use crate::state::App;
use crate::web::form::{self, Form, Mistakes};
use crate::web::limits::{Client, Limit, TooOften};
use crate::web::link::Secret;
use crate::web::page::{local_path, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::zone::Zone;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::{CookieJar, Query};
use serde::Deserialize;

/// Routes for people who aren't signed in: signing in and out, and links that lead there.
pub fn router() -> Router<App> {
    Router::new()
        .route("/sign-in", get(sign_in_page).merge(post(sign_in)))
        .route("/sign-out", post(sign_out))
        .route("/set-up/{secret}", get(set_up_page).merge(post(set_up)))
        .route("/invitation/{secret}", get(invitation_page).merge(post(take_invitation)))
        .route("/new-password/{secret}", get(new_password_page).merge(post(new_password)))
        .route("/enter/{secret}", get(enter_page).merge(post(enter)))
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
    let waits = match turn(&app, &mail, (&client, device)).await {
        Ok(waits) => waits,
        Err(too_often) => return Ok(too_often.into_response()),
    };
    let outcome = match super::verify_password(&app, form.password, hash, waits).await {
        Ok(true) => None,
        Ok(false) => Some(Refusal::Wrong),
        Err(Error::Busy) => Some(Refusal::Busy),
        Err(error) => return Err(error),
    };
    let refusal = match (account, outcome) {
        (Some(account), None) => return start_session(&app, &jar, account, local_path(&form.next)).await,
        (_, refusal) => refusal.unwrap_or(Refusal::Wrong),
    };
    let Some(department) = store::department(app.db.read()).await? else { return not_set_up() };
    let page = SignInPage { department: department.name, mail, next: form.next, refusal: Some(refusal) };
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
async fn turn(app: &App, mail: &str, (client, device): (&str, Option<i64>)) -> Result<Waits, TooOften> {
    let own = device.map(|device| app.limits.take(Limit::SignInDevice, &device.to_string()));
    if let Some(Ok(())) = own {
        return Ok(Waits::AsKnown);
    }
    app.limits.take(Limit::SignInAddress, client)?;
    app.limits.take(Limit::SignInHere, &format!("{mail} {client}"))?;
    tokio::time::sleep(app.limits.wait(Limit::SignInAccount, mail)).await;
    Ok(Waits::AsStranger)
}

/// Signs in with a new secret, no matter which one the browser brought.
async fn start_session(app: &App, jar: &CookieJar, account: i64, next: &str) -> Result<Response> {
    let now = app.clock.now();
    let old = session::secret(app, jar);
    let sign_in = app.db.write(move |tx| {
        Box::pin(async move {
            if let Some(old) = old {
                session::store::sign_out(tx, old).await?;
            }
            session::store::sign_in(tx, account, now).await
        })
    });
    let secret = sign_in.await?;
    Ok((session::start(app, &secret), device::note(app, jar, account), Redirect::to(next)).into_response())
}

async fn sign_out(State(app): State<App>, jar: CookieJar) -> Result<Response> {
    if let Some(secret) = session::secret(&app, &jar) {
        app.db.write(move |tx| Box::pin(session::store::sign_out(tx, secret))).await?;
    }
    Ok((session::end(&app), Redirect::to("/sign-in")).into_response())
}

#[derive(Template)]
#[template(path = "accounts/set_up.html")]
struct SetUpPage {
    form: SetUpForm,
    mistakes: Mistakes,
    zones: Vec<String>,
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct SetUpForm {
    department: String,
    zone: String,
    phone: String,
    name: String,
    mail: String,
    password: String,
    #[serde(flatten)]
    home: HomeForm,
}

async fn set_up_page(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    match opened(&app, &client, &secret, Purpose::SetUp).await? {
        Opened::No(answer) => Ok(answer),
        Opened::Yes(..) => {
            let form = SetUpForm::default();
            private(show(&SetUpPage { form, mistakes: Mistakes::default(), zones: Zone::names() }))
        }
    }
}

async fn set_up(
    State(app): State<App>,
    Client(client): Client,
    jar: CookieJar,
    Path(secret): Path<String>,
    Form(form): Form<SetUpForm>,
) -> Result<Response> {
    if let Opened::No(answer) = opened(&app, &client, &secret, Purpose::SetUp).await? {
        return Ok(answer);
    }
    let mut mistakes = Mistakes::default();
    let department = mistakes.note("department", form::line(&form.department, 100));
    let zone = mistakes.note("zone", zone(&form.zone));
    let phone = mistakes.note("phone", form::optional_line(&form.phone, 40));
    let home = form.home.read(&mut mistakes);
    let name = mistakes.note("name", form::name(&form.name, 100));
    let mail = mistakes.note("mail", form::mail(&form.mail));
    mistakes.note("password", super::check_password(&form.password, &[&form.mail, &form.name, &form.department]));
    let (Some(department), Some(zone), Some(phone), Some(home), Some(name), Some(mail), true) =
        (department, zone, phone, home, name, mail, mistakes.is_empty())
    else {
        let page = SetUpPage { form, mistakes, zones: Zone::names() };
        return private(show_as(StatusCode::UNPROCESSABLE_ENTITY, &page));
    };
    let hash = super::hash_password(&app, form.password).await?;
    let department = Department { name: department, zone, phone, home, version: 1 };
    let now = app.clock.now();
    let made =
        app.db.write(move |tx| Box::pin(async move { store::set_up(tx, &department, &name, &mail, &hash, now).await }));
    match made.await? {
        Some(account) => start_session(&app, &jar, account, "/").await,
        None => Ok(Redirect::to("/sign-in").into_response()),
    }
}

/// The time zone someone named.
///
/// # Errors
/// What to tell them.
pub fn zone(name: &str) -> Result<String, String> {
    let zone = Zone::named(name.trim()).ok_or("Choose a time zone from the list, like Central Time.")?;
    Ok(zone.name().to_owned())
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
    account: Option<store::Account>,
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
    if mistakes.note("password", super::check_password(&form.password, &own)).is_none() {
        let page = choose_password(&app, Some(account), purpose, mistakes).await?;
        return private(show_as(StatusCode::UNPROCESSABLE_ENTITY, &page));
    }
    let hash = super::hash_password(&app, form.password).await?;
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

enum Opened {
    Yes(Secret, Option<store::Account>),
    No(Response),
}

/// Checks whether a link opens what it claims to.
async fn opened(app: &App, client: &str, secret: &str, purpose: Purpose) -> Result<Opened> {
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
///
/// # Errors
/// The store's.
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
