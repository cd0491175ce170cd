//! Adding something to the drawing.

use super::drawn::Drawn;
use super::page::{event, href, must_draw, refused};
use super::plan::MOST_ITEMS;
use super::refused::Refused;
use super::store;
use crate::accounts::SignedIn;
use crate::calc::site::Kind;
use crate::db::Tx;
use crate::db::journal::Actor;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::path::Path;
use crate::web::routes::post;
use crate::web::words::capital;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/site/items", post(add))
}

#[derive(Debug, Deserialize)]
struct Add {
    #[serde(default)]
    kind: String,
}

async fn add(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(Add { kind }): Form<Add>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    event(&app, id).await?;
    let current = store::current(&mut *app.db.read().acquire().await?, id).await?;
    let kind: Kind = kind.parse().map_err(Error::BadRequest)?;
    if current.plan.items.len() >= MOST_ITEMS {
        let said =
            format!("Nothing was added: there are {MOST_ITEMS} things on the drawing already. Remove one first.");
        return Ok(flash::redirect(&href(id), &said));
    }
    let (now, actor) = (app.clock.now(), visit.user.actor());
    match app.db.write(move |tx| Box::pin(async move { draw(tx, actor, id, kind, now).await })).await? {
        Ok(added) => {
            let to = format!("{}?picked={added}#item-{added}", href(id));
            Ok(flash::redirect(&to, "Added. Drag it to its place, or open it and type where it is."))
        }
        Err(why) => Ok(refused(id, why)),
    }
}

/// Draws something of the usual size where there is room. Returns its number.
async fn draw(
    tx: &mut Tx,
    actor: Actor,
    id: i64,
    kind: Kind,
    now: OffsetDateTime,
) -> Result<std::result::Result<u32, Refused>> {
    let mut added = 0;
    let done = store::change(tx, actor, id, now, |plan, version| {
        let place = plan.free_place();
        added = plan.add(Drawn { version, ..Drawn::usual(0, kind, place) });
        Ok(format!("{} added", capital(kind.as_str())))
    });
    Ok(done.await?.map(|_| added))
}
