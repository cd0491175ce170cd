//! One gate: what was read, the form for the next reading, and its limits.

use super::chart::Chart;
use super::decision::Decision;
use super::gate::Gate;
use super::line::{GateLine, moment};
use super::measure::{MPH, Measure, celsius, fahrenheit, in_both};
use super::page::{DECIDES, href, page};
use super::reading::{Reading, device};
use super::reading_form::ReadingForm;
use super::snapshot::GateSnapshot;
use super::store;
use crate::accounts::{Role, SignedIn, Visit, Worker};
use crate::calc::site::sun;
use crate::calc::weather;
use crate::error::Result;
use crate::state::App;
use crate::web::flash;
use crate::web::form::{Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/burn-day/gates/{gate}", get(gate_page))
        .route("/events/{id}/burn-day/gates/{gate}/readings", post(note))
}

/// Readings on the page; the others are in the history.
const MOST: usize = 40;

/// A reading in the list.
struct ReadingLine {
    value: String,
    /// "Zelda Quarrie, phone".
    by: String,
    at: String,
    is_forecast: bool,
    note: String,
}

#[derive(Template)]
#[template(path = "gates/gate.html")]
struct GatePage {
    page: Page,
    gate: Gate,
    line: GateLine,
    /// What to know beside the number.
    beside: Vec<String>,
    chart: Option<Chart>,
    readings: Vec<ReadingLine>,
    /// "Adopted by Dele Aldous, Fri, Jan 8"; empty if not.
    adopted: String,
    form: ReadingForm,
    mistakes: Mistakes,
    works: bool,
    may_edit: bool,
    may_adopt: bool,
    takes_forecasts: bool,
    decides: &'static str,
}

async fn gate_page(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, gate)): Path<(i64, i64)>,
) -> Result<Response> {
    let snapshot = GateSnapshot::load(&app, id).await?;
    show(&GatePage::of(&app, &visit, &snapshot, snapshot.find(gate)?).await?)
}

impl GatePage {
    async fn of(app: &App, visit: &Visit, snapshot: &GateSnapshot, gate: &Gate) -> Result<Self> {
        let readings: Vec<&Reading> = snapshot.readings.iter().filter(|one| one.gate_id == gate.id).collect();
        // The page looks at it as on the day, where forecasts don't count.
        let next = snapshot.times.next(&snapshot.event, snapshot.now);
        let decision = if gate.details.decisions.contains(&next) { next } else { Decision::LastMinutes };
        Ok(Self {
            page: page(app, visit, &snapshot.event, &gate.details.name).await?,
            line: GateLine::of(snapshot, gate, decision),
            beside: beside(snapshot, gate),
            chart: Chart::of(gate, &readings, snapshot.now),
            readings: readings.iter().take(MOST).map(|one| reading_line(snapshot, gate, one)).collect(),
            adopted: adopted(snapshot, gate),
            form: ReadingForm::default(),
            mistakes: Mistakes::default(),
            works: visit.user.works(),
            may_edit: visit.user.plans_burn(),
            may_adopt: visit.user.role == Role::SafetyOfficer && !gate.is_adopted(),
            takes_forecasts: gate.details.decisions.iter().any(|decision| decision.takes_forecasts()),
            gate: gate.clone(),
            decides: DECIDES,
        })
    }
}

fn adopted(snapshot: &GateSnapshot, gate: &Gate) -> String {
    let said = gate.adopted.as_ref().map(|one| format!("Adopted by {}, {}", one.by, moment(snapshot, one.at)));
    said.unwrap_or_default()
}

fn reading_line(snapshot: &GateSnapshot, gate: &Gate, one: &Reading) -> ReadingLine {
    ReadingLine {
        value: gate.details.says_value(one.noted.value),
        by: format!("{}, {}", one.by, one.device),
        at: moment(snapshot, one.noted.at),
        is_forecast: one.noted.is_forecast,
        note: match one.noted.air {
            Some(air) => format!(
                "{}, humidity {:.0} %. {}",
                in_both(Measure::Temperature, "", air.temperature),
                air.humidity,
                one.noted.note
            ),
            None => one.noted.note.clone(),
        },
    }
}

/// What is worked out from the latest number, and from the place and the date.
fn beside(snapshot: &GateSnapshot, gate: &Gate) -> Vec<String> {
    let latest = |gate: i64| snapshot.readings.iter().find(|one| one.gate_id == gate && !one.noted.is_forecast);
    let number = latest(gate.id).map(|one| one.noted.value);
    match gate.details.measure {
        Measure::Wind | Measure::Gust => number.map(|mph| wind_in_words(mph * MPH)).into_iter().collect(),
        Measure::HeatIndex => vec![
            "The heat index holds in the shade in a light wind. Full sun adds up to 15 °F (8 °C).".to_owned(),
            "It doesn't cover people in turnout gear. Follow the department's rehab rules for them.".to_owned(),
        ],
        Measure::Temperature => wind_chill(snapshot, number).into_iter().collect(),
        Measure::Daylight => sunset(snapshot).into_iter().collect(),
        Measure::Number | Measure::YesNo | Measure::Choice => Vec::new(),
    }
}

fn wind_in_words(meters_per_second: f64) -> String {
    let force = weather::beaufort(meters_per_second);
    format!("Beaufort force {}: {}.", force.force, force.words)
}

/// The wind chill of a temperature in the latest wind.
fn wind_chill(snapshot: &GateSnapshot, fahrenheit_now: Option<f64>) -> Option<String> {
    let wind = snapshot.gates.iter().find(|gate| gate.details.measure == Measure::Wind)?;
    let wind = snapshot.readings.iter().find(|one| one.gate_id == wind.id && !one.noted.is_forecast)?;
    let chill = weather::wind_chill(celsius(fahrenheit_now?), wind.noted.value * MPH)?;
    let chill = in_both(Measure::Temperature, "", fahrenheit(chill).round());
    Some(format!("Wind chill {chill} in a wind of {}.", in_both(Measure::Wind, "", wind.noted.value)))
}

/// When the sun sets on burn day.
fn sunset(snapshot: &GateSnapshot) -> Option<String> {
    let details = &snapshot.event.details;
    let place = details.visitors.place?;
    let noon = details.zone.instant(details.burn_on, time::macros::time!(12:00))?;
    let set = sun::sunset(place.latitude(), place.longitude(), noon.unix_timestamp())?;
    let set = details.zone.wall(time::OffsetDateTime::from_unix_timestamp(set).ok()?);
    Some(format!("The sun sets at {} on burn day.", Reader::App.time(set.time())))
}

async fn note(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, gate)): Path<(i64, i64)>,
    headers: HeaderMap,
    Form(form): Form<ReadingForm>,
) -> Result<Response> {
    let snapshot = GateSnapshot::load(&app, id).await?;
    let gate = snapshot.find(gate)?.clone();
    let noted = match form.read(&gate, &snapshot.event, snapshot.now) {
        Ok(noted) => noted,
        Err(mistakes) => {
            let page = GatePage::of(&app, &visit, &snapshot, &gate).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &GatePage { form, mistakes, ..page });
        }
    };
    let agent = headers.get(header::USER_AGENT).and_then(|text| text.to_str().ok()).unwrap_or_default();
    let (account, device, now) = (visit.user.account_id, device(agent), snapshot.now);
    let said = format!("{}: {}.", gate.details.name, gate.details.says_value(noted.value));
    let write = app
        .db
        .write(move |tx| Box::pin(async move { store::add_reading(tx, account, &gate, &noted, device, now).await }));
    write.await?;
    Ok(flash::redirect(&href(id), &said))
}
