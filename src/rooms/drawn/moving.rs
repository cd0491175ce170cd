//! An item moved on the drawing, or taken off it.

use super::changing::{find, href, load, proposed, put};
use super::place::Place;
use super::store;
use crate::accounts::Worker;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash::{self, Undo};
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/plan/items/{thing}/move", post(move_item))
        .route("/events/{id}/rooms/plan/items/{thing}/remove", post(remove))
}

/// Where an item was moved to, in meters: "1.2,0.4".
#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Moved {
    at: String,
    version: i64,
}

impl Moved {
    /// From the left wall and from the back wall.
    fn place(&self) -> Option<(f64, f64)> {
        let read = |text: &str| text.trim().parse().ok().filter(|at: &f64| (0.0..=20.0).contains(at));
        self.at.split_once(',').and_then(|(x, y)| Some((read(x)?, read(y)?)))
    }
}

async fn move_item(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, thing)): Path<(i64, i64)>,
    Form(moved): Form<Moved>,
) -> Result<Response> {
    let known = load(&app, id).await?;
    let (_, one) = find(&known, thing)?;
    let (x, y) = moved
        .place()
        .ok_or_else(|| Error::BadRequest("It can't be moved there. Go back, and type its place instead.".to_owned()))?;
    let new = Place { x, y, version: moved.version, ..proposed(&known, &one) };
    if !put(&app, &visit, id, &one, (new, None)).await? {
        let said = "Nothing was moved: someone else just moved it. Look, then try again.";
        return Ok(flash::redirect(&href(id), said));
    }
    let (to, said) = (format!("{}#item-{thing}", href(id)), format!("{} moved.", one.called));
    let Some(before) = one.place else { return Ok(flash::redirect(&to, &said)) };
    let undo = Undo {
        action: format!("{}/items/{thing}/move", href(id)),
        fields: vec![
            ("at".to_owned(), format!("{},{}", before.x, before.y)),
            ("version".to_owned(), (moved.version + 1).to_string()),
        ],
    };
    Ok(flash::redirect_with_undo(&to, &said, &undo))
}

async fn remove(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, thing)): Path<(i64, i64)>,
) -> Result<Response> {
    let known = load(&app, id).await?;
    let (_, one) = find(&known, thing)?;
    let (now, actor, called) = (app.clock.now(), visit.user.actor(), one.in_full());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if thing < 0 {
                return store::unbuild(tx, actor, id, (thing, &called), now).await;
            }
            store::take_off(tx, actor, id, (thing, &called), now).await
        })
    });
    let said = match (write.await?, thing < 0) {
        (true, true) => "is off the drawing.",
        (true, false) => "is off the drawing. It stays on the list.",
        (false, _) => "wasn't on the drawing.",
    };
    Ok(flash::redirect(&href(id), &format!("{} {said}", one.called)))
}
