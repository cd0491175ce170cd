//! How much sizes may differ, and how many extra building parts to get.

use super::Length;
use super::page::{page, snapshot};
use super::snapshot::RoomSnapshot;
use super::store::{self, RoomSettings};
use crate::accounts::{Officer, SignedIn, Visit};
use crate::error::Result;
use crate::events;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/tolerance", get(tolerance).merge(post(save_tolerance)))
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct SettingsForm {
    percent: String,
    length: String,
    spare: String,
    version: i64,
}

impl SettingsForm {
    fn of(settings: &RoomSettings) -> Self {
        Self {
            percent: settings.percent.to_string(),
            length: settings.length.typed(),
            spare: settings.spare.to_string(),
            version: settings.version,
        }
    }

    fn read(&self) -> Result<RoomSettings, Mistakes> {
        let mut mistakes = Mistakes::default();
        let percent = mistakes.note("percent", form::number(&self.percent, 0, 50));
        let short = |length: Length| {
            if length.tenths > 10_000 { Err("Type at most 39 in (1 m).".to_owned()) } else { Ok(length) }
        };
        let length = mistakes.note("length", Length::read(&self.length).and_then(short));
        let spare = mistakes.note("spare", form::number(&self.spare, 0, 100));
        match (percent, length, spare) {
            (Some(percent), Some(length), Some(spare)) => {
                Ok(RoomSettings { percent, length, spare, version: self.version })
            }
            _ => Err(mistakes),
        }
    }
}

#[derive(Template)]
#[template(path = "rooms/tolerance.html")]
struct TolerancePage {
    page: Page,
    event_id: i64,
    says: String,
    form: SettingsForm,
    mistakes: Mistakes,
}

async fn tolerance_view(
    app: &App,
    visit: &Visit,
    snapshot: &RoomSnapshot,
    (form, mistakes): (SettingsForm, Mistakes),
    now: OffsetDateTime,
) -> Result<TolerancePage> {
    Ok(TolerancePage {
        page: page(app, visit, &snapshot.event, "Size tolerance", now).await?,
        event_id: snapshot.event.id,
        says: snapshot.tolerance(),
        form,
        mistakes,
    })
}

async fn tolerance(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = snapshot(&app, id).await?;
    let form = SettingsForm::of(&snapshot.settings);
    show(&tolerance_view(&app, &visit, &snapshot, (form, Mistakes::default()), app.clock.now()).await?)
}

async fn save_tolerance(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<SettingsForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let known = snapshot(&app, id).await?;
    let new = match form.read() {
        Ok(new) => new,
        Err(mistakes) => {
            let page = tolerance_view(&app, &visit, &known, (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| Box::pin(async move { store::save_settings(tx, actor, id, &new, now).await }));
    if write.await? {
        let said = "Saved. The rooms are paired again with these settings.";
        return Ok(flash::redirect(&format!("/events/{id}/rooms"), said));
    }
    let saved = snapshot(&app, id).await?.settings;
    conflict::show(events::page(&app, &visit, Some(&known.event), now).await?, &stale(id, &saved, &form))
}

fn stale(id: i64, saved: &RoomSettings, mine: &SettingsForm) -> Conflict {
    let theirs = SettingsForm::of(saved);
    let mut conflict = Conflict::new("Size tolerance", format!("/events/{id}/rooms/tolerance"), theirs.version);
    conflict.field("percent", "Percent of the larger size", &theirs.percent, &mine.percent);
    conflict.field("length", "Length", &theirs.length, &mine.length);
    conflict.field("spare", "Extra building parts", &theirs.spare, &mine.spare);
    conflict
}
