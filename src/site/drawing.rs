//! The drawing of the site as a page, a sheet, and a file show it.

use super::says::Shown;
use super::snapshot::{Hidden, SiteSnapshot};
use super::typed::{distance, feet};
use crate::calc::site::{FOOT, Grade, Item, Kind, Place, Shape, Site};
use crate::web::words::tidy;
use geo::buffer::{BufferStyle, LineCap};
use geo::{Buffer, Contains, LineString, MultiLineString, Point};
use std::fmt::Write;

/// The drawing is this wide, in its own units.
const WIDTH: f64 = 800.0;
/// The angle of a piece of an arc, in radians.
const ARC: f64 = 0.05;
/// The strip below the drawing, for the scale.
const STRIP: f64 = 34.0;
/// What a letter of a label takes up, and a line of it.
const LETTER: f64 = 6.6;
const LINE: f64 = 15.0;

/// Something on the drawing.
#[derive(Debug)]
pub(super) struct Mark {
    pub id: u32,
    pub version: i64,
    pub href: String,
    /// For styles: "room-a", "crowd", "line".
    pub class: String,
    pub path: String,
    /// The front of a room, drawn strong.
    pub front: String,
    /// The worst of what is found about it.
    pub state: &'static str,
    pub label: Option<Label>,
    pub name: String,
    /// For those who can't see the drawing.
    pub says: String,
    /// Its places in meters, as scripts move them.
    pub at: String,
    /// Handles of an outline or a path.
    pub corners: Vec<(usize, f64, f64)>,
}

#[derive(Debug, Clone)]
pub(super) struct Label {
    pub x: f64,
    pub y: f64,
    pub text: String,
}

#[derive(Debug)]
pub(super) struct Drawing {
    pub width: f64,
    pub height: f64,
    /// How far down the drawing itself reaches. Below it is a strip for the scale.
    pub ground: f64,
    /// Meters in one of the drawing's units.
    pub scale: f64,
    pub photo: Option<(i64, f64, f64)>,
    /// The public's line.
    pub line: String,
    pub line_label: Option<Label>,
    /// Where the estimate of the fire puts it at least, and with wind toward the crowd.
    pub asked: Vec<(String, Option<Label>)>,
    pub smoke: Vec<String>,
    pub marks: Vec<Mark>,
    /// The first row that sees too little, across the crowd.
    pub rows: Vec<(String, Label)>,
    /// A bar of the scale: its length and what it says.
    pub bar: (f64, String),
    /// Where north is, clockwise from up; where the wind goes; where the sun is.
    pub north: f64,
    pub wind: Option<(f64, String)>,
    pub sun: Option<(f64, f64, String)>,
    pub legend: Vec<(&'static str, &'static str)>,
}

struct Scale(f64);

impl Scale {
    fn of(&self, meters: f64) -> f64 {
        tidy(meters / self.0)
    }

    fn path(&self, places: impl IntoIterator<Item = (f64, f64)>, is_closed: bool) -> String {
        let mut path = String::new();
        for (number, (x, y)) in places.into_iter().enumerate() {
            let verb = if number == 0 { 'M' } else { 'L' };
            let _ = write!(path, "{verb}{} {}", self.of(x), self.of(y));
        }
        if is_closed {
            path.push('Z');
        }
        path
    }

    /// Everything this far from the rooms' fronts.
    fn around(&self, site: &Site, meters: f64) -> String {
        let fronts = site.rooms().into_iter().map(|room| {
            let [left, right] = room.front();
            LineString::from(vec![(left.x, left.y), (right.x, right.y)])
        });
        let around = MultiLineString::new(fronts.collect())
            .buffer_with_style(BufferStyle::new(meters).line_cap(LineCap::Round(ARC)));
        let rings = around.iter().map(|ring| self.path(ring.exterior().coords().map(|at| (at.x, at.y)), true));
        rings.collect()
    }
}

/// Labels that were placed, so that no two are on top of each other.
#[derive(Default)]
struct Placed(Vec<(f64, f64, f64, f64)>);

impl Placed {
    fn take(&mut self, text: &str, around: (f64, f64, f64, f64), limits: (f64, f64)) -> Label {
        let (left, top, right, bottom) = around;
        let width = LETTER * f64::from(u16::try_from(text.chars().count()).unwrap_or(u16::MAX));
        let middle = (left + right - width) / 2.0;
        let inside = right - left > width + 6.0 && bottom - top > LINE;
        let mut places = vec![
            (middle, bottom + LINE - 3.0),
            (middle, top - 4.0),
            (right + 4.0, f64::midpoint(top, bottom) + 4.0),
            (left - width - 4.0, f64::midpoint(top, bottom) + 4.0),
            (middle, bottom + 2.0 * LINE),
            (middle, top - LINE - 4.0),
        ];
        if inside {
            places.insert(0, (middle, f64::midpoint(top, bottom) + 4.0));
        }
        let (x, y) = places.iter().copied().find(|place| self.is_free(*place, width, limits)).unwrap_or(places[0]);
        let x = x.clamp(0.0, (limits.0 - width).max(0.0));
        self.0.push((x, y - LINE, x + width, y));
        Label { x: tidy(x), y: tidy(y), text: text.to_owned() }
    }
}

impl Placed {
    /// A label, by its middle, on a line around the rooms, this many degrees aside from where they
    /// face, or where there is room.
    fn ring(
        &mut self,
        site: &Site,
        scale: &Scale,
        (meters, aside): (f64, f64),
        text: &str,
        limits: (f64, f64),
    ) -> Option<Label> {
        let facing = site.rooms().first()?.facing();
        let across = Place { x: -facing.y, y: facing.x };
        let along = |place: &Place| place.x * across.x + place.y * across.y;
        let ends: Vec<Place> = site.rooms().into_iter().flat_map(Item::front).collect();
        let by_side = |one: &&Place, other: &&Place| along(one).total_cmp(&along(other));
        let (first, last) = (ends.iter().min_by(by_side)?, ends.iter().max_by(by_side)?);
        let width = LETTER * f64::from(u16::try_from(text.chars().count()).unwrap_or(u16::MAX));
        let place = |degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            let end = if degrees == 0.0 {
                first.halfway(*last)
            } else if degrees < 0.0 {
                *first
            } else {
                *last
            };
            let reach = |front: f64, facing: f64, across: f64| front + meters * (facing * cos + across * sin);
            let x = scale.of(reach(end.x, facing.x, across.x)) - width / 2.0;
            (x, scale.of(reach(end.y, facing.y, across.y)) + 4.0)
        };
        let places = [aside, 0.0, -30.0, 30.0, -60.0, 60.0, -90.0, 90.0].map(place);
        let free = |(x, y): &(f64, f64)| self.is_free((*x, *y), width, limits);
        let (x, y) = places.into_iter().find(free)?;
        self.0.push((x, y - LINE, x + width, y));
        Some(Label { x: tidy(x + width / 2.0), y: tidy(y), text: text.to_owned() })
    }

    /// Is there room for a label of this width at this place?
    fn is_free(&self, (x, y): (f64, f64), width: f64, limits: (f64, f64)) -> bool {
        let is_alone = self.0.iter().all(|(l, t, r, b)| x >= *r || x + width <= *l || y - LINE >= *b || y <= *t);
        is_alone && x >= 0.0 && x + width <= limits.0 && y >= LINE && y <= limits.1
    }
}

fn bounds(places: &[Place], scale: &Scale) -> (f64, f64, f64, f64) {
    let far = (f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY);
    places.iter().fold(far, |(left, top, right, bottom), place| {
        let (x, y) = (scale.of(place.x), scale.of(place.y));
        (left.min(x), top.min(y), right.max(x), bottom.max(y))
    })
}

fn state(findings: &[Shown], id: u32) -> &'static str {
    let about = findings.iter().filter(|shown| shown.is_open() && shown.items.contains(&id));
    match about.map(|shown| shown.grade).min() {
        Some(Grade::Wrong) => "wrong",
        Some(Grade::Look) => "look",
        _ => "",
    }
}

impl Drawing {
    /// Its width and height on the ground, in meters.
    pub fn size(&self) -> (f64, f64) {
        (self.width * self.scale, self.height * self.scale)
    }

    pub fn of(snapshot: &SiteSnapshot, site: &Site) -> Self {
        let extent = snapshot.current.plan.extent();
        let scale = Scale(extent.0 / WIDTH);
        let height = scale.of(extent.1);
        // The compass and the wind are there already.
        let mut placed = Placed(vec![(WIDTH - 230.0, 0.0, WIDTH, 90.0)]);
        let limits = (WIDTH, height);
        let line_label = placed.ring(
            site,
            &scale,
            (site.crowd_line, 0.0),
            &format!("the public's line: {}", distance(site.crowd_line)),
            limits,
        );
        let asked = snapshot.given.heat.map_or_else(Vec::new, |heat| {
            let both =
                [(heat.public, -30.0, "fire estimate"), (heat.public_with_wind, 30.0, "fire estimate with wind")];
            let differs = |meters: f64| (meters - site.crowd_line).abs() > 0.3;
            let rings = both.into_iter().filter(|(meters, ..)| differs(*meters)).map(|(meters, aside, what)| {
                let text = format!("{what}: {}", distance(meters));
                (scale.around(site, meters), placed.ring(site, &scale, (meters, aside), &text, limits))
            });
            rings.collect()
        });
        let marks = marks(snapshot, site, &scale, (&mut placed, limits));
        let hidden = snapshot.hidden.iter().filter_map(|hidden| {
            let (path, at) = row(site, hidden, &scale)?;
            let text = format!("▲ row {} doesn't see", hidden.row);
            Some((path, placed.take(&text, at, limits)))
        });
        let rows = hidden.collect();
        Self {
            width: WIDTH,
            height: height + STRIP,
            ground: height,
            scale: scale.0,
            photo: photo(snapshot, &scale),
            line: scale.around(site, site.crowd_line),
            line_label,
            asked,
            smoke: smoke(site, &scale, extent),
            marks,
            rows,
            bar: bar(&scale),
            north: (-site.north).rem_euclid(360.0),
            wind: site.wind_from.map(|from| (wind(site, from), wind_says(snapshot, from))),
            sun: sun(snapshot, site, limits),
            legend: legend(site),
        }
    }
}

/// Everything that was drawn, the largest first, with a label each.
fn marks(
    snapshot: &SiteSnapshot,
    site: &Site,
    scale: &Scale,
    (placed, limits): (&mut Placed, (f64, f64)),
) -> Vec<Mark> {
    let (plan, findings) = (&snapshot.current.plan, &snapshot.findings);
    let base = format!("/events/{}/rooms/site/items", snapshot.event.id);
    // The smallest come last, so that nothing hides them.
    let mut order: Vec<usize> = (0..site.items.len()).collect();
    order.sort_by_key(|at| match (site.items[*at].kind.shape(), site.items[*at].kind) {
        (Shape::Area, _) => 0,
        (Shape::Line, Kind::Road | Kind::FireLane) => 1,
        (Shape::Line, _) => 2,
        (Shape::Spot, _) => 3,
    });
    let mut marks = Vec::with_capacity(order.len());
    for at in order {
        let (item, drawn) = (&site.items[at], &plan.items[at]);
        let outline = item.outline();
        let path = match item.kind.shape() {
            Shape::Line if item.width < 0.5 => scale.path(drawn.at.iter().copied(), false),
            _ => scale.path(outline.exterior().coords().map(|at| (at.x, at.y)), true),
        };
        let front = if item.kind.is_room() {
            scale.path(item.front().map(|place| (place.x, place.y)), false)
        } else {
            String::new()
        };
        let state = state(findings, item.id);
        let sign = match state {
            "wrong" => "▲ ",
            "look" => "△ ",
            _ => "",
        };
        let around = bounds(&item.edge(), scale);
        let middle = item.middle();
        let corners = if item.kind.shape() == Shape::Spot { &[][..] } else { &drawn.at[..] };
        marks.push(Mark {
            id: item.id,
            version: drawn.version,
            href: format!("{base}/{}", item.id),
            class: item.kind.as_str().replace(' ', "-").to_lowercase(),
            path,
            front,
            state,
            label: Some(placed.take(&format!("{sign}{}", item.name), around, limits)),
            name: item.name.clone(),
            says: format!(
                "{}, {} from the left, {} from the top{}",
                item.name,
                feet(middle.x),
                feet(middle.y),
                match state {
                    "wrong" => ", to fix",
                    "look" => ", to check",
                    _ => "",
                }
            ),
            at: drawn.at.iter().map(|(x, y)| format!("{x},{y}")).collect::<Vec<_>>().join(" "),
            corners: corners.iter().enumerate().map(|(number, (x, y))| (number, scale.of(*x), scale.of(*y))).collect(),
        });
    }
    marks
}

/// A row's arc around the front of a room, where it crosses the crowd, and the place of its
/// label.
fn row(site: &Site, hidden: &Hidden, scale: &Scale) -> Option<(String, (f64, f64, f64, f64))> {
    let room = site.of(hidden.room).next()?;
    let [left, right] = room.front();
    let middle = left.halfway(right);
    let crowds: Vec<_> = site.of(Kind::Crowd).map(Item::outline).collect();
    let around = (0..360).map(|degree| {
        let (sin, cos) = f64::from(degree).to_radians().sin_cos();
        (middle.x + hidden.distance * sin, middle.y + hidden.distance * cos)
    });
    let inside = |(x, y): &(f64, f64)| crowds.iter().any(|crowd| crowd.contains(&Point::new(*x, *y)));
    let mut all: Vec<(f64, f64)> = around.filter(inside).collect();
    all.sort_by(|one, two| one.0.total_cmp(&two.0));
    let at = all.get(all.len() / 2)?;
    let (x, y) = (scale.of(at.0), scale.of(at.1));
    Some((scale.path(all.iter().copied(), false), (x, y, x, y)))
}

fn photo(snapshot: &SiteSnapshot, scale: &Scale) -> Option<(i64, f64, f64)> {
    let photo = snapshot.current.plan.photo.as_ref()?;
    let meters = photo.meters_per_pixel?;
    Some((photo.id, scale.of(f64::from(photo.width) * meters), scale.of(f64::from(photo.height) * meters)))
}

fn wind(site: &Site, from: f64) -> f64 {
    (from + 180.0 - site.north).rem_euclid(360.0)
}

fn wind_says(snapshot: &SiteSnapshot, from: f64) -> String {
    let speed = snapshot.current.plan.basis.wind_speed.trim();
    let speed = if speed.is_empty() { String::new() } else { format!(", {speed} mph") };
    format!("wind from {from:.0}°{speed}")
}

/// The sector under the smoke of each room, far past the edges of the drawing.
fn smoke(site: &Site, scale: &Scale, extent: (f64, f64)) -> Vec<String> {
    let Some(from) = site.wind_from else { return Vec::new() };
    let far = 2.0 * (extent.0 + extent.1);
    let sector = site.rooms().into_iter().map(|room| {
        let middle = room.middle();
        let ray = |aside: f64| {
            let (sin, cos) = (wind(site, from) + aside).to_radians().sin_cos();
            (middle.x + far * sin, middle.y - far * cos)
        };
        scale.path([(middle.x, middle.y), ray(-45.0), ray(-15.0), ray(15.0), ray(45.0)], true)
    });
    sector.collect()
}

/// A round length that takes up about an eighth of the drawing.
fn bar(scale: &Scale) -> (f64, String) {
    let wanted = scale.0 * WIDTH / 8.0 / FOOT;
    let feet = [5.0, 10.0, 20.0, 30.0, 50.0, 100.0, 200.0, 300.0].into_iter().rfind(|feet| *feet <= wanted);
    let feet = feet.unwrap_or(5.0);
    (scale.of(feet * FOOT), distance(feet * FOOT))
}

/// Where the sun is when room A is lit: at the edge of the drawing.
fn sun(snapshot: &SiteSnapshot, site: &Site, (width, height): (f64, f64)) -> Option<(f64, f64, String)> {
    let (latitude, longitude) = snapshot.given.place?;
    let sun = crate::calc::site::sun::position(latitude, longitude, snapshot.given.lit_at)?;
    if sun.height < 0.0 {
        return None;
    }
    let (sin, cos) = (sun.azimuth - site.north).to_radians().sin_cos();
    let reach = (0.5 * width / sin.abs().max(1e-9)).min(0.5 * height / cos.abs().max(1e-9)) - 40.0;
    let (x, y) = (width / 2.0 + reach * sin, height / 2.0 - reach * cos);
    Some((
        tidy(x.clamp(60.0, (width - 60.0).max(60.0))),
        tidy(y.clamp(30.0, (height - 40.0).max(30.0))),
        format!("sun {:.0}° up", sun.height),
    ))
}

fn legend(site: &Site) -> Vec<(&'static str, &'static str)> {
    let mut all = vec![("line", "the public's line")];
    if site.wind_from.is_some() {
        all.push(("smoke", "under the smoke, 45° to either side"));
    }
    all.push(("estimate", "the least by the fire estimate"));
    all.extend([("wrong", "▲ fix"), ("look", "△ check")]);
    all
}
