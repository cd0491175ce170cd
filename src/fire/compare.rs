//! Two estimates side by side.

use super::DECIDES;
use super::basis::{Basis, MODEL, basis};
use super::estimates::Estimates;
use super::page::page;
use super::shown::{TimeLine, times};
use super::snapshot::{Estimate, FireSnapshot};
use super::summary::summary;
use crate::accounts::SignedIn;
use crate::error::Result;
use crate::state::App;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::get;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new().route("/events/{id}/rooms/fire/compare", get(compare))
}

/// Two settings by their numbers.
#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Pair {
    one: String,
    other: String,
}

/// One of two settings, in a column.
struct Column {
    id: i64,
    version: i64,
    name: String,
    is_plan: bool,
    first: String,
    times: Vec<TimeLine>,
    basis: Vec<Basis>,
}

#[derive(Template)]
#[template(path = "fire/compare.html")]
struct ComparePage {
    page: Page,
    event_id: i64,
    may: bool,
    decides: &'static str,
    /// Number and name of all settings.
    all: Vec<(i64, String)>,
    columns: Option<[Column; 2]>,
    /// The names of times, and each time in both columns.
    rows: Vec<(&'static str, [String; 2], [String; 2])>,
    /// What the two differ in: name and both values.
    differs: Vec<(String, String, String)>,
}

async fn compare(
    State(app): State<App>,
    Extension(estimates): Extension<Estimates>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(pair): Query<Pair>,
) -> Result<Response> {
    let now = app.clock.now();
    let known = FireSnapshot::load(&app, id).await?;
    let mut all = vec![(0, "The room lists now".to_owned())];
    all.extend(known.settings.iter().map(|setting| (setting.id, setting.setup.name.clone())));
    let columns = columns(&app, &estimates, &known, pair.numbers(&all)).await?;
    let (rows, differs) = columns.as_ref().map(compared).unwrap_or_default();
    show(&ComparePage {
        page: page(&app, &visit, &known.event, "Compare two estimates", now).await?,
        event_id: id,
        may: visit.user.plans_burn(),
        decides: DECIDES,
        all,
        columns,
        rows,
        differs,
    })
}

impl Pair {
    /// The numbers of the two; the last two of all where none is asked for.
    fn numbers(&self, all: &[(i64, String)]) -> [i64; 2] {
        let last = all.len() - 1;
        let number = |text: &str, place: usize| text.parse().unwrap_or(all[place].0);
        [number(&self.one, last.saturating_sub(1)), number(&self.other, last)]
    }
}

/// Both columns; none if one of the two can't be used.
async fn columns(
    app: &App,
    estimates: &Estimates,
    known: &FireSnapshot,
    numbers: [i64; 2],
) -> Result<Option<[Column; 2]>> {
    let mut columns = Vec::new();
    for number in numbers {
        let chosen = known.chosen(Some(number))?;
        let Some(Estimate { read, bands }) = known.estimate(app, estimates, &chosen).await? else { break };
        columns.push(Column {
            id: chosen.id,
            version: chosen.version,
            name: chosen.setup.name.clone(),
            is_plan: chosen.is_plan,
            first: summary(&bands).0,
            times: times(&bands, &known.earlier),
            basis: basis(&chosen.setup, &read, &known.things, &bands),
        });
    }
    Ok(columns.try_into().ok())
}

type Compared = (Vec<(&'static str, [String; 2], [String; 2])>, Vec<(String, String, String)>);

fn compared([one, other]: &[Column; 2]) -> Compared {
    let rows = one.times.iter().zip(&other.times);
    let rows = rows.map(|(one, other)| {
        (one.what, [one.inner.clone(), other.inner.clone()], [one.never.clone(), other.never.clone()])
    });
    let value = |column: &Column, what: &str| {
        column.basis.iter().find(|line| line.what == what).map_or_else(|| "none".to_owned(), |line| line.value.clone())
    };
    let mut names: Vec<&str> = one.basis.iter().map(|line| line.what.as_str()).collect();
    names.extend(
        other
            .basis
            .iter()
            .map(|line| line.what.as_str())
            .filter(|name| !one.basis.iter().any(|line| line.what == *name)),
    );
    names.retain(|name| *name != MODEL);
    let differs = names.into_iter().map(|name| (name.to_owned(), value(one, name), value(other, name)));
    (rows.collect(), differs.filter(|(_, one, other)| one != other).collect())
}
