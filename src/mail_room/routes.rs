//! The Email page, and each event's messages.

use super::list::{HoldForm, PATH, Wanted, load, view};
use super::{message, test_message};
use crate::accounts::Officer;
use crate::error::Result;
use crate::events;
use crate::mail::outbox;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use axum_extra::extract::Query;

/// For the education officer.
pub fn router() -> Router<App> {
    Router::new()
        .route(PATH, get(index))
        .route("/events/{id}/sent", get(sent))
        .route("/mail/hold", post(hold))
        .route("/mail/release", post(release))
        .route("/mail/test", post(test_message::test))
        .merge(message::router())
}

async fn index(State(app): State<App>, Officer(visit): Officer, Query(wanted): Query<Wanted>) -> Result<Response> {
    show(&view(&app, &visit, &wanted, HoldForm::default(), Mistakes::default()).await?)
}

/// The messages of one event.
async fn sent(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let event = events::found(app.db.read(), id).await?;
    show(&load(&app, &visit, Some(&event), &wanted, HoldForm::default(), Mistakes::default()).await?)
}

async fn hold(State(app): State<App>, Officer(visit): Officer, Form(form): Form<HoldForm>) -> Result<Response> {
    let now = app.clock.now();
    let mut mistakes = Mistakes::default();
    let Some(why) = mistakes.note("why", form::line(&form.why, 200)) else {
        let page = view(&app, &visit, &Wanted::default(), form, mistakes).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let actor = visit.user.actor();
    let held = app.db.write(move |tx| Box::pin(async move { outbox::hold_all(tx, actor, &why, now).await })).await?;
    let said = if held {
        "All email is on hold. A message that is being sent right now may still go out."
    } else {
        "All email was already on hold."
    };
    Ok(flash::redirect(PATH, said))
}

async fn release(State(app): State<App>, Officer(visit): Officer, Form(form): Form<HoldForm>) -> Result<Response> {
    let now = app.clock.now();
    let mut mistakes = Mistakes::default();
    let Some(why) = mistakes.note("why", form::optional_line(&form.why, 200)) else {
        let page = view(&app, &visit, &Wanted::default(), form, mistakes).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let actor = visit.user.actor();
    let let_go = app.db.write(move |tx| Box::pin(async move { outbox::release(tx, actor, &why, now).await })).await?;
    let said = if let_go { "Email goes out again." } else { "Email wasn't on hold." };
    Ok(flash::redirect(PATH, said))
}
