//! The pages of the drawn rooms.

use super::drawing::{Picture, pictures};
use super::fixture::Fixture;
use super::form::{FRAME_FIELDS, FrameForm, HELD, PLACE_FIELDS, PlaceForm};
use super::known::{self, Drawable, Known};
use super::says::Said;
use super::store::{self, Built, Frame, Place};
use crate::accounts::{SignedIn, Visit, Worker};
use crate::calc::layout::{CutOf, CutSizes, Grade, cut_list};
use crate::calc::site::INCH;
use crate::error::{Error, Result};
use crate::rooms::routes::{page, snapshot};
use crate::rooms::{Room, feet};
use crate::state::App;
use crate::web::conflict::{self, Conflict};
use crate::web::flash::{self, Undo};
use crate::web::form::{Both, Form, Mistakes, in_pieces};
use crate::web::page::{Page, show, show_as};
use crate::web::path::Path;
use crate::web::routes::{get, post};
use crate::web::words;
use askama::Template;
use axum::Router;
use axum::extract::State;
use axum::http::StatusCode;
use axum::response::Response;
use serde::Deserialize;

pub(super) fn router() -> Router<App> {
    Router::new()
        .route("/events/{id}/rooms/plan", get(plan))
        .route("/events/{id}/rooms/plan/size", get(size).post(save_size))
        .route("/events/{id}/rooms/plan/like-a", post(like_a))
        .route("/events/{id}/rooms/plan/usual", post(place_built))
        .route("/events/{id}/rooms/plan/items/{thing}", get(item).post(save_item))
        .route("/events/{id}/rooms/plan/items/{thing}/move", post(move_item))
        .route("/events/{id}/rooms/plan/items/{thing}/remove", post(remove))
}

fn href(event_id: i64) -> String {
    format!("/events/{event_id}/rooms/plan")
}

async fn load(app: &App, id: i64) -> Result<Known> {
    let snapshot = snapshot(app, id).await?;
    Known::load(&mut *app.db.read().acquire().await?, snapshot).await
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

fn cuts(frame: &Frame) -> Vec<CutLine> {
    let sizes = CutSizes {
        rod: frame.rod,
        panel_drop: frame.panels,
        spare_share: f64::from(frame.spare) / 100.0,
        ..CutSizes::USUAL
    };
    let all = cut_list(&known::inside(frame), &sizes).into_iter();
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

fn reaches(known: &Known, frame: &Frame) -> Vec<(String, String)> {
    let says = |length: f64| format!("{} ({length:.2} m)", feet(length.abs()));
    let lines = known.reaches(frame).into_iter().map(|(room, what, reach)| {
        let way = if reach.height < 0.0 { "down" } else { "up" };
        let far = format!("{} across, {} {way}", says(reach.distance), says(reach.height.abs()));
        (format!("{}, wastebasket to {what}", words::capital(room.as_str())), far)
    });
    lines.collect()
}

/// Items of room B that could stand as their twins in room A do.
fn twins(known: &Known, frame: &Frame) -> Vec<(Drawable, Place)> {
    let b = known.drawable(frame, Room::B).into_iter();
    let like = b.filter_map(|one| {
        let place = known.twin(one.id).and_then(|twin| known.places.get(&twin)).copied()?;
        one.place.is_none().then_some((one, place))
    });
    like.collect()
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
        page: page(&app, &visit, &known.snapshot.event, "Room layouts", now).await?,
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

#[derive(Debug, Deserialize)]
struct Version {
    version: Option<i64>,
}

#[derive(Template)]
#[template(path = "rooms/frame.html")]
struct FramePage {
    page: Page,
    event_id: i64,
    form: FrameForm,
    mistakes: Mistakes,
    version: i64,
}

async fn frame_page(
    app: &App,
    visit: &Visit,
    known: &Known,
    version: i64,
    (form, mistakes): (FrameForm, Mistakes),
) -> Result<FramePage> {
    let event = &known.snapshot.event;
    let page = page(app, visit, event, "Size of the rooms", app.clock.now()).await?;
    Ok(FramePage { page: page.under(href(event.id), "Room layouts"), event_id: event.id, form, mistakes, version })
}

async fn size(State(app): State<App>, Worker(visit): Worker, Path(id): Path<i64>) -> Result<Response> {
    let known = load(&app, id).await?;
    let form = known.frame.as_ref().map(FrameForm::of).unwrap_or_default();
    let version = known.frame.map_or(0, |frame| frame.version);
    show(&frame_page(&app, &visit, &known, version, (form, Mistakes::default())).await?)
}

async fn save_size(
    State(app): State<App>,
    Worker(visit): Worker,
    Path(id): Path<i64>,
    Both(typed, Version { version }): Both<FrameForm, Version>,
) -> Result<Response> {
    let known = load(&app, id).await?;
    let version = version.ok_or_else(in_pieces)?;
    let new = match typed.read(version) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = frame_page(&app, &visit, &known, version, (typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let old = known.frame;
    let event = known.snapshot.event.clone();
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            let is_saved = store::set_frame(tx, actor, id, &new, now).await?;
            if let Some(old) = old.filter(|_| is_saved) {
                super::follow(tx, actor, &event, (&old, &new), now).await?;
            }
            Ok(is_saved)
        })
    });
    if write.await? {
        return Ok(flash::redirect(&href(id), "Saved. Both rooms have this size."));
    }
    let known = load(&app, id).await?;
    let theirs = known.frame.ok_or(Error::NotFound)?;
    let mut conflict = Conflict::new("Size of the rooms", format!("{}/size", href(id)), theirs.version);
    let shown = FrameForm::of(&theirs);
    for (name, label, of) in FRAME_FIELDS {
        conflict.field(name, label, of(&shown), of(&typed));
    }
    conflict::show(page(&app, &visit, &known.snapshot.event, "Size of the rooms", now).await?, &conflict)
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
    let event = load(&app, id).await?.snapshot.event;
    let (now, actor) = (app.clock.now(), visit.user.actor());
    let write = app.db.write(move |tx| Box::pin(async move { super::place_usual(tx, actor, &event, now).await }));
    let said = format!(
        "{} placed where they usually are. Move what is elsewhere.",
        words::count(write.await?, "part", "parts")
    );
    Ok(flash::redirect(&href(id), &said))
}

/// An item that can be drawn, with the frame it stands in.
fn find(known: &Known, thing: i64) -> Result<(Frame, Drawable)> {
    let frame = known.frame.ok_or(Error::NotFound)?;
    let mut both = Room::ALL.into_iter().flat_map(|room| known.drawable(&frame, room));
    let one = both.find(|one| one.id == thing).ok_or(Error::NotFound)?;
    Ok((frame, one))
}

#[derive(Template)]
#[template(path = "rooms/place.html")]
struct ItemPage {
    page: Page,
    event_id: i64,
    id: i64,
    called: String,
    room: Room,
    /// How large it is drawn, and whether that is a guess.
    size: String,
    is_guessed: bool,
    is_placed: bool,
    is_fixture: bool,
    is_panel: bool,
    form: PlaceForm,
    mistakes: Mistakes,
    version: i64,
}

async fn item_page(
    app: &App,
    visit: &Visit,
    known: &Known,
    one: &Drawable,
    (version, form, mistakes): (i64, PlaceForm, Mistakes),
) -> Result<ItemPage> {
    let event = &known.snapshot.event;
    let page = page(app, visit, event, &one.called, app.clock.now()).await?.under(href(event.id), "Room layouts");
    let inches = |meters: f64| format!("{}", (meters / INCH * 100.0).round() / 100.0);
    let box_ = &one.box_;
    Ok(ItemPage {
        page,
        event_id: event.id,
        id: one.id,
        called: one.called.clone(),
        room: one.room,
        size: format!(
            "{} × {} × {} in ({:.2} × {:.2} × {:.2} m)",
            inches(box_.width),
            inches(box_.depth),
            inches(box_.height),
            box_.width,
            box_.depth,
            box_.height
        ),
        is_guessed: one.is_guessed,
        is_placed: one.place.is_some(),
        is_fixture: one.fixture.is_some(),
        is_panel: one.fixture.as_ref().is_some_and(|(fixture, _)| *fixture == Fixture::ClearPanel),
        form,
        mistakes,
        version,
    })
}

/// Where an item would be put: its own place, its twin's, or the middle of the room.
fn proposed(known: &Known, one: &Drawable) -> Place {
    if let Some((_, built)) = &one.fixture {
        return built.place;
    }
    let twin = || known.twin(one.id).and_then(|twin| known.places.get(&twin)).copied();
    let box_ = &one.box_;
    let middle = Place { x: box_.x, y: box_.y, above: box_.above, turn: 0.0, version: 0 };
    one.place.or_else(|| twin().map(|place| Place { version: 0, ..place })).unwrap_or(middle)
}

async fn item(State(app): State<App>, Worker(visit): Worker, Path((id, thing)): Path<(i64, i64)>) -> Result<Response> {
    let known = load(&app, id).await?;
    let (_, one) = find(&known, thing)?;
    let place = proposed(&known, &one);
    let form = if one.fixture.is_some() { form_of(&one) } else { PlaceForm::of(&place) };
    let shown = (place.version, form, Mistakes::default());
    show(&item_page(&app, &visit, &known, &one, shown).await?)
}

async fn save_item(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, thing)): Path<(i64, i64)>,
    Both(typed, Version { version }): Both<PlaceForm, Version>,
) -> Result<Response> {
    let known = load(&app, id).await?;
    let (_, one) = find(&known, thing)?;
    let version = version.ok_or_else(in_pieces)?;
    let new = match typed.read(version) {
        Ok(new) => new,
        Err(mistakes) => {
            let page = item_page(&app, &visit, &known, &one, (version, typed, mistakes)).await?;
            return show_as(StatusCode::UNPROCESSABLE_ENTITY, &page);
        }
    };
    if put(&app, &visit, id, &one, (new, Some(&typed))).await? {
        return Ok(flash::redirect(&href(id), &format!("{} is placed.", one.called)));
    }
    let known = load(&app, id).await?;
    let (_, theirs) = find(&known, thing)?;
    let Some(Place { version, .. }) = theirs.place else {
        let mut mistakes = Mistakes::default();
        mistakes.add("x", "Someone took it off the drawing. Save again to place it here.");
        let page = item_page(&app, &visit, &known, &theirs, (0, typed, mistakes)).await?;
        return show_as(StatusCode::CONFLICT, &page);
    };
    let mut conflict = Conflict::new(&one.called, format!("{}/items/{thing}", href(id)), version);
    let shown = form_of(&theirs);
    for (name, label, of) in PLACE_FIELDS {
        conflict.field(name, label, of(&shown), of(&typed));
    }
    conflict::show(page(&app, &visit, &known.snapshot.event, &one.called, app.clock.now()).await?, &conflict)
}

/// What its form shows of something that is drawn.
fn form_of(one: &Drawable) -> PlaceForm {
    match (&one.fixture, &one.place) {
        (Some((_, built)), _) => PlaceForm::of_built(built),
        (None, Some(place)) => PlaceForm::of(place),
        (None, None) => PlaceForm::default(),
    }
}

/// Puts something at a place. Without a form, the rest of a built part stays as it is.
async fn put(
    app: &App,
    visit: &Visit,
    id: i64,
    one: &Drawable,
    (new, typed): (Place, Option<&PlaceForm>),
) -> Result<bool> {
    let (now, actor, thing, called) = (app.clock.now(), visit.user.actor(), one.id, one.in_full());
    if let Some((_, built)) = &one.fixture {
        let built = typed.map_or_else(|| Built { place: new, ..built.clone() }, |typed| typed.built(new));
        let write = app
            .db
            .write(move |tx| Box::pin(async move { store::build(tx, actor, id, (thing, &called), &built, now).await }));
        return write.await;
    }
    let write =
        app.db.write(move |tx| Box::pin(async move { store::place(tx, actor, id, (thing, &called), &new, now).await }));
    write.await
}

/// Where an item was moved to, in meters: "1.2,0.4".
#[derive(Debug, Deserialize, Default)]
#[serde(default)]
struct Moved {
    at: String,
    version: i64,
}

async fn move_item(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, thing)): Path<(i64, i64)>,
    Form(moved): Form<Moved>,
) -> Result<Response> {
    let known = load(&app, id).await?;
    let (_, one) = find(&known, thing)?;
    let read = |text: &str| text.trim().parse().ok().filter(|at: &f64| (0.0..=20.0).contains(at));
    let at = moved.at.split_once(',').and_then(|(x, y)| Some((read(x)?, read(y)?)));
    let (x, y) = at
        .ok_or_else(|| Error::BadRequest("It can't be moved there. Go back, and type its place instead.".to_owned()))?;
    let old = proposed(&known, &one);
    let new = Place { x, y, version: moved.version, ..old };
    if !put(&app, &visit, id, &one, (new, None)).await? {
        let said = "Nothing was moved: someone else just moved it. Look, then try again.";
        return Ok(flash::redirect(&href(id), said));
    }
    let to = format!("{}#item-{thing}", href(id));
    let said = format!("{} moved.", one.called);
    let Some(before) = one.place else { return Ok(flash::redirect(&to, &said)) };
    let undo = Undo {
        action: format!("{}/items/{thing}/move", href(id)),
        fields: vec![
            ("at".to_owned(), format!("{},{}", before.x, before.y)),
            ("version".to_owned(), (moved.version + 1).to_string()),
        ],
    };
    Ok(flash::redirect_with_undo(&to, &said, &undo))
}

async fn remove(
    State(app): State<App>,
    Worker(visit): Worker,
    Path((id, thing)): Path<(i64, i64)>,
) -> Result<Response> {
    let known = load(&app, id).await?;
    let (_, one) = find(&known, thing)?;
    let (now, actor, called) = (app.clock.now(), visit.user.actor(), one.in_full());
    let write = app.db.write(move |tx| {
        Box::pin(async move {
            if thing < 0 {
                return store::unbuild(tx, actor, id, (thing, &called), now).await;
            }
            store::take_off(tx, actor, id, (thing, &called), now).await
        })
    });
    let said = match (write.await?, thing < 0) {
        (true, true) => "is off the drawing.",
        (true, false) => "is off the drawing. It stays on the list.",
        (false, _) => "wasn't on the drawing.",
    };
    Ok(flash::redirect(&href(id), &format!("{} {said}", one.called)))
}
