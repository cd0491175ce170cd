//! Changing the program.

use super::form::ProgramForm;
use super::parts::Program;
use crate::accounts::{Officer, Visit};
use crate::asks;
use crate::error::Result;
use crate::guests::{follow, page, store};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/program/edit", get(edit).merge(post(save)))
}

#[derive(Template)]
#[template(path = "guests/program_edit.html")]
struct EditPage {
    page: Page,
    event_id: i64,
    form: ProgramForm,
    mistakes: Mistakes,
}

async fn edit(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    page::event(&app, id).await?;
    let kept = store::program(&mut *app.db.read().acquire().await?, id).await?;
    show(&edit_page(&app, &visit, id, ProgramForm::of(&kept), Mistakes::default()).await?)
}

async fn edit_page(app: &App, visit: &Visit, id: i64, form: ProgramForm, mistakes: Mistakes) -> Result<EditPage> {
    let event = page::event(app, id).await?;
    Ok(EditPage { page: page::page(app, visit, &event, "Edit the program").await?, event_id: id, form, mistakes })
}

async fn save(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<ProgramForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = page::event(&app, id).await?;
    let new = match form.read() {
        Ok(new) => new,
        Err(mistakes) => {
            let page = edit_page(&app, &visit, id, form, mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, keep) = (visit.user.actor(), new.clone());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if !store::put_program(tx, actor, id, &keep, now).await? {
                return Ok(None);
            }
            Ok(Some(follow::refresh(tx, id, now).await?))
        })
    });
    if let Some(outdated) = write.await? {
        let said = format!("Program saved.{}", asks::tell_next(outdated));
        return Ok(flash::redirect(&format!("/events/{id}/guests/program"), &said));
    }
    let theirs = store::program(&mut *app.db.read().acquire().await?, id).await?;
    conflict::show(page::page(&app, &visit, &event, "Program").await?, &conflict(id, &theirs, &form, &new))
}

/// Both versions, for the person to choose.
fn conflict(event_id: i64, theirs: &Program, form: &ProgramForm, new: &Program) -> Conflict {
    let action = format!("/events/{event_id}/guests/program/edit");
    let mut conflict = Conflict::new("Program", action, theirs.version);
    conflict.field("begins", "Begins, minutes before ignition", &theirs.begins.to_string(), &form.begins);
    conflict.field("minutes", "Total minutes", &theirs.minutes.to_string(), &form.minutes);
    let parts = |program: &Program| program.snapshot()["parts"].as_str().unwrap_or_default().to_owned();
    conflict.compare("Parts", &parts(theirs), &parts(new));
    for line in form.lines() {
        let fields = [
            ("number", line.number),
            ("kind", line.kind),
            ("title", line.title),
            ("who", line.who),
            ("lasts", line.lasts),
            ("gives", line.gives),
            ("least", line.least),
            ("priority", line.priority),
        ];
        for (name, value) in fields {
            conflict.silent(name, &value);
        }
    }
    conflict
}
