//! Changing a rule.

use super::event_rule::{EventRule, basis};
use super::page::{Index, event, view};
use super::store;
use crate::accounts::Officer;
use crate::calc::reminder::Rule;
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::show_as;
use crate::web::path::Path;
use crate::web::routes::post;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/scheduled/rules", post(save_rule))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct RuleForm {
    kind: String,
    rule: String,
    on: String,
    days: String,
    basis: String,
    at: String,
    version: i64,
}

impl RuleForm {
    fn read(&self, rules: &[EventRule]) -> Result<EventRule, Mistakes> {
        let mut mistakes = Mistakes::default();
        let rule = rules.iter().find(|held| held.kind.as_str() == self.kind && held.rule.key == self.rule);
        let days = mistakes.note("days", form::number(&self.days, 0_u16, 400));
        let basis = mistakes.note("basis", basis(&self.basis).ok_or("Choose calendar or working days.".to_owned()));
        let at = mistakes.note("at", form::time_of_day(&self.at));
        match (rule, days, basis, at) {
            (Some(held), Some(days), Some(basis), Some(at)) => Ok(EventRule {
                rule: Rule { days, basis, at, ..held.rule },
                is_on: self.on == "yes",
                version: self.version,
                ..*held
            }),
            (None, ..) => {
                mistakes.add("days", "This rule doesn't exist. Reload the page and try again.");
                Err(mistakes)
            }
            _ => Err(mistakes),
        }
    }
}

async fn save_rule(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<RuleForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let event = event(&app, id).await?;
    let rules = store::rules(&mut *app.db.read().acquire().await?, id).await?;
    let here = format!("/events/{id}/scheduled");
    let new = match form.read(&rules) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = view(&app, &visit, &event, now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &again(page, form, mistakes));
        }
    };
    let actor = visit.user.actor();
    let saved =
        app.db.write(move |tx| Box::pin(async move { store::save_rule(tx, actor, &event, &new, now).await })).await?;
    let said = if saved {
        "Rule saved. The schedule below follows it."
    } else {
        "Not saved: someone else changed this rule in the meantime. Check it, then make your change again."
    };
    Ok(flash::redirect(&here, said))
}

/// The page with a form as it was typed.
fn again(mut page: Index, form: RuleForm, mistakes: Mistakes) -> Index {
    page.wrong = format!("{}-{}", form.kind, form.rule);
    if let Some(line) = page.rules.iter_mut().find(|line| line.id() == page.wrong) {
        (line.days, line.basis, line.at) = (form.days, form.basis, form.at);
        line.is_on = form.on == "yes";
    }
    page.mistakes = mistakes;
    page
}
