//! Building parts, fuel warnings, the size tolerance, and the audit on paper.

use super::drawn::{Known, Said, moved};
use super::hazards::Hazard;
use super::snapshot::{RoomSnapshot, Verdict};
use super::store::{self, RoomSettings, Ruling};
use super::views::{self, Group, OrphanLine, WarningLine};
use super::{Kind, Length, Room, ThingState, routes};
use crate::accounts::{Officer, Role, SignedIn, User, Visit};
use crate::calc::pairs::folded;
use crate::error::{Error, Result};
use crate::events;
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash;
use crate::web::form::{self, Form, Mistakes};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;
use std::collections::BTreeMap;
use time::{Date, OffsetDateTime};

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/build", get(build))
        .route("/events/{id}/rooms/warnings", get(warnings).merge(post(decide)))
        .route("/events/{id}/rooms/tolerance", get(tolerance).merge(post(save_tolerance)))
        .route("/events/{id}/rooms/audit", get(audit))
}

#[derive(Template)]
#[template(path = "rooms/build.html")]
struct BuildPage {
    page: Page,
    event_id: i64,
    parts: Verdict,
    uncounted: usize,
    built: String,
    spare: u32,
    lines: Vec<BuildLine>,
    groups: Vec<Group>,
    orphans: Vec<OrphanLine>,
}

/// One part as it is bought or cut.
#[derive(Debug, PartialEq, Eq)]
struct BuildLine {
    what: String,
    described: String,
    things: Vec<(&'static str, String)>,
    a: u32,
    b: u32,
    /// With the extra, rounded up; 0 until there is a count.
    total: u32,
}

/// Parts with the same description together, as on an order.
fn build_lines(snapshot: &RoomSnapshot) -> Vec<BuildLine> {
    let mut lines: BTreeMap<(String, String), BuildLine> = BTreeMap::new();
    let mut parts: Vec<_> = snapshot.things.iter().filter(|thing| thing.details.kind == Kind::Part).collect();
    parts.sort_by_key(|thing| (thing.details.room, thing.id));
    for thing in parts {
        let details = &thing.details;
        let described = details.described();
        let line = lines.entry((folded(&details.what), folded(&described))).or_insert_with(|| BuildLine {
            what: words::capital(&details.what),
            described,
            things: Vec::new(),
            a: 0,
            b: 0,
            total: 0,
        });
        line.things.push((details.room.letter(), thing.href()));
        match details.room {
            Room::A => line.a += details.quantity,
            Room::B => line.b += details.quantity,
        }
    }
    let with_spare = |mut line: BuildLine| {
        line.total = ((line.a + line.b) * (100 + snapshot.settings.spare)).div_ceil(100);
        line
    };
    lines.into_values().map(with_spare).collect()
}

async fn build(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    show(&BuildPage {
        page: routes::page(&app, &visit, &snapshot.event, "Building parts", now).await?,
        event_id: id,
        parts: snapshot.verdict(Kind::Part),
        uncounted: snapshot.uncounted(),
        built: snapshot.built(),
        spare: snapshot.settings.spare,
        lines: build_lines(&snapshot),
        groups: views::groups(&snapshot, Kind::Part),
        orphans: views::orphans(&snapshot, Kind::Part, snapshot.today(now)),
    })
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct DecisionForm {
    hazard: String,
    what: String,
    quantity: String,
    decided: String,
    on: String,
}

#[derive(Template)]
#[template(path = "rooms/warnings.html")]
struct WarningsPage {
    page: Page,
    event_id: i64,
    decides: bool,
    lines: Vec<WarningLine>,
    form: DecisionForm,
    mistakes: Mistakes,
}

impl WarningsPage {
    /// What was typed about this warning.
    fn typed(&self, line: &WarningLine) -> Option<&DecisionForm> {
        let is_meant = self.form.hazard == line.hazard && self.form.what == line.key;
        Some(&self.form).filter(|_| is_meant)
    }

    /// Was something typed about a warning that is gone?
    fn is_lost(&self) -> bool {
        !self.mistakes.is_empty() && self.lines.iter().all(|line| self.typed(line).is_none())
    }

    fn mistake(&self, line: &WarningLine, field: &str) -> &str {
        if self.typed(line).is_some() { self.mistakes.of(field) } else { "" }
    }

    fn decided(&self, line: &WarningLine) -> &str {
        self.typed(line).map_or("", |form| &form.decided)
    }

    fn on(&self, line: &WarningLine) -> &str {
        self.typed(line).map_or(&self.form.on, |form| &form.on)
    }
}

async fn warnings(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let form = DecisionForm { on: words::iso(snapshot.today(now)), ..DecisionForm::default() };
    show(&warnings_view(&app, &visit, &snapshot, (form, Mistakes::default()), now).await?)
}

async fn warnings_view(
    app: &App,
    visit: &Visit,
    snapshot: &RoomSnapshot,
    (form, mistakes): (DecisionForm, Mistakes),
    now: OffsetDateTime,
) -> Result<WarningsPage> {
    Ok(WarningsPage {
        page: routes::page(app, visit, &snapshot.event, "Fuel warnings", now).await?,
        event_id: snapshot.event.id,
        decides: decides(&visit.user),
        lines: WarningLine::all(snapshot, snapshot.today(now)),
        form,
        mistakes,
    })
}

impl DecisionForm {
    fn read(&self, snapshot: &RoomSnapshot, user: &User, today: Date) -> Result<Ruling, Mistakes> {
        let mut mistakes = Mistakes::default();
        let hazard = mistakes.note("decided", self.hazard.parse::<Hazard>());
        let known = snapshot.warnings();
        let known = known.iter().find(|known| Some(known.hazard) == hazard && known.key == self.what);
        if known.is_none() {
            mistakes.add("decided", "This warning is no longer on the list. Check the warnings below.");
        }
        let decided = mistakes.note("decided", form::line(&self.decided, 200));
        let day = form::day(&self.on).and_then(|on| {
            if on > today { Err("This date is in the future. Enter today or earlier.".to_owned()) } else { Ok(on) }
        });
        let on = mistakes.note("on", day);
        match (known, decided, on) {
            (Some(known), Some(decided), Some(on)) => Ok(Ruling {
                hazard: known.hazard,
                what: known.key.clone(),
                quantity: known.quantity(),
                decided,
                by: user.name.clone(),
                signed_as: user.role.to_string(),
                on,
            }),
            _ => Err(mistakes),
        }
    }
}

/// Only the people responsible for the fire decide what may burn.
fn decides(user: &User) -> bool {
    matches!(user.role, Role::SafetyOfficer | Role::BurnBoss)
}

async fn decide(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(form): Form<DecisionForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    if !decides(&visit.user) {
        return Err(Error::Forbidden(
            "Only the safety officer or the burn boss can sign a decision about fuel. Ask one of them, or go back.",
        ));
    }
    let ruling = match form.read(&snapshot, &visit.user, snapshot.today(now)) {
        Ok(ruling) => ruling,
        Err(mistakes) => {
            let page = warnings_view(&app, &visit, &snapshot, (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let account = visit.user.account_id;
    app.db.write(move |tx| Box::pin(async move { store::rule(tx, account, id, &ruling, now).await })).await?;
    Ok(flash::redirect(&format!("/events/{id}/rooms/warnings"), "Decision saved and signed with your name."))
}

#[derive(Debug, Clone, Deserialize, Default)]
#[serde(default)]
struct SettingsForm {
    percent: String,
    length: String,
    spare: String,
    version: i64,
}

impl SettingsForm {
    fn of(settings: &RoomSettings) -> Self {
        Self {
            percent: settings.percent.to_string(),
            length: settings.length.typed(),
            spare: settings.spare.to_string(),
            version: settings.version,
        }
    }

    fn read(&self) -> Result<RoomSettings, Mistakes> {
        let mut mistakes = Mistakes::default();
        let percent = mistakes.note("percent", form::number(&self.percent, 0, 50));
        let short = |length: Length| {
            if length.tenths > 10_000 { Err("Type at most 39 in (1 m).".to_owned()) } else { Ok(length) }
        };
        let length = mistakes.note("length", Length::read(&self.length).and_then(short));
        let spare = mistakes.note("spare", form::number(&self.spare, 0, 100));
        match (percent, length, spare) {
            (Some(percent), Some(length), Some(spare)) => {
                Ok(RoomSettings { percent, length, spare, version: self.version })
            }
            _ => Err(mistakes),
        }
    }
}

#[derive(Template)]
#[template(path = "rooms/tolerance.html")]
struct TolerancePage {
    page: Page,
    event_id: i64,
    says: String,
    form: SettingsForm,
    mistakes: Mistakes,
}

async fn tolerance_view(
    app: &App,
    visit: &Visit,
    snapshot: &RoomSnapshot,
    (form, mistakes): (SettingsForm, Mistakes),
    now: OffsetDateTime,
) -> Result<TolerancePage> {
    Ok(TolerancePage {
        page: routes::page(app, visit, &snapshot.event, "Size tolerance", now).await?,
        event_id: snapshot.event.id,
        says: views::tolerance(snapshot),
        form,
        mistakes,
    })
}

async fn tolerance(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = routes::snapshot(&app, id).await?;
    let form = SettingsForm::of(&snapshot.settings);
    show(&tolerance_view(&app, &visit, &snapshot, (form, Mistakes::default()), app.clock.now()).await?)
}

async fn save_tolerance(
    State(app): State<App>,
    Officer(visit): Officer,
    Path(id): Path<i64>,
    Form(form): Form<SettingsForm>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let new = match form.read() {
        Ok(new) => new,
        Err(mistakes) => {
            let page = tolerance_view(&app, &visit, &snapshot, (form, mistakes), now).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let actor = visit.user.actor();
    let write = app.db.write(move |tx| Box::pin(async move { store::save_settings(tx, actor, id, &new, now).await }));
    if write.await? {
        return Ok(flash::redirect(
            &format!("/events/{id}/rooms"),
            "Saved. The rooms are paired again with these settings.",
        ));
    }
    let theirs = SettingsForm::of(&routes::snapshot(&app, id).await?.settings);
    let mut conflict = Conflict::new("Size tolerance", format!("/events/{id}/rooms/tolerance"), theirs.version);
    conflict.field("percent", "Percent of the larger size", &theirs.percent, &form.percent);
    conflict.field("length", "Length", &theirs.length, &form.length);
    conflict.field("spare", "Extra building parts", &theirs.spare, &form.spare);
    conflict::show(events::page(&app, &visit, Some(&snapshot.event), now).await?, &conflict)
}

#[derive(Template)]
#[template(path = "rooms/audit.html")]
struct AuditPage {
    page: Page,
    department: String,
    event_line: String,
    printed: String,
    sentence: String,
    built: String,
    status: String,
    tolerance: String,
    orphans: Vec<OrphanLine>,
    groups: Vec<Group>,
    parts: Vec<Group>,
    parts_alone: Vec<OrphanLine>,
    /// The items that aren't in place yet, by status.
    missing: Vec<(&'static str, String)>,
    /// What is drawn elsewhere in the other room.
    moved: Vec<Said>,
    warnings: Vec<WarningLine>,
}

async fn audit(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = routes::snapshot(&app, id).await?;
    let today = snapshot.today(now);
    let page = routes::page(&app, &visit, &snapshot.event, "Pair audit", now).await?;
    // One connection at a time: whoever holds one must not wait for another.
    let again = routes::snapshot(&app, id).await?;
    let known = Known::load(&mut *app.db.read().acquire().await?, again).await?;
    let of_kind = |kind| (views::groups(&snapshot, kind), views::orphans(&snapshot, kind, today));
    let ((groups, orphans), (parts, parts_alone)) = (of_kind(Kind::Furnishing), of_kind(Kind::Part));
    show(&AuditPage {
        department: page.department.clone(),
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        page,
        printed: Reader::App.moment(snapshot.event.details.zone.wall(now)),
        sentence: snapshot.sentence(),
        built: snapshot.built(),
        status: snapshot.stands(),
        tolerance: views::tolerance(&snapshot),
        missing: missing(&snapshot),
        moved: moved(&known),
        warnings: WarningLine::all(&snapshot, today),
        orphans,
        groups,
        parts,
        parts_alone,
    })
}

/// "Sofa (A, B)", by status, without the items in place.
fn missing(snapshot: &RoomSnapshot) -> Vec<(&'static str, String)> {
    let states = [ThingState::Wanted, ThingState::Promised, ThingState::Here];
    let of_state = |state: ThingState| {
        let mut named: BTreeMap<String, Vec<&str>> = BTreeMap::new();
        for thing in snapshot.things.iter().filter(|thing| snapshot.state(thing) == state && thing.details.quantity > 0)
        {
            named.entry(thing.details.says()).or_default().push(thing.details.room.letter());
        }
        let one = |(what, mut rooms): (String, Vec<&str>)| {
            rooms.sort_unstable();
            rooms.dedup();
            format!("{what} ({})", rooms.join(", "))
        };
        (state.label(), named.into_iter().map(one).collect::<Vec<_>>().join(", "))
    };
    states.into_iter().map(of_state).filter(|(_, things)| !things.is_empty()).collect()
}
