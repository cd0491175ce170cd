//! The things on the drawing.

use super::labels::{Bounds, Label, Labels};
use super::scale::Scale;
use crate::calc::site::{Grade, Item, Kind, Shape, Site};
use crate::site::drawn::Drawn;
use crate::site::said::Shown;
use crate::site::snapshot::SiteSnapshot;
use crate::site::typed::feet;

/// Something on the drawing.
#[derive(Debug)]
pub(in crate::site) struct Mark {
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

fn state(findings: &[Shown], id: u32) -> &'static str {
    let about = findings.iter().filter(|shown| shown.is_open() && shown.items.contains(&id));
    match about.map(|shown| shown.grade).min() {
        Some(Grade::Wrong) => "wrong",
        Some(Grade::Look) => "look",
        _ => "",
    }
}

/// Everything that was drawn, the largest first, with a label each.
pub(super) fn marks(snapshot: &SiteSnapshot, site: &Site, scale: Scale, labels: &mut Labels) -> Vec<Mark> {
    let base = format!("/events/{}/rooms/site/items", snapshot.event.id);
    let mut all: Vec<(&Item, &Drawn)> = site.items.iter().zip(&snapshot.current.plan.items).collect();
    // The smallest come last, so that nothing hides them.
    all.sort_by_key(|(item, _)| match (item.kind.shape(), item.kind) {
        (Shape::Area, _) => 0,
        (Shape::Line, Kind::Road | Kind::FireLane) => 1,
        (Shape::Line, _) => 2,
        (Shape::Spot, _) => 3,
    });
    let mark = |(item, drawn): (&Item, &Drawn)| {
        let state = state(&snapshot.findings, item.id);
        let (sign, says) = match state {
            "wrong" => ("▲ ", ", to fix"),
            "look" => ("△ ", ", to check"),
            _ => ("", ""),
        };
        let middle = item.middle();
        let corners = if item.kind.shape() == Shape::Spot { &[][..] } else { &drawn.at[..] };
        Mark {
            id: item.id,
            version: drawn.version,
            href: format!("{base}/{}", item.id),
            class: item.kind.as_str().replace(' ', "-").to_lowercase(),
            path: outline(item, drawn, scale),
            front: front(item, scale),
            state,
            label: Some(labels.take(&format!("{sign}{}", item.name), Bounds::of(&item.edge(), scale))),
            name: item.name.clone(),
            says: format!("{}, {} from the left, {} from the top{says}", item.name, feet(middle.x), feet(middle.y)),
            at: drawn.at.iter().map(|(x, y)| format!("{x},{y}")).collect::<Vec<_>>().join(" "),
            corners: corners.iter().enumerate().map(|(number, (x, y))| (number, scale.of(*x), scale.of(*y))).collect(),
        }
    };
    all.into_iter().map(mark).collect()
}

fn outline(item: &Item, drawn: &Drawn, scale: Scale) -> String {
    match item.kind.shape() {
        Shape::Line if item.width < 0.5 => scale.path(drawn.at.iter().copied(), false),
        _ => scale.path(item.outline().exterior().coords().map(|at| (at.x, at.y)), true),
    }
}

/// The front of a room; empty for anything else.
fn front(item: &Item, scale: Scale) -> String {
    if item.kind.is_room() { scale.path(item.front().map(|place| (place.x, place.y)), false) } else { String::new() }
}
