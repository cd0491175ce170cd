//! The link with which calendar apps fetch an event.

use super::found;
use super::store::{self, FeedOf};
use crate::accounts::Officer;
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::link::Opens;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/replies/calendar", post(renew))
}

/// Where calendar apps fetch the event. Empty if there is no link.
pub(super) async fn address(app: &App, id: i64) -> Result<String> {
    let number = store::feed_number(app.db.read(), FeedOf::Event(id)).await?;
    let mark = number.map(|number| Opens::EventCalendar.mark(id, number)).unwrap_or_default();
    Ok(app.link_key.fill(&mark, &app.config.base_url()))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct CalendarForm {
    act: String,
}

async fn renew(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<CalendarForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = found::event(&app, id).await?;
    let here = format!("/events/{id}/replies");
    let key = match form.act.as_str() {
        "new" => Some(app.link_key.clone()),
        "revoke" => None,
        _ => return Ok(flash::redirect(&here, "Nothing changed. Choose one of the buttons.")),
    };
    let said = if key.is_some() {
        "The calendar link is ready. Older links no longer work."
    } else {
        "The calendar link is removed. Calendars that subscribed to it no longer update."
    };
    let actor = visit.user.actor();
    let renew = app
        .db
        .write(move |tx| Box::pin(async move { store::renew_event_feed(tx, actor, &event, key.as_ref(), now).await }));
    renew.await?;
    Ok(flash::redirect(&here, said))
}
