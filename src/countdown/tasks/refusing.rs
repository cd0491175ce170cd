//! Why a task wasn't saved: someone else changed it, its tasks would wait for each other, or
//! there are too many.

use super::context::TaskContext;
use super::edit_page::{Edit, edit_page};
use super::form::TaskForm;
use crate::countdown::changes::Refused;
use crate::countdown::{Outlook, Rain, Strand, Task, store};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::form::Mistakes;
use crate::web::page::show_as;
use axum::http::StatusCode;
use axum::response::Response;

/// The answer to a form whose task wasn't saved.
pub(super) async fn refuse(
    app: &App,
    context: &TaskContext,
    id: Option<i64>,
    form: TaskForm,
    refused: Refused,
) -> Result<Response> {
    let is_gone = id.is_some_and(|id| context.outlook.place(id).is_none());
    let mistakes = match refused {
        Refused::Stale => return refuse_stale(app, context, id, &form).await,
        Refused::Gone if is_gone => return Err(Error::NotFound),
        refused => mistakes(&refused),
    };
    let page = Edit { mistakes, ..edit_page(app, context, id, form).await? };
    show_as(StatusCode::UNPROCESSABLE_ENTITY, &page)
}

/// The current version was saved after this request looked.
async fn refuse_stale(app: &App, context: &TaskContext, id: Option<i64>, form: &TaskForm) -> Result<Response> {
    let outlook = Outlook::load(app, &context.event, context.now).await?;
    let place = id.and_then(|id| outlook.place(id)).ok_or(Error::NotFound)?;
    conflict::show(context.page.clone(), &stale(&outlook, &outlook.tasks[place], context.event.id, form))
}

fn mistakes(refused: &Refused) -> Mistakes {
    let mut mistakes = Mistakes::default();
    match refused {
        Refused::Stale => {}
        Refused::Full => {
            mistakes.add("title", format!("A plan can have at most {} tasks. Remove one first.", store::MOST_TASKS));
        }
        Refused::Gone => mistakes.add("links", "One of these tasks has been removed. Choose again."),
        Refused::Loop(titles) => {
            let ring: Vec<String> = titles.iter().map(|title| format!("“{title}”")).collect();
            let circle = format!("{} → {}", ring.join(" → "), ring[0]);
            mistakes.add(
                "links",
                format!("These tasks would wait for each other in a circle: {circle}. Remove one of the links."),
            );
        }
    }
    mistakes
}

fn stale(outlook: &Outlook, task: &Task, event_id: i64, mine: &TaskForm) -> Conflict {
    let theirs = TaskForm::of(task);
    let action = format!("/events/{event_id}/tasks/{}/edit", task.id);
    let mut conflict = Conflict::new(&task.details.title, action, task.version);
    conflict.compare("Strand", strand(&theirs), strand(mine));
    conflict.silent("strand", &mine.strand);
    conflict.field("title", "Title", &theirs.title, &mine.title);
    conflict.field("takes", "What to do", &theirs.takes, &mine.takes);
    conflict.field("owner", "Responsible", &theirs.owner, &mine.owner);
    conflict.field("person", "Person", &theirs.person, &mine.person);
    conflict.compare("Due", &lead(&theirs), &lead(mine));
    for (name, value) in [("lead", &mine.lead), ("side", &mine.side), ("lead_basis", &mine.lead_basis)] {
        conflict.silent(name, value);
    }
    conflict.compare(
        "Effort",
        &format!("{} {} days", theirs.duration, theirs.basis),
        &format!("{} {} days", mine.duration, mine.basis),
    );
    conflict.silent("duration", &mine.duration);
    conflict.silent("basis", &mine.basis);
    conflict.compare("Rain date", rain(&theirs), rain(mine));
    conflict.silent("rain", &mine.rain);
    conflict.compare("Waits for", &links(outlook, &theirs), &links(outlook, mine));
    for line in mine.links().into_iter().filter(|line| !line.earlier.is_empty()) {
        conflict.silent("earlier", &line.earlier);
        conflict.silent("lag", &line.lag);
        conflict.silent("lag_basis", &line.lag_basis);
    }
    conflict.silent("act", "save");
    conflict
}

/// What people read for the form's strand.
fn strand(form: &TaskForm) -> &str {
    match form.strand.parse::<Strand>() {
        Ok(strand) => strand.label(),
        Err(_) => &form.strand,
    }
}

/// What people read for the form's choice about the rain date.
fn rain(form: &TaskForm) -> &str {
    match form.rain.parse::<Rain>() {
        Ok(rain) => rain.says(),
        Err(_) => &form.rain,
    }
}

fn lead(form: &TaskForm) -> String {
    format!("{} {} days {}", form.lead, form.lead_basis, form.side)
}

fn links(outlook: &Outlook, form: &TaskForm) -> String {
    let title = |id: &str| {
        let place = id.parse().ok().and_then(|id| outlook.place(id));
        place.map_or_else(|| "a task that was removed".to_owned(), |place| outlook.tasks[place].details.title.clone())
    };
    let lines = form.links().into_iter().filter(|line| !line.earlier.is_empty());
    let mut lines: Vec<String> =
        lines.map(|line| format!("{}, then {} {} days", title(&line.earlier), line.lag, line.lag_basis)).collect();
    lines.sort();
    lines.join("\n")
}
