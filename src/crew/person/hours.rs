//! The hours someone can be there, as the department enters them.

use super::page::{PersonPage, found};
use crate::crew::editor::CrewEditor;
use crate::crew::{Hours, store};
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/crew/people/{person}/hours", post(hours))
}

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct HoursForm {
    on: String,
    from: String,
    until: String,
}

impl HoursForm {
    /// The page with what was typed and what is wrong with it.
    fn wrong_on(self, mut page: PersonPage, what: String) -> PersonPage {
        page.mistakes.add("hours", what);
        if let Some(line) = page.dates.iter_mut().find(|line| line.iso == self.on) {
            (line.from, line.until) = (self.from, self.until);
        }
        page.wrong = self.on;
        page
    }
}

async fn hours(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, person)): Path<(i64, i64)>,
    Form(form): Form<HoursForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let (snapshot, person) = found(&app, id, person).await?;
    let here = format!("/events/{id}/crew/people/{}", person.id);
    let Some(on) = snapshot.dates().find(|on| words::iso(*on) == form.on) else {
        return Ok(flash::redirect(
            &here,
            "Nothing changed: the event is no longer on that date. Look at the dates below.",
        ));
    };
    let new = match Hours::read(&form.from, &form.until) {
        Ok(new) => new,
        Err(what) => {
            let page = PersonPage::load(&app, &visit, &snapshot, person).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &form.wrong_on(page, what));
        }
    };
    let (actor, name) = (visit.user.actor(), person.details.name);
    let write = app.db.write(move |tx| {
        Box::pin(async move { store::note_hours(tx, actor, id, (person.id, &name), on, new, now).await })
    });
    write.await?;
    Ok(flash::redirect(&here, "Hours saved."))
}
