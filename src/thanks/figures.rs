//! What the letters say about the day, and who signs them.

use super::context::ThanksContext;
use super::form::{DayForm, FORM};
use super::views::DayPage;
use super::{Day, store};
use crate::accounts::{Officer, Visit};
use crate::error::Result;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::{events, people};
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/guests/thanks/day", get(day_page).merge(post(save_day)))
}

async fn day_page(State(app): State<App>, Officer(visit): Officer, Path(id): Path<i64>) -> Result<Response> {
    let context = ThanksContext::of(&app, &visit, id, app.clock.now()).await?;
    let form = DayForm::of(&context.day);
    show(&day_view(&app, &visit, &context, form, Mistakes::default()).await?)
}

async fn day_view(
    app: &App,
    visit: &Visit,
    context: &ThanksContext,
    form: DayForm,
    mistakes: Mistakes,
) -> Result<DayPage> {
    Ok(DayPage {
        page: context.page(app, visit, "Figures and signature").await?,
        event_id: context.event.id,
        form,
        mistakes,
        names: people::list(app.db.read()).await?,
        sender: context.sender.name.clone(),
    })
}

async fn save_day(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<DayForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let context = ThanksContext::of(&app, &visit, id, now).await?;
    let day = match form.read() {
        Ok(day) => day,
        Err(mistakes) => {
            let page = day_view(&app, &visit, &context, form, mistakes).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (actor, event) = (visit.user.actor(), context.event.clone());
    let save = app.db.write(move |tx| Box::pin(async move { store::save_day(tx, actor, &event, &day, now).await }));
    if save.await? {
        return Ok(flash::redirect(
            &format!("/events/{id}/guests/thanks"),
            "Saved. All thank-you letters use this now.",
        ));
    }
    let saved = store::day(&mut *app.db.read().acquire().await?, id).await?;
    conflict::show(events::page(&app, &visit, Some(&context.event), now).await?, &stale(id, &saved, &form))
}

fn stale(event_id: i64, saved: &Day, form: &DayForm) -> Conflict {
    let theirs = DayForm::of(saved);
    let action = format!("/events/{event_id}/guests/thanks/day");
    let mut conflict = Conflict::new("Figures and signature", action, saved.version);
    conflict.silent("act", "save");
    for field in FORM {
        conflict.field(field.name, field.label, (field.of)(&theirs), (field.of)(form));
    }
    conflict
}
