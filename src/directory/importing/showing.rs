//! Choosing a file, and showing what is in it before anything is saved.

use super::checking::{check_file, known};
use super::page::{PATH, view, waiting};
use crate::accounts::PeopleKeeper;
use crate::directory::{sample, store};
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::page::{show, show_as};
use crate::web::routes::get;
use axum::Router;
use axum::extract::State;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum_extra::extract::Query;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/import", get(index)).route("/people/import/sample.csv", get(sample_file))
}

#[derive(Deserialize, Default)]
#[serde(default)]
struct Which {
    file: i64,
}

async fn index(
    State(app): State<App>,
    PeopleKeeper(visit): PeopleKeeper,
    Query(which): Query<Which>,
) -> Result<Response> {
    if which.file == 0 {
        return show(&view(&app, &visit, String::new(), None).await?);
    }
    let now = app.clock.now();
    let Some(import) = store::waiting(app.db.read(), which.file, visit.user.account_id).await? else {
        return Ok(flash::redirect(PATH, "That file is no longer here. Choose it again."));
    };
    match check_file(&app, &import, now).await? {
        Ok(checked) => {
            let known = known(&app, &checked.people).await?.len();
            let waiting = waiting(&import, checked, known);
            show(&view(&app, &visit, String::new(), Some(waiting)).await?)
        }
        Err(wrong) => show_as(StatusCode::UNPROCESSABLE_ENTITY, &view(&app, &visit, wrong, None).await?),
    }
}

async fn sample_file(PeopleKeeper(_): PeopleKeeper) -> Result<Response> {
    let saved = [
        (header::CONTENT_TYPE, "text/csv; charset=utf-8"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"people-sample.csv\""),
    ];
    Ok((saved, sample::table()?).into_response())
}
