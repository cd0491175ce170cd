//! Both rooms as they are drawn, and what the checks say.

use super::boxes::inside;
use super::changing::{href, load};
use super::drawing::{Picture, pictures};
use super::place::{Frame, Place};
use super::said::Said;
use super::snapshot::{Drawable, LayoutSnapshot};
use super::store;
use super::usual_places::place_usual;
use crate::accounts::{SignedIn, Worker};
use crate::calc::layout::{CutOf, CutSizes, Grade, cut_list};
use crate::error::Result;
use crate::rooms::page::page;
use crate::rooms::{Room, feet};
use crate::state::App;
use crate::web::flash;
use crate::web::page::{Page, show};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::response::Response;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/plan", get(plan))
        .route("/events/{id}/rooms/plan/like-a", post(like_a))
        .route("/events/{id}/rooms/plan/usual", post(place_built))
}

/// A line of the cut list: what, how many, and how large.
type CutLine = (&'static str, u32, String);

#[derive(Template)]
#[template(path = "rooms/plan.html")]
struct PlanPage {
    page: Page,
    event_id: i64,
    works: bool,
    /// None until someone entered how large the rooms are.
    pictures: Option<[Picture; 2]>,
    findings: Vec<Said>,
    open: usize,
    /// "1 to fix, 3 to check".
    summary: String,
    /// Items that can be placed and aren't: number, what, room.
    unplaced: Vec<(i64, String, Room)>,
    /// Built parts that aren't drawn.
    unbuilt: usize,
    /// Placed in room A, while its twin in room B isn't.
    missing_twins: usize,
    cuts: Vec<CutLine>,
    /// From where to where, and how far, for the fire estimate.
    reaches: Vec<(String, String)>,
}

async fn plan(State(app): State<App>, SignedIn(visit): SignedIn, Path(id): Path<i64>) -> Result<Response> {
    let now = app.clock.now();
    let known = load(&app, id).await?;
    let findings = known.findings();
    let unplaced: Vec<(i64, String, Room)> = known.frame.map_or_else(Vec::new, |frame| {
        let both = Room::ALL.into_iter().flat_map(|room| known.drawable(&frame, room));
        both.filter(|one| one.place.is_none()).map(|one| (one.id, one.called, one.room)).collect()
    });
    show(&PlanPage {
        page: page(&app, &visit, &known.rooms.event, "Room layouts", now).await?,
        event_id: id,
        works: visit.user.works(),
        pictures: pictures(&known, &findings),
        open: findings.iter().filter(|said| said.grade < Grade::Good).count(),
        summary: summary(&findings),
        findings,
        unbuilt: unplaced.iter().filter(|(id, ..)| *id < 0).count(),
        unplaced,
        missing_twins: known.frame.map_or(0, |frame| twins(&known, &frame).len()),
        reaches: known.frame.map(|frame| reaches(&known, &frame)).unwrap_or_default(),
        cuts: known.frame.as_ref().map(cuts).unwrap_or_default(),
    })
}

fn summary(findings: &[Said]) -> String {
    let of = |grade| findings.iter().filter(|said| said.grade == grade).count();
    words::to_fix(of(Grade::Wrong), of(Grade::Look))
}

fn cuts(frame: &Frame) -> Vec<CutLine> {
    let sizes = CutSizes {
        rod: frame.rod,
        panel_drop: frame.panels,
        spare_share: f64::from(frame.spare) / 100.0,
        ..CutSizes::USUAL
    };
    let all = cut_list(&inside(frame), &sizes).into_iter();
    let lines = all.map(|cut| {
        let what = match cut.what {
            CutOf::Carpet => "carpet",
            CutOf::Curtain => "curtain, from rod to hem",
            CutOf::ClearPanel => "clear panel",
            CutOf::CatchBoard => "catch board, front of room A",
            CutOf::Plywood => "plywood sheets, including spares",
            CutOf::Gypsum => "gypsum board sheets, including spares",
        };
        let metric = format!("{:.2} × {:.2} m", cut.width, cut.length);
        (what, cut.count, format!("{} × {} ({metric})", feet(cut.width), feet(cut.length)))
    });
    lines.collect()
}

fn reaches(known: &LayoutSnapshot, frame: &Frame) -> Vec<(String, String)> {
    let says = |length: f64| format!("{} ({length:.2} m)", feet(length.abs()));
    let lines = known.reaches(frame).into_iter().map(|(room, what, reach)| {
        let way = if reach.height < 0.0 { "down" } else { "up" };
        let far = format!("{} across, {} {way}", says(reach.distance), says(reach.height.abs()));
        (format!("{}, wastebasket to {what}", words::capital(room.as_str())), far)
    });
    lines.collect()
}

/// Items of room B that could stand as their twins in room A do.
fn twins(known: &LayoutSnapshot, frame: &Frame) -> Vec<(Drawable, Place)> {
    let b = known.drawable(frame, Room::B).into_iter();
    let like = b.filter_map(|one| {
        let place = known.twin(one.id).and_then(|twin| known.places.get(&twin)).copied()?;
        one.place.is_none().then_some((one, place))
    });
    like.collect()
}

/// Puts each item of room B that has no place where its twin stands in room A.
async fn like_a(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    let known = load(&app, id).await?;
    let twins = known.frame.map_or_else(Vec::new, |frame| twins(&known, &frame));
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let mut placed = 0;
            for (one, place) in twins {
                let new = Place { version: 0, ..place };
                placed += usize::from(store::place(tx, actor, id, (one.id, &one.in_full()), &new, now).await?);
            }
            Ok(placed)
        })
    });
    let said = format!("{} placed in room B as in room A.", words::count(write.await?, "item", "items"));
    Ok(flash::redirect(&href(id), &said))
}

/// Draws the built parts that aren't drawn where they usually are.
async fn place_built(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    let event = load(&app, id).await?.rooms.event;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| Box::pin(async move { place_usual(tx, actor, &event, now).await }));
    let said = format!(
        "{} placed where they usually are. Move what is elsewhere.",
        words::count(write.await?, "part", "parts")
    );
    Ok(flash::redirect(&href(id), &said))
}
