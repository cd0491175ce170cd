//! The site on a page, on a sheet, and as a file; undo; versions that are kept.

use super::DECIDES;
use super::drawing::Drawing;
use super::says::Shown;
use super::snapshot::SiteSnapshot;
use super::store::{self, Refused};
use super::typed::{at_least, distance, small};
use crate::accounts::{SignedIn, User, Visit};
use crate::calc::site::{FOOT, Grade, INCH, KINDS, Site, checks};
use crate::error::{Error, Result};
use crate::events::{self, Event};
use crate::state::App;
use crate::web::flash;
use crate::web::form::{self, Form};
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words::{self, Reader};
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use axum_extra::extract::Query;
use serde::Deserialize;
use time::OffsetDateTime;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/site", get(site))
        .route("/events/{id}/rooms/site/sheet", get(sheet))
        .route("/events/{id}/rooms/site/drawing.svg", get(file))
        .route("/events/{id}/rooms/site/undo", post(undo))
        .route("/events/{id}/rooms/site/redo", post(redo))
        .route("/events/{id}/rooms/site/keep", post(keep))
        .route("/events/{id}/rooms/site/kept/{kept}", post(bring_back))
}

pub(super) fn href(event_id: i64) -> String {
    format!("/events/{event_id}/rooms/site")
}

/// Only those who plan the burn may change the drawing.
pub(super) fn must_draw(user: &User) -> Result<()> {
    if user.plans_burn() {
        return Ok(());
    }
    Err(Error::Forbidden(
        "Only the burn boss, the safety officer, or the education officer can change the site. Ask one of them, or go \
         back.",
    ))
}

pub(super) async fn page(app: &App, visit: &Visit, event: &Event, title: &str, now: OffsetDateTime) -> Result<Page> {
    Ok(events::page(app, visit, Some(event), now).await?.titled(title))
}

/// What to say about a change that wasn't made, where there is no form to come back to.
pub(super) fn refused(event_id: i64, why: Refused) -> Response {
    let said = match why {
        Refused::Gone => "Nothing was changed: someone removed it from the drawing.".to_owned(),
        Refused::Changed => "Nothing was changed: someone else just changed it. Look, then try again.".to_owned(),
        Refused::Wrong(why) => format!("Nothing was changed. {why}"),
    };
    flash::redirect(&href(event_id), &said)
}

/// What is picked on the drawing.
#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Picked {
    picked: String,
}

/// A version that was kept: its number, name, and when and by whom.
type KeptLine = (i64, String, String);

#[derive(Template)]
#[template(path = "site/index.html")]
struct SitePage {
    page: Page,
    event_id: i64,
    may: bool,
    may_accept: bool,
    decides: &'static str,
    revision: i64,
    undo: Option<String>,
    redo: Option<String>,
    picked: u32,
    /// None while nothing is drawn.
    drawing: Option<Drawing>,
    findings: Vec<Shown>,
    open: usize,
    /// "1 to fix, 3 to check".
    summary: String,
    people: u32,
    /// What each row sees: its number, how far it is, and over the row in front, standing and
    /// seated. How high the floors would have to be for all rows.
    rows: Vec<[String; 4]>,
    floors: [String; 2],
    items: Vec<(u32, String, String)>,
    kept: Vec<KeptLine>,
    /// The basis can't be read by today's limits.
    is_unread: bool,
}

impl SitePage {
    /// How many checks found nothing wrong.
    fn fine(&self) -> usize {
        self.findings.iter().filter(|shown| shown.grade == Grade::Good).count()
    }
}

async fn site(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Query(Picked { picked }): Query<Picked>,
) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = SiteSnapshot::load(&app, id).await?;
    let kept = store::kept(&mut *app.db.read().acquire().await?, id).await?;
    let (event, plan) = (&snapshot.event, &snapshot.current.plan);
    let read = plan.site();
    let today = event.today(now);
    let (rows, floors) = read.as_ref().map(seen).unwrap_or_default();
    let kept = kept.into_iter().map(|kept| {
        let by = kept.by.map_or_else(String::new, |by| format!(" by {by}"));
        (kept.id, kept.name, format!("{}{by}", Reader::App.near_moment(event.details.zone.wall(kept.at), today)))
    });
    let mut items: Vec<(u32, String, String)> =
        plan.items.iter().map(|drawn| (drawn.id, drawn.called(), drawn.kind.to_string())).collect();
    items.sort_by(|one, two| one.2.cmp(&two.2).then_with(|| one.1.cmp(&two.1)));
    show(&SitePage {
        page: page(&app, &visit, event, "The site", now).await?,
        event_id: id,
        may: visit.user.plans_burn(),
        may_accept: visit.user.accepts_risk(),
        decides: DECIDES,
        revision: snapshot.current.revision,
        undo: snapshot.current.undo.clone(),
        redo: snapshot.current.redo.clone(),
        picked: picked.parse().unwrap_or(0),
        drawing: read.as_ref().ok().filter(|_| !plan.is_empty()).map(|site| Drawing::of(&snapshot, site)),
        is_unread: read.is_err(),
        open: snapshot.open().count(),
        summary: summary(&snapshot),
        people: snapshot.given.people,
        rows,
        floors,
        items,
        kept: kept.collect(),
        findings: snapshot.findings,
    })
}

/// What each row sees, in words.
fn seen(site: &Site) -> (Vec<[String; 4]>, [String; 2]) {
    const MOST: usize = 100;
    let (rows, floors) = checks::rows(site);
    let shown = rows.into_iter().take(MOST);
    let shown = shown.map(|row| [row.row.to_string(), distance(row.distance), small(row.standing), small(row.seated)]);
    (shown.collect(), floors.map(at_least))
}

fn summary(snapshot: &SiteSnapshot) -> String {
    let of = |grade| snapshot.open().filter(|shown| shown.grade == grade).count();
    words::to_fix(of(Grade::Wrong), of(Grade::Look))
}

#[derive(Debug, Deserialize)]
struct Revision {
    revision: Option<i64>,
}

async fn undo(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(Revision { revision }): Form<Revision>,
) -> Result<Response> {
    step(&app, &visit, (id, revision), true).await
}

async fn redo(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(Revision { revision }): Form<Revision>,
) -> Result<Response> {
    step(&app, &visit, (id, revision), false).await
}

async fn step(app: &App, visit: &Visit, (id, revision): (i64, Option<i64>), is_back: bool) -> Result<Response> {
    must_draw(&visit.user)?;
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let revision = revision.ok_or_else(form::in_pieces)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write =
        app.db.write(move |tx| Box::pin(async move { store::step(tx, actor, (id, revision), is_back, now).await }));
    let said = match write.await? {
        Some(did) if is_back => format!("Undone: {did}."),
        Some(did) => format!("Done again: {did}."),
        None => "Nothing was changed. Someone else just changed the drawing, or there is nothing left to undo. Look, then try again.".to_owned(),
    };
    Ok(flash::redirect(&href(id), &said))
}

#[derive(Debug, Deserialize)]
struct KeepForm {
    #[serde(default)]
    name: String,
}

async fn keep(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path(id): Path<i64>,
    Form(typed): Form<KeepForm>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    events::find(app.db.read(), id).await?.ok_or(Error::NotFound)?;
    let (now, account) = (app.clock.now(), visit.user.account_id);
    let name = form::line(&typed.name, 60).map_err(|_| {
        Error::BadRequest(
            "Type a name for this version, at most 60 letters long. Go back, and send it again.".to_owned(),
        )
    })?;
    let named = name.clone();
    let kept = app.db.write(move |tx| Box::pin(async move { store::keep(tx, account, id, &named, now).await })).await?;
    let said = if kept {
        format!("Kept as {name}.")
    } else {
        format!("There is a version named {name} already. Choose another name.")
    };
    Ok(flash::redirect(&href(id), &said))
}

async fn bring_back(
    State(app): State<App>,
    SignedIn(visit): SignedIn,
    Path((id, kept)): Path<(i64, i64)>,
) -> Result<Response> {
    must_draw(&visit.user)?;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let all = store::kept(&mut *app.db.read().acquire().await?, id).await?;
    let kept = all.into_iter().find(|one| one.id == kept).ok_or(Error::NotFound)?;
    let said = format!("{} is back. Undo takes you to what was here before.", kept.name);
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            store::change(tx, actor, id, now, |plan, version| {
                *plan = kept.plan.renewed(plan.last, version);
                Ok(format!("{} brought back", kept.name))
            })
            .await
        })
    });
    match write.await? {
        Ok(_) => Ok(flash::redirect(&href(id), &said)),
        Err(why) => Ok(refused(id, why)),
    }
}

/// The scales a sheet may have: so many feet on an inch of paper.
const SCALES: [u32; 11] = [5, 10, 20, 30, 40, 50, 60, 100, 200, 400, 600];
/// What a drawing may take up on a letter-size sheet on its side, and upright, in inches.
const SIDEWAYS: (f64, f64) = (9.9, 5.6);
const UPRIGHT: (f64, f64) = (7.4, 7.6);

/// A drawing at a scale: width and height in inches, which way the sheet is held, and what the
/// scale says.
struct Scaled {
    width: f64,
    height: f64,
    is_upright: bool,
    says: String,
}

impl Scaled {
    fn of((width, height): (f64, f64)) -> Self {
        let fits = |feet: u32, sheet: (f64, f64)| {
            width / FOOT / f64::from(feet) <= sheet.0 && height / FOOT / f64::from(feet) <= sheet.1
        };
        let least = |sheet| SCALES.into_iter().find(|feet| fits(*feet, sheet)).unwrap_or(1_000);
        let (sideways, upright) = (least(SIDEWAYS), least(UPRIGHT));
        let (feet, is_upright) = (sideways.min(upright), upright < sideways);
        let inches = |meters: f64| (meters / FOOT / f64::from(feet) * 1_000.0).round() / 1_000.0;
        let ratio = f64::from(feet) * FOOT / INCH;
        let says = format!("1 in on paper is {feet} ft (1:{ratio:.0})");
        Self { width: inches(width), height: inches(height), is_upright, says }
    }
}

#[derive(Template)]
#[template(path = "site/sheet.html")]
struct SheetPage {
    page: Page,
    event_line: String,
    printed: String,
    decides: &'static str,
    /// None if nothing is drawn.
    drawing: Option<(Scaled, Drawing)>,
    findings: Vec<Shown>,
}

async fn sheet(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let snapshot = SiteSnapshot::load(&app, id).await?;
    let page = page(&app, &visit, &snapshot.event, "The site on paper", now).await?;
    let is_empty = snapshot.current.plan.is_empty();
    let drawing = snapshot.current.plan.site().ok().filter(|_| !is_empty).map(|site| Drawing::of(&snapshot, &site));
    let drawing = drawing.map(|drawing| (Scaled::of(drawing.size()), drawing));
    show(&SheetPage {
        event_line: page.event.as_ref().map(|banner| format!("{} · {}", banner.name, banner.line)).unwrap_or_default(),
        page,
        printed: Reader::App.moment(snapshot.event.details.zone.wall(now)),
        decides: DECIDES,
        drawing,
        findings: snapshot.findings.into_iter().filter(Shown::can_be_accepted).collect(),
    })
}

#[derive(Template)]
#[template(path = "site/file.svg", escape = "html")]
struct FilePage {
    name: String,
    scaled: Scaled,
    drawing: Drawing,
}

/// The drawing as a file, to scale.
async fn file(State(app): State<App>, SignedIn(_): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let snapshot = SiteSnapshot::load(&app, id).await?;
    let site = snapshot.current.plan.site().map_err(|_| Error::NotFound)?;
    let drawing = Drawing::of(&snapshot, &site);
    let svg = FilePage { name: snapshot.event.details.name.clone(), scaled: Scaled::of(drawing.size()), drawing };
    let headers =
        [(header::CONTENT_TYPE, "image/svg+xml"), (header::CONTENT_DISPOSITION, "attachment; filename=\"site.svg\"")];
    Ok((headers, svg.render()?).into_response())
}

/// What can be added.
const ADDED: [&str; KINDS.len()] = KINDS;
