//! The page of the press facts.

use super::fields::Field;
use super::form::{FactsForm, stale};
use super::question_lines::refresh;
use super::{FIELDS, Facts, store};
use crate::accounts::{SignedIn, Visit};
use crate::asks;
use crate::db::journal;
use crate::error::Result;
use crate::events::{self, Event};
use crate::press::editor::{PressEditor, event};
use crate::state::App;
use crate::talk;
use crate::web::conflict;
use crate::web::flash;
use crate::web::fold::Fold;
use crate::web::form::{Form, Mistakes};
use crate::web::history::HistoryLine;
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(in crate::press) fn router() -> Router<App> {
    Router::new().route("/events/{id}/press/facts", get(index).merge(post(save)))
}

#[derive(Template)]
#[template(path = "press/facts.html")]
struct FactsPage {
    page: Page,
    event_id: i64,
    keeps: bool,
    typed: Vec<Typed>,
    /// The contact's email, if People has it; else empty.
    from_people: String,
    messages: String,
    /// Of the lesson plan.
    taught: Vec<String>,
    version: i64,
    mistakes: Mistakes,
    history: Vec<HistoryLine>,
}

/// A field with what is typed in it.
struct Typed {
    field: &'static Field,
    value: String,
}

impl FactsPage {
    /// These of the fields.
    fn these(&self, names: &[&str]) -> Vec<&Typed> {
        self.typed.iter().filter(|typed| names.contains(&typed.field.name)).collect()
    }

    /// The part with these fields.
    fn fold(&self, names: &[&str]) -> Fold {
        let facts = self.these(names).into_iter().map(|typed| (typed.field.name, !typed.value.trim().is_empty()));
        let messages = names.iter().filter(|name| **name == "messages");
        let messages = messages.map(|name| (*name, !self.messages.trim().is_empty()));
        Fold::of(facts.chain(messages), &self.mistakes, false)
    }
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let facts = store::of_event(&mut *app.db.read().acquire().await?, id).await?;
    let messages = facts.messages.join("\n");
    show(&view(&app, &visit, &event, (facts, messages), Mistakes::default()).await?)
}

async fn view(
    app: &App,
    visit: &Visit,
    event: &Event,
    (facts, messages): (Facts, String),
    mistakes: Mistakes,
) -> Result<FactsPage> {
    let history = journal::of(app.db.read(), "press facts", event.id).await?;
    let mut db = app.db.read().acquire().await?;
    let in_people = store::in_people(&mut db, &facts.contact).await?;
    let taught = talk::press_messages(&mut db, event.id).await?;
    drop(db);
    Ok(FactsPage {
        page: events::page(app, visit, Some(event), app.clock.now()).await?.titled("Facts and key messages"),
        event_id: event.id,
        keeps: visit.user.keeps_people(),
        typed: FIELDS.iter().map(|field| Typed { field, value: (field.of)(&facts).clone() }).collect(),
        from_people: in_people.unwrap_or_default(),
        messages,
        taught,
        version: facts.version,
        mistakes,
        history: app.history.lines(history, &event.details.zone),
    })
}

async fn save(
    State(app): State<App>,
    PressEditor(visit): PressEditor,
    Path(id): Path<i64>,
    Form(form): Form<FactsForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let new = match form.read() {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, form.raw(), mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, mine) = (visit.user.actor(), new.clone());
    let save = app.db.write(move |tx| {
        Box::pin(async move {
            let is_saved = store::save(tx, actor, id, &new, now).await?;
            if is_saved { refresh(tx, id, &new, now).await.map(Some) } else { Ok(None) }
        })
    });
    if let Some(outdated) = save.await? {
        let said = format!("The press facts are saved.{}", asks::tell_next(outdated));
        return Ok(flash::redirect(&format!("/events/{id}/press"), &said));
    }
    let theirs = store::of_event(&mut *app.db.read().acquire().await?, id).await?;
    conflict::show(events::page(&app, &visit, Some(&event), now).await?, &stale(&theirs, &mine, id))
}
