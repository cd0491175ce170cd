//! Saving who is here.

use crate::accounts::Worker;
use crate::error::{Error, Result};
use crate::guests::guest::Day;
use crate::guests::{page, store};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/{guest}/here", post(here))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct HereForm {
    /// `yes`, `no` or `unknown`.
    here: String,
}

impl HereForm {
    fn read(&self) -> Result<Option<bool>> {
        match self.here.as_str() {
            "yes" => Ok(Some(true)),
            "no" => Ok(Some(false)),
            "unknown" => Ok(None),
            _ => Err(Error::BadRequest("Use one of the buttons on the page. Nothing was changed.".to_owned())),
        }
    }
}

async fn here(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, guest)): Path<(i64, i64)>,
    Form(form): Form<HereForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = page::snapshot(&app, id).await?;
    let known = page::found(&snapshot, guest)?;
    let is_here = form.read()?;
    let on = snapshot.event.details.burn_on;
    let day = known.guest.day(on).cloned().unwrap_or_default();
    let new = Day { on: Some(on), is_here, ..day };
    let (actor, guest, name) = (visit.user.actor(), known.guest.clone(), known.person.details.name.clone());
    let said = says(is_here, known.called());
    let write =
        app.db.write(move |tx| Box::pin(async move { store::tick(tx, actor, (&guest, &name), &new, now).await }));
    write.await?;
    Ok(flash::redirect(&format!("/events/{id}/burn-day/guests"), &said))
}

fn says(is_here: Option<bool>, name: &str) -> String {
    match is_here {
        Some(true) => format!("{name} is here."),
        Some(false) => format!("{name} isn't here. The order and the program are updated."),
        None => format!("Undone. {name} isn't checked in."),
    }
}
