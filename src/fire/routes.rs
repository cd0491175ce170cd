//! What the fire will do, two settings side by side, and how far the heat reaches.

use super::drawing::{self, Chart, MOMENTS, Row, Section};
use super::estimates::Estimates;
use super::heat::{self, Exposure, Glow, Rule, WaterLine};
use super::says::{self, Caution};
use super::setup::{Fuel, Read, Setup};
use super::store::{self, Earlier, Plan, Setting};
use super::{DECIDES, listed, typed};
use crate::accounts::{Role, SignedIn, User, Visit};
use crate::calc::fire::FREEZING;
use crate::calc::fire::bands::{Band, Bands};
use crate::calc::fire::flashover::Thresholds;
use crate::calc::fire::sampling::Range;
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::rooms::{self, Thing};
use crate::state::App;
use crate::web::flash;
use crate::web::form::Form;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::Reader;
use askama::Template;
use axum::extract::State;
use axum::response::Response;
use axum::{Extension, Router};
use axum_extra::extract::Query;
use serde::Deserialize;
use std::sync::Arc;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/fire", get(fire))
        .route("/events/{id}/rooms/fire/compare", get(compare))
        .route("/events/{id}/rooms/fire/sheet", get(sheet))
        .route("/events/{id}/rooms/fire/pin", post(pin))
        .route("/events/{id}/rooms/heat", get(heat_and_water))
}

/// Who may change what the estimates rest on, and pin one.
pub(super) fn plans_fire(user: &User) -> bool {
    matches!(user.role, Role::EducationOfficer | Role::SafetyOfficer | Role::BurnBoss)
}

/// Only these people.
pub(super) fn must_plan_fire(user: &User) -> Result<()> {
    if plans_fire(user) {
        return Ok(());
    }
    Err(Error::Forbidden(
        "Only the burn boss, the safety officer, or the education officer can change the fire estimate. Ask one of \
         them, or go back.",
    ))
}

/// Everything the pages need of one event.
pub(super) struct FireSnapshot {
    pub event: Event,
    pub things: Vec<Thing>,
    pub settings: Vec<Setting>,
    pub plan: Option<Plan>,
    pub earlier: Vec<Earlier>,
}

impl FireSnapshot {
    pub async fn load(app: &App, id: i64) -> Result<Self> {
        let event = events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
        let mut db = app.db.read().acquire().await?;
        Ok(Self {
            event,
            things: rooms::of_event(&mut db, id).await?,
            settings: store::settings(&mut db, id).await?,
            plan: store::plan(&mut db, id).await?,
            earlier: store::earlier(&mut db).await?,
        })
    }

    /// The setting with this number; without one, the plan, the setting that was added last,
    /// or what is on the lists.
    pub fn chosen(&self, number: Option<i64>) -> Result<Chosen> {
        let of = |setting: &Setting| Chosen {
            id: setting.id,
            setup: setting.setup.clone(),
            version: setting.version,
            is_plan: false,
        };
        match number {
            Some(0) => Ok(self.as_listed()),
            Some(number) => self.settings.iter().find(|setting| setting.id == number).map(of).ok_or(Error::NotFound),
            None => {
                if let Some(plan) = &self.plan {
                    let same = self.settings.iter().find(|setting| setting.setup == plan.setup);
                    let id = same.map_or(-1, |setting| setting.id);
                    return Ok(Chosen {
                        id,
                        setup: plan.setup.clone(),
                        version: same.map_or(0, |setting| setting.version),
                        is_plan: true,
                    });
                }
                Ok(self.settings.last().map_or_else(|| self.as_listed(), of))
            }
        }
        .map(|chosen| {
            let is_plan = self.plan.as_ref().is_some_and(|plan| plan.setup == chosen.setup);
            Chosen { is_plan, ..chosen }
        })
    }

    fn as_listed(&self) -> Chosen {
        Chosen { id: 0, setup: listed::setup(&self.things), version: 0, is_plan: false }
    }
}

/// A setup to show.
pub(super) struct Chosen {
    /// Its setting's number; 0 for what is on the lists, −1 for a plan whose setting is gone
    /// or was changed.
    pub id: i64,
    pub setup: Setup,
    /// Its setting's version; 0 without a setting.
    pub version: i64,
    pub is_plan: bool,
}

pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str, now: OffsetDateTime) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), now).await?.titled(title))
}

/// The plan's own estimate where it is ready, or one made at once.
async fn bands(
    app: &App,
    estimates: &Estimates,
    known: &FireSnapshot,
    chosen: &Chosen,
    read: &Read,
) -> Result<Arc<Bands>> {
    let of_plan = known.plan.as_ref().filter(|_| chosen.is_plan).and_then(|plan| plan.bands.clone());
    match of_plan {
        Some(bands) => Ok(Arc::new(bands)),
        None => estimates.of(app, read).await,
    }
}

/// What the address asks for. What can't be read isn't asked for.
#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Asked {
    setting: String,
    at: String,
}

impl Asked {
    fn setting(&self) -> Option<i64> {
        self.setting.parse().ok().filter(|number| *number >= 0)
    }

    /// The moment that is shown, within the fires' time.
    fn at(&self, bands: &Bands) -> f64 {
        let at = self.at.parse().ok().filter(|at: &f64| at.is_finite());
        at.unwrap_or(60.0).clamp(0.0, bands.until)
    }
}

/// The two rooms at one moment.
#[derive(Debug)]
struct MomentView {
    at: f64,
    clock: String,
    until: f64,
    links: Vec<(f64, String)>,
    sections: [Section; 2],
}

impl MomentView {
    fn of(read: &Read, bands: &Bands, at: f64) -> Self {
        Self {
            at,
            clock: says::clock(at),
            until: bands.until,
            links: MOMENTS.into_iter().map(|at| (at, says::clock(at))).collect(),
            sections: drawing::sections(read, bands, at),
        }
    }
}

/// A line of what the estimate rests on.
#[derive(Debug)]
pub(super) struct Basis {
    pub what: String,
    pub beneath: String,
    pub value: String,
}

/// Everything about one estimate.
struct Shown {
    name: String,
    first: String,
    rest: Vec<String>,
    chart: Chart,
    /// "10 minutes": how long the fires were followed.
    within: String,
    times: Vec<TimeLine>,
    table: Vec<Row>,
    cautions: Vec<Caution>,
    basis: Vec<Basis>,
    moves: Vec<(&'static str, String)>,
    thresholds: Vec<(&'static str, String)>,
    count: usize,
}

/// A time of one room, for the table.
#[derive(Debug)]
struct TimeLine {
    mark: &'static str,
    what: &'static str,
    middle: String,
    inner: String,
    outer: String,
    never: String,
    /// What earlier burns had.
    earlier: String,
}

fn times(bands: &Bands, earlier: &[Earlier]) -> Vec<TimeLine> {
    type Measured = fn(&Earlier) -> Option<u32>;
    let none: Measured = |_| None;
    let all: [(&str, &str, &_, Measured); 6] = [
        ("alarm", "Smoke alarm, both rooms", &bands.alarm, |burn| burn.alarm),
        ("sprinkler", "Sprinkler opens, room B", &bands.sprinkler, |burn| burn.sprinkler),
        ("flashover", "Flashover, room A: layer at 500 to 600 °C (930 to 1,110 °F)", &bands.flashover, |burn| {
            burn.flashover
        }),
        ("at-500", "Layer at 500 °C (930 °F)", &bands.at_500, none),
        ("at-600", "Layer at 600 °C (1,110 °F)", &bands.at_600, none),
        ("floor", "Another sign of flashover: 20 kW/m² at the floor", &bands.floor, none),
    ];
    let line = |(mark, what, band, measured): (&'static str, &'static str, &Band, Measured)| {
        let times = earlier.iter().filter_map(|burn| Some(says::clock(f64::from(measured(burn)?))));
        TimeLine {
            mark,
            what,
            middle: band.median().map_or_else(|| "never in half".to_owned(), says::clock),
            inner: says::inner(band),
            outer: says::outer(band),
            never: format!("{} of 100", says::whole(band.never * 100.0)),
            earlier: times.collect::<Vec<_>>().join(", "),
        }
    };
    all.into_iter().map(line).collect()
}

impl Shown {
    fn of(known: &FireSnapshot, chosen: &Chosen, read: &Read, bands: &Bands) -> Self {
        let (first, rest) = says::summary(bands);
        let thresholds = Thresholds::of(&read.inputs.room, bands.flashover.median().unwrap_or(240.0));
        let moves = [("sprinkler", &bands.moves_sprinkler), ("flashover", &bands.moves_flashover)];
        Self {
            name: chosen.setup.name.clone(),
            first,
            rest,
            chart: Chart::of(bands),
            within: says::one(bands.until),
            times: times(bands, &known.earlier),
            table: drawing::table(bands),
            cautions: says::cautions(read, bands, &known.things),
            basis: basis(&chosen.setup, read, &known.things, bands),
            moves: moves.into_iter().filter_map(|(what, all)| Some((what, says::moves_most(all, read)?))).collect(),
            thresholds: vec![
                ("McCaffrey", says::heat(thresholds.mccaffrey)),
                ("Thomas", says::heat(thresholds.thomas)),
                ("Babrauskas", says::heat(thresholds.babrauskas)),
            ],
            count: bands.count,
        }
    }
}

/// A range of lengths in both units.
fn both(range: Range) -> String {
    if range.is_exact() {
        return says::height(range.low);
    }
    format!("{} to {} ({:.1} to {:.1} m)", typed::feet(range.low), typed::feet(range.high), range.low, range.high)
}

/// The line about the model, which is the same for every setting.
const MODEL: &str = "The model itself";

/// Every input with its range and its source.
fn basis(setup: &Setup, read: &Read, things: &[Thing], bands: &Bands) -> Vec<Basis> {
    let line =
        |what: &str, beneath: &str, value: String| Basis { what: what.to_owned(), beneath: beneath.to_owned(), value };
    let room = &read.inputs.room;
    let panel = if setup.panel.trim().is_empty() {
        String::new()
    } else {
        format!(", clear panel {} from the top", setup.panel)
    };
    let mut all = vec![
        line(
            "Room",
            &format!("{}, {} ceiling", setup.walls, setup.ceiling),
            format!("{} × {} × {}", says::height(room.length), says::height(room.width), says::height(room.height)),
        ),
        line(
            "Open front",
            "A clear panel gives no protection: it softens and falls.",
            format!("{} × {}{panel}", says::height(read.front.width), says::height(read.front.height())),
        ),
    ];
    for (place, fuel) in read.fuels.iter().enumerate() {
        let [_, delay, peak, rise] = setup.item(place);
        let source = fuel.preset().source();
        let listed = if listed::is_listed(things, *fuel) { "on the room lists" } else { "not on the room lists" };
        let when = if place == 0 { "catches after" } else { "catches after another" };
        let rise = match fuel {
            Fuel::Wastebasket | Fuel::Curtain => format!("full in {rise} s"),
            Fuel::Armchair | Fuel::Sofa | Fuel::Bed => format!("1,055 kW in {rise} s"),
        };
        let before = read.fuels[..place].iter().filter(|other| *other == fuel).count();
        let number = if before > 0 { format!(" {}", before + 1) } else { String::new() };
        all.push(Basis {
            what: format!("{}{number}", says::capital(fuel.as_str())),
            beneath: format!("{listed}; {source}"),
            value: format!("{when} {delay} s; {peak} kW, {rise}"),
        });
    }
    all.extend([
        line(
            "Fire starts",
            "A wall or a corner makes the flame longer.",
            format!("{}, {} above the floor", setup.place, both(read.inputs.surface)),
        ),
        line(
            "Sprinkler",
            "The listed head's data sheet decides.",
            format!(
                "{} °F ({:.0} °C), RTI {} √(m·s), C {} √(m/s), {} from the fire",
                setup.rating,
                read.inputs.sprinkler.rating - FREEZING,
                setup.rti,
                setup.conductance,
                both(read.inputs.sprinkler.distance)
            ),
        ),
        line(
            "Sprinkler water",
            "It decides how fast the fire fades in room B.",
            format!("K {} gpm/√psi at {} psi", setup.k_factor, setup.head_psi),
        ),
        line(
            "Smoke alarm",
            "From eight NIST home tests. Photoelectric alarms take longer with flames. Dual-sensor alarms count as ionization.",
            format!("{}, {} from the fire", setup.alarm, both(read.inputs.alarm.distance)),
        ),
        line(
            "The day's air",
            "A cold day makes the sprinkler later.",
            format!(
                "{} °F ({:.0} to {:.0} °C)",
                setup.air,
                read.inputs.ambient.low - FREEZING,
                read.inputs.ambient.high - FREEZING
            ),
        ),
        line(
            MODEL,
            "Its errors in NIST's tests: 27 sprinklers, 83 layers, 4 furnished rooms.",
            format!("{} fires drawn, {} each", crate::web::words::grouped(bands.count), says::clock(bands.until)),
        ),
    ]);
    all
}

#[derive(Template)]
#[template(path = "fire/index.html")]
struct FirePage {
    page: Page,
    event_id: i64,
    may: bool,
    decides: &'static str,
    setting: i64,
    version: i64,
    is_plan: bool,
    /// Who pinned it, when, and that its fires are still being drawn.
    pinned: String,
    is_waiting: bool,
    /// The other settings: number and name.
    others: Vec<(i64, String)>,
    has_plan: bool,
    /// None if nothing can be said yet.
    shown: Option<(Shown, MomentView)>,
}

async fn fire(
    State(app): State<App>,
    Extension(estimates): Extension<Estimates>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Result<Response> {
    let now = app.clock.now();
    let known = FireSnapshot::load(&app, id).await?;
    let chosen = known.chosen(asked.setting())?;
    let shown = match chosen.setup.read() {
        Err(_) => None,
        Ok(read) => {
            let bands = bands(&app, &estimates, &known, &chosen, &read).await?;
            let moment = MomentView::of(&read, &bands, asked.at(&bands));
            Some((Shown::of(&known, &chosen, &read, &bands), moment))
        }
    };
    let others = known.settings.iter().filter(|setting| setting.id != chosen.id);
    let mut others: Vec<(i64, String)> = others.map(|setting| (setting.id, setting.setup.name.clone())).collect();
    if chosen.id != 0 && known.settings.is_empty() {
        others.push((0, "As listed".to_owned()));
    }
    let pinned = known.plan.as_ref().filter(|_| chosen.is_plan).map(|plan| {
        let by = plan.pinned_by.as_ref().map_or_else(String::new, |by| format!(" by {by}"));
        let at = Reader::App.near_moment(known.event.details.zone.wall(plan.pinned_at), known.event.today(now));
        format!("Pinned as the plan{by}, {at}.")
    });
    show(&FirePage {
        page: page(&app, &visit, &known.event, "What the fire will do", now).await?,
        event_id: id,
        may: plans_fire(&visit.user),
        decides: DECIDES,
        setting: chosen.id,
        version: chosen.version,
        is_plan: chosen.is_plan,
        is_waiting: chosen.is_plan && known.plan.as_ref().is_some_and(|plan| plan.bands.is_none()),
        pinned: pinned.unwrap_or_default(),
        others,
        has_plan: known.plan.is_some(),
        shown,
    })
}

#[derive(Debug, Deserialize)]
struct PinForm {
    setting: Option<i64>,
    /// The setting's version that was shown.
    #[serde(default)]
    version: i64,
}

async fn pin(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(form): Form<PinForm>,
) -> Result<Response> {
    must_plan_fire(&visit.user)?;
    let (now, account) = (app.clock.now(), visit.user.account_id);
    let known = FireSnapshot::load(&app, id).await?;
    let Some(setting) = form.setting else {
        return Err(Error::BadRequest(
            "Say which estimate to pin. Go back, and press the button beside it.".to_owned(),
        ));
    };
    let chosen = known.chosen(Some(setting))?;
    if chosen.version != form.version {
        let said = "Someone changed this estimate after you opened it. Look at it again, then pin it.";
        return Ok(flash::redirect(&format!("/events/{id}/rooms/fire?setting={setting}"), said));
    }
    let setup = chosen.setup;
    if setup.read().is_err() {
        return Err(Error::BadRequest(
            "Part of what this estimate rests on can't be used. Open it, fix what is marked, save, and pin it then."
                .to_owned(),
        ));
    }
    app.db.write(move |tx| Box::pin(async move { store::pin(tx, account, id, &setup, now).await })).await?;
    Ok(flash::redirect(&format!("/events/{id}/rooms/fire"), "Pinned as the plan. 2,000 fires are being drawn for it."))
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
    let mut all = vec![(0, "As listed".to_owned())];
    all.extend(known.settings.iter().map(|setting| (setting.id, setting.setup.name.clone())));
    let last = all.len() - 1;
    let number = |text: &str, place: usize| text.parse().unwrap_or(all[place].0);
    let numbers = (number(&pair.one, last.saturating_sub(1)), number(&pair.other, last));
    let mut columns = Vec::new();
    for number in [numbers.0, numbers.1] {
        let chosen = known.chosen(Some(number))?;
        let Ok(read) = chosen.setup.read() else { break };
        let bands = bands(&app, &estimates, &known, &chosen, &read).await?;
        columns.push(Column {
            id: chosen.id,
            version: chosen.version,
            name: chosen.setup.name.clone(),
            is_plan: chosen.is_plan,
            first: says::summary(&bands).0,
            times: times(&bands, &known.earlier),
            basis: basis(&chosen.setup, &read, &known.things, &bands),
        });
    }
    let columns: Option<[Column; 2]> = columns.try_into().ok();
    let (rows, differs) = columns.as_ref().map(compared).unwrap_or_default();
    show(&ComparePage {
        page: page(&app, &visit, &known.event, "Compare two estimates", now).await?,
        event_id: id,
        may: plans_fire(&visit.user),
        decides: DECIDES,
        all,
        columns,
        rows,
        differs,
    })
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

#[derive(Template)]
#[template(path = "fire/heat.html")]
struct HeatPage {
    page: Page,
    event_id: i64,
    may: bool,
    decides: &'static str,
    setting: i64,
    shown: Option<HeatView>,
}

/// Distances and water of one setup.
struct HeatView {
    name: String,
    /// The public's distance, and the rule that decides it.
    line: String,
    why: String,
    public: Vec<Rule>,
    wind: String,
    others: Vec<Rule>,
    exposures: Vec<Exposure>,
    sprinkler: Vec<WaterLine>,
    hose: Vec<WaterLine>,
    /// What is short or missing.
    short: Vec<String>,
}

impl HeatView {
    fn of(chosen: &Chosen, read: &Read, bands: &Bands, event: &Event) -> Self {
        let glow = Glow::of(read, bands, event.details.format);
        let public = heat::public(read, &glow);
        let deciding = public.iter().find(|rule| rule.decides);
        let (sprinkler, hose) = (heat::sprinkler(read), heat::hose(read));
        Self {
            name: chosen.setup.name.clone(),
            line: deciding.map(|rule| rule.says.clone()).unwrap_or_default(),
            why: deciding.map(|rule| rule.what.clone()).unwrap_or_default(),
            wind: heat::with_wind(&glow, read.heat.flux, &public),
            others: heat::others(&glow),
            exposures: heat::exposures(&glow),
            short: sprinkler
                .iter()
                .chain(&hose)
                .filter(|line| !line.short.is_empty())
                .map(|line| format!("{}: {}", line.what, line.short))
                .collect(),
            public,
            sprinkler,
            hose,
        }
    }
}

async fn heat_and_water(
    State(app): State<App>,
    Extension(estimates): Extension<Estimates>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Result<Response> {
    let now = app.clock.now();
    let known = FireSnapshot::load(&app, id).await?;
    let chosen = known.chosen(asked.setting())?;
    let shown = match chosen.setup.read() {
        Err(_) => None,
        Ok(read) => {
            let bands = bands(&app, &estimates, &known, &chosen, &read).await?;
            Some(HeatView::of(&chosen, &read, &bands, &known.event))
        }
    };
    show(&HeatPage {
        page: page(&app, &visit, &known.event, "Heat and water", now).await?,
        event_id: id,
        may: plans_fire(&visit.user),
        decides: DECIDES,
        setting: chosen.id,
        shown,
    })
}

#[derive(Template)]
#[template(path = "fire/sheet.html")]
struct SheetPage {
    page: Page,
    event_id: i64,
    department: String,
    event_line: String,
    printed: String,
    decides: &'static str,
    shown: Option<(Shown, HeatView)>,
}

/// One sheet for the burn plan.
async fn sheet(
    State(app): State<App>,
    Extension(estimates): Extension<Estimates>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(asked): Query<Asked>,
) -> Result<Response> {
    let now = app.clock.now();
    let known = FireSnapshot::load(&app, id).await?;
    let chosen = known.chosen(asked.setting())?;
    let shown = match chosen.setup.read() {
        Err(_) => None,
        Ok(read) => {
            let bands = bands(&app, &estimates, &known, &chosen, &read).await?;
            let heat = HeatView::of(&chosen, &read, &bands, &known.event);
            Some((Shown::of(&known, &chosen, &read, &bands), heat))
        }
    };
    let page = page(&app, &visit, &known.event, "Fire, heat, and water", now).await?;
    show(&SheetPage {
        event_id: id,
        department: page.department.clone(),
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        page,
        printed: Reader::App.moment(known.event.details.zone.wall(now)),
        decides: DECIDES,
        shown,
    })
}
