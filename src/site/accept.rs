//! The safety officer accepts a finding as it is, with a reason.

use super::routes::href;
use super::snapshot::SiteSnapshot;
use super::store;
use crate::accounts::SignedIn;
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form};
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/site/accept", post(accept))
}

#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Accept {
    finding: String,
    /// The number that was read, and how bad it was.
    number: String,
    badness: String,
    reason: String,
    act: String,
}

async fn accept(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(typed): Form<Accept>,
) -> Result<Response> {
    let (now, account) = (app.clock.now(), visit.user.account_id);
    let snapshot = SiteSnapshot::load(&app, id).await?;
    if !visit.user.accepts_risk() {
        return Err(Error::Forbidden(
            "Only the safety officer can accept a finding. Ask the safety officer, or fix it on the drawing.",
        ));
    }
    let Some(shown) = snapshot.findings.into_iter().find(|shown| shown.key == typed.finding && shown.can_be_accepted())
    else {
        return Ok(flash::redirect(
            &href(id),
            "Nothing was accepted: the drawing changed, and this is no longer found.",
        ));
    };
    if typed.act == "take back" {
        let write = app.db.write(move |tx| {
            let what = (shown.key, shown.title);
            Box::pin(async move { store::settle_again(tx, account, id, (&what.0, &what.1), now).await })
        });
        let said = if write.await? { "Taken back. It's open again." } else { "It wasn't accepted." };
        return Ok(flash::redirect(&href(id), said));
    }
    // What has no number may have become worse, too.
    let is_worse = typed.badness.parse().is_ok_and(|badness: f64| shown.badness > badness + 1e-6);
    if shown.number != typed.number || is_worse {
        let said = "Nothing was accepted: the number changed after you opened the page. Read it again, then accept it.";
        return Ok(flash::redirect(&href(id), said));
    }
    let reason = form::line(&typed.reason, 300).map_err(|_| {
        Error::BadRequest(
            "Say why you accept it, in at most 300 letters. Go back, type a reason, and send it again.".to_owned(),
        )
    })?;
    let said = format!("Accepted: {}. If it gets worse, it comes back.", shown.title);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let what = (shown.key.as_str(), shown.title.as_str(), shown.badness);
            store::accept(tx, account, id, what, &reason, now).await
        })
    });
    write.await?;
    Ok(flash::redirect(&href(id), &said))
}
