//! Files of everyone to download.

use super::export;
use crate::accounts::PeopleReader;
use crate::error::Result;
use crate::people::{self, Details};
use crate::state::App;
use crate::web::routes::get;
use axum::Router;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};

pub(super) fn router() -> Router<App> {
    Router::new().route("/people/export.csv", get(export_csv)).route("/people/export.vcf", get(export_vcards))
}

async fn everybody(app: &App) -> Result<Vec<Details>> {
    let people = people::everyone(&mut *app.db.read().acquire().await?).await?;
    Ok(people.into_iter().map(|person| person.details).collect())
}

fn file(kind: &'static str, name: &'static str, body: String) -> Response {
    let saved = format!("attachment; filename=\"{name}\"");
    ([(header::CONTENT_TYPE, kind.to_owned()), (header::CONTENT_DISPOSITION, saved)], body).into_response()
}

async fn export_csv(State(app): State<App>, PeopleReader(_): PeopleReader) -> Result<Response> {
    Ok(file("text/csv; charset=utf-8", "people.csv", export::csv(&everybody(&app).await?)?))
}

async fn export_vcards(State(app): State<App>, PeopleReader(_): PeopleReader) -> Result<Response> {
    Ok(file("text/vcard; charset=utf-8", "people.vcf", export::vcards(&everybody(&app).await?)))
}
