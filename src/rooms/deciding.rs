//! Fuel warnings, and the decisions about them.

use super::hazard::Hazard;
use super::page::{page, snapshot};
use super::snapshot::RoomSnapshot;
use super::store::{self, Ruling};
use super::warning_lines::WarningLine;
use crate::accounts::{Role, SignedIn, User, Visit};
use crate::error::{Error, Result};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/warnings", get(warnings).merge(post(decide)))
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct DecisionForm {
    hazard: String,
    what: String,
    quantity: String,
    decided: String,
    on: String,
}

#[derive(Template)]
#[template(path = "rooms/warnings.html")]
struct WarningsPage {
    page: Page,
    event_id: i64,
    decides: bool,
    lines: Vec<WarningLine>,
    form: DecisionForm,
    mistakes: Mistakes,
}

impl WarningsPage {
    /// What was typed about this warning.
    fn typed(&self, line: &WarningLine) -> Option<&DecisionForm> {
        let is_meant = self.form.hazard == line.hazard && self.form.what == line.key;
        Some(&self.form).filter(|_| is_meant)
    }

    /// Was something typed about a warning that is gone?
    fn is_lost(&self) -> bool {
        !self.mistakes.is_empty() && self.lines.iter().all(|line| self.typed(line).is_none())
    }

    fn mistake(&self, line: &WarningLine, field: &str) -> &str {
        if self.typed(line).is_some() { self.mistakes.of(field) } else { "" }
    }

    fn decided(&self, line: &WarningLine) -> &str {
        self.typed(line).map_or("", |form| &form.decided)
    }

    fn on(&self, line: &WarningLine) -> &str {
        self.typed(line).map_or(&self.form.on, |form| &form.on)
    }
}

async fn warnings(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    let form = DecisionForm { on: words::iso(snapshot.today(now)), ..DecisionForm::default() };
    show(&warnings_view(&app, &visit, &snapshot, (form, Mistakes::default()), now).await?)
}

async fn warnings_view(
    app: &App,
    visit: &Visit,
    snapshot: &RoomSnapshot,
    (form, mistakes): (DecisionForm, Mistakes),
    now: OffsetDateTime,
) -> Result<WarningsPage> {
    Ok(WarningsPage {
        page: page(app, visit, &snapshot.event, "Fuel warnings", now).await?,
        event_id: snapshot.event.id,
        decides: decides(&visit.user),
        lines: WarningLine::all(snapshot, snapshot.today(now)),
        form,
        mistakes,
    })
}

impl DecisionForm {
    fn read(&self, snapshot: &RoomSnapshot, user: &User, today: Date) -> Result<Ruling, Mistakes> {
        let mut mistakes = Mistakes::default();
        let hazard = mistakes.note("decided", self.hazard.parse::<Hazard>());
        let known = snapshot.warnings();
        let known = known.iter().find(|known| Some(known.hazard) == hazard && known.key == self.what);
        if known.is_none() {
            mistakes.add("decided", "This warning is no longer on the list. Check the warnings below.");
        }
        let decided = mistakes.note("decided", form::line(&self.decided, 200));
        let day = form::day(&self.on).and_then(|on| {
            if on > today { Err("This date is in the future. Enter today or earlier.".to_owned()) } else { Ok(on) }
        });
        let on = mistakes.note("on", day);
        match (known, decided, on) {
            (Some(known), Some(decided), Some(on)) => Ok(Ruling {
                hazard: known.hazard,
                what: known.key.clone(),
                quantity: known.quantity(),
                decided,
                by: user.name.clone(),
                signed_as: user.role.to_string(),
                on,
            }),
            _ => Err(mistakes),
        }
    }
}

/// Only the people responsible for the fire decide what may burn.
fn decides(user: &User) -> bool {
    matches!(user.role, Role::SafetyOfficer | Role::BurnBoss)
}

async fn decide(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(form): Form<DecisionForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = snapshot(&app, id).await?;
    if !decides(&visit.user) {
        return Err(Error::Forbidden(
            "Only the safety officer or the burn boss can sign a decision about fuel. Ask one of them, or go back.",
        ));
    }
    let ruling = match form.read(&snapshot, &visit.user, snapshot.today(now)) {
        Ok(ruling) => ruling,
        Err(mistakes) => {
            let page = warnings_view(&app, &visit, &snapshot, (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let account = visit.user.account_id;
    app.db.write(move |tx| Box::pin(async move { store::rule(tx, account, id, &ruling, now).await })).await?;
    Ok(flash::redirect(&format!("/events/{id}/rooms/warnings"), "Decision saved and signed with your name."))
}
