//! The safety officer accepts a finding as it is, with a reason.

use super::page::href;
use super::said::Shown;
use super::snapshot::SiteSnapshot;
use super::store::{self, Settled};
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
    Router::new().route("/events/{id}/rooms/site/accept", post(settle))
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

/// Accepts a finding, or takes that back.
async fn settle(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(typed): Form<Accept>,
) -> Result<Response> {
    let snapshot = SiteSnapshot::load(&app, id).await?;
    if !visit.user.accepts_risk() {
        return Err(Error::Forbidden(
            "Only the safety officer can accept a finding. Ask the safety officer, or fix it on the drawing.",
        ));
    }
    let meant = |shown: &Shown| shown.key == typed.finding && shown.can_be_accepted();
    let account = visit.user.account_id;
    let said = match snapshot.findings.into_iter().find(meant) {
        None => "Nothing was accepted: the drawing changed, and this is no longer found.".to_owned(),
        Some(shown) if typed.act == "take back" => take_back(&app, account, id, shown).await?,
        Some(shown) if typed.is_outdated(&shown) => {
            "Nothing was accepted: the number changed after you opened the page. Read it again, then accept it."
                .to_owned()
        }
        Some(shown) => accept(&app, account, id, shown, &typed).await?,
    };
    Ok(flash::redirect(&href(id), &said))
}

impl Accept {
    /// Is it worse than what was read? What has no number may have become worse, too.
    fn is_outdated(&self, shown: &Shown) -> bool {
        let is_worse = self.badness.parse().is_ok_and(|badness: f64| shown.badness > badness + 1e-6);
        shown.number != self.number || is_worse
    }
}

async fn take_back(app: &App, account: i64, id: i64, shown: Shown) -> Result<String> {
    let now = app.clock.now();
    let found = settled(shown);
    let write =
        app.db.write(move |tx| Box::pin(async move { store::settle_again(tx, account, id, &found, now).await }));
    Ok(if write.await? { "Taken back. It's open again." } else { "It wasn't accepted." }.to_owned())
}

async fn accept(app: &App, account: i64, id: i64, shown: Shown, typed: &Accept) -> Result<String> {
    let now = app.clock.now();
    let reason = form::line(&typed.reason, 300).map_err(|_| {
        Error::BadRequest(
            "Say why you accept it, in at most 300 letters. Go back, type a reason, and send it again.".to_owned(),
        )
    })?;
    let said = format!("Accepted: {}. If it gets worse, it comes back.", shown.title);
    let found = settled(shown);
    let write =
        app.db.write(move |tx| Box::pin(async move { store::accept(tx, account, id, &found, &reason, now).await }));
    write.await?;
    Ok(said)
}

fn settled(shown: Shown) -> Settled {
    Settled { finding: shown.key, called: shown.title, badness: shown.badness }
}
