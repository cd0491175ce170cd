//! The list of permits and notices.

use super::groups::{Group, groups};
use super::records::Records;
use crate::accounts::{Officer, SignedIn};
use crate::countdown::{self, Outlook};
use crate::error::Result;
use crate::permit_records;
use crate::state::App;
use crate::web::flash;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/permits", get(index)).route("/events/{id}/permits/usual", post(add_usual))
}

#[derive(Template)]
#[template(path = "permits/index.html")]
struct Index {
    page: Page,
    event_id: i64,
    groups: Vec<Group>,
    /// Usual records that the event doesn't have.
    missing: usize,
}

/// How many usual records are missing that the event has a task for.
fn missing(records: &Records) -> usize {
    let usual = permit_records::usual().iter();
    let lacks = usual.filter(|usual| records.permits.iter().all(|known| known.key.as_ref() != Some(&usual.key)));
    lacks.filter(|usual| records.tasks.iter().any(|task| task.key.as_ref() == Some(&usual.task))).count()
}

async fn index(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let outlook = Outlook::load(&app, &records.event, records.now).await?;
    show(&Index {
        page: records.page(&app, &visit, "Permits and notices").await?,
        event_id: id,
        groups: groups(&records.seen(), &outlook, &records.permits),
        missing: missing(&records),
    })
}

async fn add_usual(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let (actor, now) = (visit.user.actor(), records.now);
    let add = app.db.write(move |tx| {
        Box::pin(async move {
            let tasks = countdown::tasks_in(tx, id).await?;
            let task_of = |key: &str| tasks.iter().find(|task| task.key.as_deref() == Some(key)).map(|task| task.id);
            permit_records::add_usual(tx, actor, id, task_of, now).await
        })
    });
    let said = match add.await? {
        0 => "All the usual permits and notices are already on the list.".to_owned(),
        added => format!(
            "{} added. Ask each authority how much notice it requires.",
            words::count(added, "permit or notice", "permits and notices")
        ),
    };
    Ok(flash::redirect(&format!("/events/{id}/permits"), &said))
}
