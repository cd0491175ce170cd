//! The gates of a decision, where it stands, and the buttons that sign it.

use super::decision::Decision;
use super::line::{GateLine, moment};
use super::page::{DECIDES, Wanted, href};
use super::says::{Standing, standing};
use super::signing::state;
use super::snapshot::{GateSnapshot, role};
use super::starting::without_gate;
use crate::accounts::{Role, SignedIn, User};
use crate::calc::gates::{self, Light};
use crate::error::Result;
use crate::events;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::query::query_escape;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum_extra::extract::Query;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/gates", get(index))
}

/// A decision to look at.
struct Tab {
    href: String,
    title: &'static str,
    when: String,
    is_here: bool,
}

#[derive(Template)]
#[template(path = "gates/index.html")]
struct Index {
    page: Page,
    here: String,
    /// The same on paper.
    sheet: String,
    decision: Decision,
    tabs: Vec<Tab>,
    /// None while there are no gates.
    standing: Option<Standing>,
    lines: Vec<GateLine>,
    /// How many are good.
    good: usize,
    /// Permits whose conditions are no gate yet.
    conditions: usize,
    may_edit: bool,
    /// May sign go, hold, and no burn.
    may_sign: bool,
    may_adopt: bool,
    works: bool,
    is_officer: bool,
    needs_reason: bool,
    /// What is shown, to see whether it changed before someone signs.
    state: String,
    decides: &'static str,
}

async fn index(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(wanted): Query<Wanted>,
) -> Result<Response> {
    let snapshot = GateSnapshot::load(&app, id).await?;
    let decision = wanted.decision(&snapshot);
    let conditions = without_gate(&mut *app.db.read().acquire().await?, &snapshot).await?.len();
    let page = events::page(&app, &visit, Some(&snapshot.event), snapshot.now).await?.titled("Gates");
    show(&Index { conditions, ..Index::of(&snapshot, decision, page, &visit.user) })
}

impl Index {
    /// Without the permits' conditions.
    fn of(snapshot: &GateSnapshot, decision: Decision, page: Page, user: &User) -> Self {
        let now = snapshot.gates_now(decision);
        let mut lines: Vec<GateLine> =
            snapshot.needed(decision).map(|gate| GateLine::of(snapshot, gate, decision)).collect();
        // What speaks against the burn comes first.
        lines.sort_by_key(|line| ["red", "amber", "missing", "good"].iter().position(|mark| *mark == line.mark));
        Self {
            page,
            here: href(snapshot.event.id),
            sheet: format!("{}/sheet?for={}", href(snapshot.event.id), query_escape(decision.as_str())),
            decision,
            tabs: Decision::ALL.map(|one| tab(snapshot, one, decision)).into(),
            standing: (!snapshot.gates.is_empty()).then(|| standing(snapshot, decision)),
            good: now.iter().filter(|gate| gate.light == Light::Good).count(),
            conditions: 0,
            may_edit: user.plans_burn(),
            may_sign: role(user.role) != gates::Role::Crew,
            may_adopt: user.role == Role::SafetyOfficer,
            works: user.works(),
            is_officer: user.role == Role::SafetyOfficer,
            needs_reason: now.iter().any(|gate| gate.light == Light::Amber { again: true }),
            state: state(snapshot, decision),
            lines,
            decides: DECIDES,
        }
    }
}

fn tab(snapshot: &GateSnapshot, one: Decision, here: Decision) -> Tab {
    let event = &snapshot.event;
    let when = snapshot.times.at(event, one).map(|at| {
        let wall = event.details.zone.wall(at);
        if one == Decision::LastMinutes {
            moment(snapshot, at)
        } else {
            Reader::App.near_moment(wall, event.today(snapshot.now))
        }
    });
    Tab {
        href: format!("{}?for={}", href(event.id), query_escape(one.as_str())),
        title: one.title(),
        when: when.unwrap_or_default(),
        is_here: one == here,
    }
}
