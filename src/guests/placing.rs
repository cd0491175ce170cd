//! Setting a guest's place by hand, or by the rules again.

use super::guest_page::guest_view;
use super::place_form::PlaceForm;
use super::{page, store};
use crate::accounts::Officer;
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/guests/{guest}/place", post(place))
        .route("/events/{id}/guests/{guest}/rules", post(by_rules))
}

async fn place(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, guest)): Path<(i64, i64)>,
    Form(form): Form<PlaceForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let known = page::found(&snapshot, guest)?;
    let mut mistakes = Mistakes::default();
    let number = mistakes.note("number", form::number(&form.number, 1usize, 999));
    let reason = mistakes.note("reason", form::line(&form.reason, 200));
    let (Some(number), Some(reason)) = (number, reason) else {
        let page = guest_view(&app, &visit, &snapshot, known, (form, mistakes)).await?;
        return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
    };
    let (actor, guest, name) = (visit.user.actor(), known.guest.clone(), known.person.details.name.clone());
    let to = format!("/events/{id}/guests/{}", guest.id);
    let write = app.db.write(move |tx| {
        Box::pin(async move { store::set_place(tx, actor, (&guest, &name), Some((number, &reason)), now).await })
    });
    write.await?;
    Ok(flash::redirect(&to, "Place set by hand. Everyone else moves around it."))
}

async fn by_rules(
    State(app): State<App>,
    Officer(visit): Officer,
    Path((id, guest)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let known = page::found(&snapshot, guest)?;
    let (actor, guest, name) = (visit.user.actor(), known.guest.clone(), known.person.details.name.clone());
    let to = format!("/events/{id}/guests/{}", guest.id);
    let write =
        app.db.write(move |tx| Box::pin(async move { store::set_place(tx, actor, (&guest, &name), None, now).await }));
    write.await?;
    Ok(flash::redirect(&to, "The rules decide this place again."))
}
