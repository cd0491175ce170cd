//! The permits in hand, to print for the safety officer.

use super::facts::{authority, read_back};
use super::problem_line::{ProblemLine, problem_lines};
use super::records::{Records, Seen};
use crate::accounts::{SignedIn, User};
use crate::error::Result;
use crate::permit_records::{Kind, Permit};
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;
use time::Date;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/permits/print", get(print))
}

/// A record printed for the safety officer.
struct Sheet {
    title: String,
    kind: Kind,
    facts: Vec<(&'static str, String)>,
    conditions: String,
    read_back: String,
    problems: Vec<ProblemLine>,
}

#[derive(Template)]
#[template(path = "permits/print.html")]
struct Print {
    page: Page,
    event_id: i64,
    event_line: String,
    printed: String,
    sheets: Vec<Sheet>,
    /// Titles of what isn't granted yet.
    open: Vec<String>,
}

fn sheet(seen: &Seen<'_>, user: &User, permit: &Permit) -> Sheet {
    let details = &permit.details;
    let day = |on: Option<Date>| on.map(|on| seen.near(on)).unwrap_or_default();
    let mut named: Vec<Date> = permit.sendings.iter().flat_map(|sending| sending.names.iter().copied()).collect();
    named.sort_unstable();
    named.dedup();
    let facts = [
        ("Number", details.number.clone()),
        ("Authority", authority(user, permit)),
        ("Dates on it", seen.days(&named)),
        ("Granted", day(details.granted_on)),
        ("Expires", day(details.expires_on)),
    ];
    Sheet {
        title: details.title.clone(),
        kind: details.kind,
        facts: facts.into_iter().filter(|(_, text)| !text.is_empty()).collect(),
        conditions: details.conditions.clone(),
        read_back: read_back(seen, permit),
        problems: problem_lines(seen, permit, &seen.problems(permit)),
    }
}

async fn print(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let records = Records::load(&app, id).await?;
    let page = records.page(&app, &visit, "Permits in hand").await?;
    let seen = records.seen();
    let (granted, open): (Vec<&Permit>, Vec<&Permit>) =
        records.permits.iter().partition(|permit| permit.details.granted_on.is_some());
    show(&Print {
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        page,
        event_id: id,
        printed: Reader::App.moment(records.event.details.zone.wall(records.now)),
        sheets: granted.into_iter().map(|permit| sheet(&seen, &visit.user, permit)).collect(),
        open: open.into_iter().map(|permit| permit.details.title.clone()).collect(),
    })
}
