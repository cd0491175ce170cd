//! Someone in a position: removing them, and making them primary or an alternate.

use crate::asks;
use crate::crew::editor::CrewEditor;
use crate::crew::page::event;
use crate::crew::snapshot::CrewSnapshot;
use crate::crew::{Assignment, follow, store};
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::events::Event;
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(in crate::crew) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/crew/assignments/{assignment}/remove", post(take_off))
        .route("/events/{id}/crew/assignments/{assignment}/standby", post(standby))
}

/// An assignment of this event, and its title.
async fn found(app: &App, event_id: i64, id: i64) -> Result<(Assignment, String)> {
    let event = event(app, event_id).await?;
    let snapshot = CrewSnapshot::load(&mut *app.db.read().acquire().await?, &event).await?;
    let one = snapshot.assigned.iter().find(|one| one.id == id).ok_or(Error::NotFound)?;
    let post = snapshot.post(one.post_id).map(|post| post.details.name.as_str()).unwrap_or_default();
    let name = snapshot
        .people
        .get(&one.person_id)
        .map_or("someone whose data was erased", |person| person.details.name.as_str());
    Ok((one.clone(), format!("{post}: {name}")))
}

async fn take_off(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, assignment)): Path<(i64, i64)>,
) -> Result<Response> {
    let now = app.clock.now();
    let (one, title) = found(&app, id, assignment).await?;
    let (actor, back) = (visit.user.actor(), format!("/events/{id}/crew/positions/{}", one.post_id));
    let said = if one.request_id.is_some() {
        "Removed from this position. They were asked about it: withdraw the question under Replies so that they know."
    } else {
        "Removed from this position."
    };
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            store::unassign(tx, actor, &one, &title, now).await?;
            follow::refresh(tx, id, now).await
        })
    });
    write.await?;
    Ok(flash::redirect(&back, said))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct StandbyForm {
    standby: String,
}

async fn standby(
    State(app): State<App>,
    CrewEditor(visit): CrewEditor,
    Path((id, assignment)): Path<(i64, i64)>,
    Form(form): Form<StandbyForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let (one, title) = found(&app, id, assignment).await?;
    let back = format!("/events/{id}/crew/positions/{}", one.post_id);
    if !matches!(form.standby.as_str(), "yes" | "no") {
        return Ok(flash::redirect(&back, "Nothing changed: choose Make primary or Make alternate."));
    }
    let is_standby = form.standby == "yes";
    let actor = visit.user.actor();
    let write =
        app.db.write(move |tx| Box::pin(async move { set(tx, actor, &event, (&one, &title), is_standby, now).await }));
    let said = match (write.await?, is_standby) {
        (None, _) => {
            "Nothing changed: that would break a rule. Remove them, then assign them again to see it.".to_owned()
        }
        (Some(outdated), true) => format!("They are now an alternate.{}", asks::tell_next(outdated)),
        (Some(outdated), false) => format!("They now count toward the number needed.{}", asks::tell_next(outdated)),
    };
    Ok(flash::redirect(&back, &said))
}

/// Makes someone an alternate or not, and returns how many have out-of-date details then.
/// None if that would break a rule: an alternate has no duty, so the rules are checked
/// before they get one.
async fn set(
    tx: &mut Tx,
    actor: Actor,
    event: &Event,
    (one, title): (&Assignment, &str),
    is_standby: bool,
    now: OffsetDateTime,
) -> Result<Option<usize>> {
    let snapshot = CrewSnapshot::load(tx, event).await?;
    let primary = Assignment { is_standby: false, ..one.clone() };
    if !is_standby && !snapshot.broken(&primary, event.details.burn_on).is_empty() {
        return Ok(None);
    }
    store::set_standby(tx, actor, (one, title), is_standby, now).await?;
    Ok(Some(follow::refresh(tx, event.id, now).await?))
}
