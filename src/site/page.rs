//! What the pages of the site have in common.

use super::refused::Refused;
use crate::accounts::{User, Visit};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::flash;
use crate::web::page::Page;
use axum::response::Response;
use time::OffsetDateTime;

pub(super) fn href(event_id: i64) -> String {
    format!("/events/{event_id}/rooms/site")
}

/// Only those who plan the burn may change the drawing.
pub(super) fn must_draw(user: &User) -> Result<()> {
    if user.plans_burn() {
        return Ok(());
    }
    Err(Error::Forbidden(
        "Only the burn boss, the safety officer, or the education officer can change the site. Ask one of them, or go \
         back.",
    ))
}

pub(super) async fn event(app: &App, id: i64) -> Result<Event> {
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)
}

pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str, now: OffsetDateTime) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), now).await?.titled(title))
}

/// What to say about a change that wasn't made, where there is no form to come back to.
pub(super) fn refused(event_id: i64, why: Refused) -> Response {
    let said = match why {
        Refused::Gone => "Nothing was changed: someone removed it from the drawing.".to_owned(),
        Refused::Changed => "Nothing was changed: someone else just changed it. Look, then try again.".to_owned(),
        Refused::Wrong(why) => format!("Nothing was changed. {why}"),
    };
    flash::redirect(&href(event_id), &said)
}
