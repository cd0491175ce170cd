//! Signing a decision: go, hold, no burn, or stop.

use super::decision::Decision;
use super::page::href;
use super::says::refused;
use super::signature::Says;
use super::snapshot::{GateSnapshot, role};
use super::store::{self, NewSignature};
use crate::accounts::{User, Worker};
use crate::calc::gates::{self, Refused, may_sign};
use crate::db::Tx;
use crate::error::{Error, Result};
use crate::events;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, optional_line};
use crate::web::path::Path;
use crate::web::query::query_escape;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/gates/sign", post(sign))
}

#[derive(Debug, Default, Deserialize)]
#[serde(default)]
struct SignForm {
    decision: String,
    says: String,
    reason: String,
    /// What the page showed.
    seen: String,
}

async fn sign(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Form(form): Form<SignForm>,
) -> Result<Response> {
    events::found(app.db.read(), id).await?;
    let decision: Decision = form.decision.parse().map_err(Error::BadRequest)?;
    let says: Says = form.says.parse().map_err(Error::BadRequest)?;
    let to = format!("{}?for={}", href(id), query_escape(decision.as_str()));
    let Ok(reason) = optional_line(&form.reason, 200) else {
        return Ok(flash::redirect(&to, "Not signed: keep the reason on one line of at most 200 characters."));
    };
    let (now, user, seen) = (app.clock.now(), visit.user.clone(), form.seen);
    let signing = Signing { event_id: id, decision, says, reason, seen };
    let write = app.db.write(move |tx| Box::pin(async move { signing.save(tx, &user, now).await }));
    Ok(flash::redirect(&to, &write.await?))
}

/// A signature on its way.
#[derive(Debug, Clone)]
struct Signing {
    event_id: i64,
    decision: Decision,
    says: Says,
    reason: String,
    seen: String,
}

impl Signing {
    /// Signs, if what the page showed is still so. Returns what to say.
    async fn save(&self, tx: &mut Tx, user: &User, now: OffsetDateTime) -> Result<String> {
        let event = events::find_in(tx, self.event_id).await?.ok_or(Error::NotFound)?;
        let snapshot = GateSnapshot::of(tx, event, now).await?;
        if self.says == Says::Go && state(&snapshot, self.decision) != self.seen {
            return Ok("Not signed: a gate or a signature changed after you opened the page. Look again, then sign."
                .to_owned());
        }
        if self.says == Says::Go && snapshot.needed(self.decision).next().is_none() {
            return Ok("Not signed: no gate belongs to this decision yet.".to_owned());
        }
        if self.says != Says::Stop
            && let Err(why) = self.check(&snapshot, user)
        {
            return Ok(refused(&snapshot, &why));
        }
        let new = NewSignature {
            event_id: self.event_id,
            decision: self.decision,
            says: self.says,
            reason: self.reason.clone(),
            lights: gates::snapshot(&snapshot.gates_now(self.decision)),
        };
        store::sign(tx, user, &new, now).await?;
        Ok(match self.says {
            Says::Go => "Signed: go.",
            Says::Hold => "Signed: hold. Go needs both signatures again.",
            Says::NoBurn => "Signed: no burn.",
            Says::Stop => "Stop is on record. Radio and air horn first.",
        }
        .to_owned())
    }

    fn check(&self, snapshot: &GateSnapshot, user: &User) -> Result<(), Refused> {
        let now = snapshot.gates_now(self.decision);
        let press = gates::Signature {
            by: user.person_id,
            role: role(user.role),
            says: match self.says {
                Says::Go => gates::Says::Go,
                Says::Hold => gates::Says::Hold,
                Says::NoBurn | Says::Stop => gates::Says::No,
            },
            at: snapshot.now.unix_timestamp(),
            reason: !self.reason.is_empty(),
            lights: gates::snapshot(&now),
        };
        may_sign(&press, &now, &snapshot.signatures_of(self.decision))
    }
}

/// What a page shows of a decision, to see whether it changed: each gate's version and look, the
/// last reading, and the last hold or no. Two people may sign go at the same time.
pub(super) fn state(snapshot: &GateSnapshot, decision: Decision) -> String {
    let gates = snapshot
        .needed(decision)
        .map(|gate| format!("{}.{}.{}", gate.id, gate.version, super::line::mark(snapshot.light(gate, decision))));
    let signed = snapshot.signed(decision).filter(|one| one.says != Says::Go).last().map_or(0, |one| one.id);
    format!("{} {} {signed}", gates.collect::<Vec<_>>().join(" "), snapshot.seen())
}
