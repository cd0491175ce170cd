//! Setting up the department and its first account, with a link.

use super::opened::{Opened, opened, private};
use super::password::{check, hash};
use super::starting::start_session;
use super::{Department, HomeForm, Purpose, store};
use crate::error::Result;
use crate::state::App;
use crate::web::client::Client;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::zone::Zone;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum_extra::extract::CookieJar;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/set-up/{secret}", get(set_up_page).merge(post(set_up)))
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
    let founding = match form.read() {
        Ok(founding) => founding,
        Err(mistakes) => {
            let page = SetUpPage { form, mistakes, zones: Zone::names() };
            return private(show_as(StatusCode::UNPROCESSABLE_ENTITY, &page));
        }
    };
    let hash = hash(&app, form.password).await?;
    let now = app.clock.now();
    let Founding { department, name, mail } = founding;
    let made =
        app.db.write(move |tx| Box::pin(async move { store::set_up(tx, &department, &name, &mail, &hash, now).await }));
    match made.await? {
        Some(account) => start_session(&app, &jar, account, "/").await,
        None => Ok(Redirect::to("/sign-in").into_response()),
    }
}

/// What the form says: the department, and whose account is its first.
struct Founding {
    department: Department,
    name: String,
    mail: String,
}

impl SetUpForm {
    fn read(&self) -> Result<Founding, Mistakes> {
        let mut mistakes = Mistakes::default();
        let department = mistakes.note("department", form::line(&self.department, 100));
        let zone = mistakes.note("zone", zone(&self.zone));
        let phone = mistakes.note("phone", form::optional_line(&self.phone, 40));
        let home = self.home.read(&mut mistakes);
        let name = mistakes.note("name", form::name(&self.name, 100));
        let mail = mistakes.note("mail", form::mail(&self.mail));
        mistakes.note("password", check(&self.password, &[&self.mail, &self.name, &self.department]));
        match (department, zone, phone, home, name, mail) {
            (Some(department), Some(zone), Some(phone), Some(home), Some(name), Some(mail)) if mistakes.is_empty() => {
                let department = Department { name: department, zone, phone, home, version: 1 };
                Ok(Founding { department, name, mail })
            }
            _ => Err(mistakes),
        }
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
