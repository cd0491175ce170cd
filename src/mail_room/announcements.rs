//! The unsubscribe link in announcements. An email program may post to it on its own
//! (RFC 8058), so it accepts a post that doesn't say where it comes from.

use crate::db::journal::Actor;
use crate::error::Result;
use crate::mail::outbox;
use crate::state::App;
use crate::web::limits::{Client, Limit};
use crate::web::link::Secret;
use crate::web::page::show;
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::{accounts, people};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::{IntoResponse, Response};

pub fn router() -> Router<App> {
    Router::new().route("/announcements/{secret}", get(ask).merge(post(stop)))
}

#[derive(Template)]
#[template(path = "mail_room/announcements.html")]
struct Announcements {
    department: accounts::Department,
    done: bool,
}

async fn ask(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    match whose(&app, &client, &secret).await? {
        Ok(person) => {
            let known = people::find(&mut *app.db.read().acquire().await?, person).await?;
            page(&app, known.is_some_and(|person| person.details.no_mail)).await
        }
        Err(answer) => Ok(answer),
    }
}

async fn stop(State(app): State<App>, Client(client): Client, Path(secret): Path<String>) -> Result<Response> {
    let person = match whose(&app, &client, &secret).await? {
        Ok(person) => person,
        Err(answer) => return Ok(answer),
    };
    let now = app.clock.now();
    let known = app.db.write(move |tx| Box::pin(people::unsubscribe(tx, Actor::Link, person, now))).await?;
    // No redirect: an email program takes only this answer for a yes.
    if known { page(&app, true).await } else { accounts::dead_link(&app).await }
}

async fn page(app: &App, done: bool) -> Result<Response> {
    let department = accounts::department(app.db.read()).await?.unwrap_or_default();
    accounts::private(show(&Announcements { department, done }))
}

/// Who a link belongs to, or else the answer to give.
async fn whose(app: &App, client: &str, secret: &str) -> Result<Result<i64, Response>> {
    if let Err(too_often) = app.limits.take(Limit::LinkAddress, client) {
        return Ok(Err(too_often.into_response()));
    }
    let person = match Secret::read(secret) {
        Some(secret) => outbox::announcement_link(app.db.read(), &secret).await?,
        None => None,
    };
    match person {
        Some(person) => Ok(Ok(person)),
        None => Ok(Err(accounts::dead_link(app).await?)),
    }
}
