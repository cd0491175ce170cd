//! The pace, and what the talk leaves time for, changed.

use super::page::{Version, event, href, page, under};
use super::practice::{own_rate, practices};
use super::{Settings, store};
use crate::accounts::{Visit, Worker};
use crate::calc::talk::Pace;
use crate::error::Result;
use crate::events::Event;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Both, Mistakes, in_pieces};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/burn-day/talk/pace", get(pace).merge(post(save_pace)))
}

/// The pace as it is typed.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize, Default)]
#[serde(default)]
struct PaceForm {
    children: String,
    adults: String,
    pauses: String,
    listen: String,
    attack: String,
    clear: String,
}

type Field = (&'static str, &'static str, fn(&PaceForm) -> &String);

const FIELDS: [Field; 6] = [
    ("children", "Words a minute, to children", |form| &form.children),
    ("adults", "Words a minute, to adults", |form| &form.adults),
    ("pauses", "Added for pauses and echo, percent", |form| &form.pauses),
    ("listen", "Quiet after a key moment, seconds", |form| &form.listen),
    ("attack", "From flashover to the crew's water, seconds", |form| &form.attack),
    ("clear", "Free before ignition, minutes", |form| &form.clear),
];

impl PaceForm {
    fn of(settings: &Settings) -> Self {
        Self {
            children: settings.pace.children.to_string(),
            adults: settings.pace.adults.to_string(),
            pauses: settings.pace.pauses.to_string(),
            listen: settings.listen.to_string(),
            attack: settings.attack.to_string(),
            clear: settings.clear.to_string(),
        }
    }

    fn read(&self, version: i64) -> Result<Settings, Mistakes> {
        let mut wrong = Mistakes::default();
        let children = wrong.note("children", form::number(&self.children, 40, 300));
        let adults = wrong.note("adults", form::number(&self.adults, 40, 300));
        let pauses = wrong.note("pauses", form::number(&self.pauses, 0, 200));
        let listen = wrong.note("listen", form::number(&self.listen, 0, 60));
        let attack = wrong.note("attack", form::number(&self.attack, 0, 600));
        let clear = wrong.note("clear", form::number(&self.clear, 0, 60));
        match (children.zip(adults).zip(pauses), listen.zip(attack).zip(clear)) {
            (Some(((children, adults), pauses)), Some(((listen, attack), clear))) => {
                Ok(Settings { pace: Pace { children, adults, pauses }, listen, attack, clear, version })
            }
            _ => Err(wrong),
        }
    }
}

#[derive(Template)]
#[template(path = "talk/pace.html")]
struct PacePage {
    page: Page,
    event_id: i64,
    form: PaceForm,
    version: i64,
    mistakes: Mistakes,
    /// What practices showed.
    own: String,
}

async fn pace_page(
    app: &App,
    visit: &Visit,
    event: &Event,
    version: i64,
    (form, mistakes): (PaceForm, Mistakes),
) -> Result<PacePage> {
    let practices = practices(&mut *app.db.read().acquire().await?, event.id).await?;
    let own = own_rate(&practices, visit.user.account_id);
    Ok(PacePage {
        page: under(app, visit, event, "Pace and times").await?,
        event_id: event.id,
        form,
        version,
        mistakes,
        own,
    })
}

async fn pace(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    let event = event(&app, id).await?;
    let settings = store::settings(&mut *app.db.read().acquire().await?, id).await?;
    let form = (PaceForm::of(&settings), Mistakes::default());
    show(&pace_page(&app, &visit, &event, settings.version, form).await?)
}

async fn save_pace(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Both(typed, Version { version }): Both<PaceForm, Version>,
) -> Result<Response> {
    let event = event(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    let new = match typed.read(version) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = pace_page(&app, &visit, &event, version, (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| Box::pin(async move { store::put_settings(tx, actor, id, &new, now).await }));
    if write.await? {
        return Ok(flash::redirect(&href(id), "Saved. The lines are timed with these numbers."));
    }
    let theirs = store::settings(&mut *app.db.read().acquire().await?, id).await?;
    let mut conflict = Conflict::new("Pace and times", format!("{}/pace", href(id)), theirs.version);
    let shown = PaceForm::of(&theirs);
    for (name, label, of) in FIELDS {
        conflict.field(name, label, of(&shown), of(&typed));
    }
    conflict::show(page(&app, &visit, &event, "The talk").await?, &conflict)
}
