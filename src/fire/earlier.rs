//! Times of the department's earlier burns, beside the estimate.

use super::page::{must_plan_fire, page};
use super::quantities::clock;
use super::snapshot::FireSnapshot;
use super::store::{self, Earlier};
use crate::accounts::{SignedIn, Visit};
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/fire/earlier", get(list).merge(post(add)))
        .route("/events/{id}/rooms/fire/earlier/{burn}/remove", post(remove))
}

/// The longest time of a burn, s.
const LONGEST: u32 = 3600;

#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
struct BurnForm {
    name: String,
    burned_on: String,
    alarm: String,
    sprinkler: String,
    flashover: String,
}

/// "1:45", or "105" seconds; nothing if it wasn't measured.
fn time(text: &str) -> Result<Option<u32>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let wrong = || "Type minutes and seconds, as in 1:45, up to 60:00.".to_owned();
    let number = |text: &str| {
        let is_plain = !text.is_empty() && text.len() < 5 && text.bytes().all(|byte| byte.is_ascii_digit());
        text.parse::<u32>().ok().filter(|_| is_plain).ok_or_else(wrong)
    };
    let seconds = match text.split_once(':') {
        Some((minutes, seconds)) if seconds.len() == 2 && number(seconds)? < 60 => {
            number(minutes)? * 60 + number(seconds)?
        }
        Some(_) => return Err(wrong()),
        None => number(text)?,
    };
    if (1..=LONGEST).contains(&seconds) { Ok(Some(seconds)) } else { Err(wrong()) }
}

impl BurnForm {
    fn read(&self, today: Date) -> Result<Earlier, Mistakes> {
        let mut mistakes = Mistakes::default();
        let name = mistakes.note("name", form::line(&self.name, 80));
        let past = |on: Date| if on > today { Err("Type a day in the past.".to_owned()) } else { Ok(on) };
        let on = mistakes.note("burned_on", form::day(&self.burned_on).and_then(past));
        let alarm = mistakes.note("alarm", time(&self.alarm));
        let sprinkler = mistakes.note("sprinkler", time(&self.sprinkler));
        let flashover = mistakes.note("flashover", time(&self.flashover));
        if [alarm, sprinkler, flashover] == [Some(None); 3] {
            mistakes.add("alarm", "Type at least one time.");
        }
        match (name, on, alarm, sprinkler, flashover) {
            (Some(name), Some(on), Some(alarm), Some(sprinkler), Some(flashover)) if mistakes.is_empty() => {
                Ok(Earlier { id: 0, name, on, alarm, sprinkler, flashover })
            }
            _ => Err(mistakes),
        }
    }
}

struct BurnLine {
    id: i64,
    name: String,
    on: String,
    alarm: String,
    sprinkler: String,
    flashover: String,
}

#[derive(Template)]
#[template(path = "fire/earlier.html")]
struct EarlierPage {
    page: Page,
    event_id: i64,
    may: bool,
    burns: Vec<BurnLine>,
    form: BurnForm,
    mistakes: Mistakes,
}

async fn view(
    app: &App,
    visit: &Visit,
    id: i64,
    (form, mistakes): (BurnForm, Mistakes),
    now: OffsetDateTime,
) -> Result<EarlierPage> {
    let known = FireSnapshot::load(app, id).await?;
    let shown = |time: Option<u32>| time.map_or_else(|| "not measured".to_owned(), |time| clock(f64::from(time)));
    let line = |burn: &Earlier| BurnLine {
        id: burn.id,
        name: burn.name.clone(),
        on: Reader::App.day(burn.on),
        alarm: shown(burn.alarm),
        sprinkler: shown(burn.sprinkler),
        flashover: shown(burn.flashover),
    };
    let up = format!("/events/{id}/rooms/fire");
    Ok(EarlierPage {
        page: page(app, visit, &known.event, "Earlier burns", now).await?.under(up, "What the fire will do"),
        event_id: id,
        may: visit.user.plans_burn(),
        burns: known.earlier.iter().map(line).collect(),
        form,
        mistakes,
    })
}

async fn list(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let empty = (BurnForm::default(), Mistakes::default());
    show(&view(&app, &visit, id, empty, app.clock.now()).await?)
}

async fn add(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(form): Form<BurnForm>,
) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let today = FireSnapshot::load(&app, id).await?.event.today(now);
    let burn = match form.read(today) {
        Ok(burn) => burn,
        Err(mistakes) => {
            let page = view(&app, &visit, id, (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    app.db.write(move |tx| Box::pin(async move { store::add_earlier(tx, actor, &burn, now).await })).await?;
    Ok(flash::redirect(&format!("/events/{id}/rooms/fire/earlier"), "Added. Its times are now beside the estimate."))
}

async fn remove(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, burn)): Path<(i64, i64)>,
) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    FireSnapshot::load(&app, id).await?;
    let removed = app.db.write(move |tx| Box::pin(async move { store::remove_earlier(tx, actor, burn, now).await }));
    let said = if removed.await? { "Removed." } else { "It was removed already." };
    Ok(flash::redirect(&format!("/events/{id}/rooms/fire/earlier"), said))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_read_and_others_refused() {
        for (text, seconds) in
            [("", None), ("1:45", Some(105)), ("0:19", Some(19)), ("105", Some(105)), ("60:00", Some(3600))]
        {
            assert_eq!(time(text), Ok(seconds), "{text}");
        }
        for text in ["0", "0:00", "1:60", "1:5", ":30", "61:00", "-1", "NaN", "1.5", "99999999999", "1:2:3"] {
            assert!(time(text).is_err(), "{text}");
        }
    }
}
