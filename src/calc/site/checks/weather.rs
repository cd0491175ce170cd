//! Sun and wind.

use super::distances::watched_middle;
use super::{Finding, Given, Grade, What};
use crate::calc::site::shape::{Item, Kind, Site};
use crate::calc::site::sun::{self, HIGH, SIDEWAYS};

/// Half of the sector under the smoke. Common practice, no source.
const SECTOR: f64 = 45.0;
/// Nearer to the middle of the smoke than this, and it blows right at them. Common practice,
/// no source.
const RIGHT_AT: f64 = 22.5;
/// Daylight left after overhaul: common practice, no source.
const DAYLIGHT: i64 = 30;
/// Seconds in a day.
const DAY: i64 = 86_400;

pub(super) fn findings(site: &Site, given: &Given) -> Vec<Finding> {
    let mut all = in_sun(site, given);
    all.extend(in_smoke(site));
    all
}

fn in_sun(site: &Site, given: &Given) -> Vec<Finding> {
    let Some((latitude, longitude)) = given.place else {
        return vec![Finding::new(What::NoPlace, Grade::Unknown, Vec::new(), 0.0)];
    };
    let ends_at = ends_at(site, given);
    let watching: Vec<&Item> = site.of(Kind::Crowd).chain(site.of(Kind::Press)).collect();
    let mut all = Vec::new();
    for (at, at_end) in [(given.lit_at, false), (ends_at, true)] {
        let Some(sun) = sun::position(latitude, longitude, at) else { continue };
        for item in &watching {
            let looks = site.bearing(item.middle(), watched_middle(site));
            if let Some(aside) = sun::glare(looks, &sun) {
                let (who, azimuth, height) = (item.kind, sun.azimuth, sun.height);
                let what = What::Glare { who, at_end, azimuth, height, aside };
                all.push(Finding::new(what, Grade::Look, vec![item.id], SIDEWAYS + HIGH - aside));
            }
        }
    }
    if all.is_empty()
        && !watching.is_empty()
        && let Some(sun) = sun::position(latitude, longitude, given.lit_at)
    {
        let what = What::NoGlare { azimuth: sun.azimuth, height: sun.height };
        all.push(Finding::new(what, Grade::Good, Vec::new(), 0.0));
    }
    all.extend(daylight((latitude, longitude), given.lit_at, ends_at));
    all
}

fn ends_at(site: &Site, given: &Given) -> i64 {
    given.lit_at.saturating_add(i64::from(site.minutes) * 60)
}

fn daylight(place: (f64, f64), lit_at: i64, ends_at: i64) -> Option<Finding> {
    let minutes = dark_from(place, lit_at, ends_at)?.saturating_sub(ends_at).div_euclid(60);
    let grade = match minutes {
        ..0 => Grade::Wrong,
        0..DAYLIGHT => Grade::Look,
        _ => Grade::Good,
    };
    #[expect(clippy::cast_precision_loss, reason = "there are at most 1,440 minutes in a day")]
    let badness = (DAYLIGHT - minutes).max(0) as f64;
    Some(Finding::new(What::Daylight { minutes }, grade, Vec::new(), badness))
}

/// The sunset that ends the daylight; none where the sun doesn't set.
fn dark_from((latitude, longitude): (f64, f64), lit_at: i64, ends_at: i64) -> Option<i64> {
    let sunset = |from: i64| sun::sunset(latitude, longitude, from);
    let is_down = |at: i64| sun::position(latitude, longitude, at).is_some_and(|sun| sun.height < 0.0);
    // Asked from the lighting on, so that a sunset before the end of overhaul is seen, too.
    let next = sunset(lit_at);
    if is_down(lit_at) && is_down(ends_at) && next.is_none_or(|next| next > ends_at) {
        // It is dark all the time, and the next sunset is another day's. Near a sunset, 24 hours
        // earlier may be just before the one of the day before.
        let last = sunset(lit_at.saturating_sub(DAY - 1_800)).unwrap_or(lit_at);
        return Some(last.min(lit_at));
    }
    next
}

/// How far an item is from the middle of the smoke at its nearest, and the bearing of that
/// place, as seen from the rooms.
pub(super) fn off_smoke(site: &Site, item: &Item, to: f64) -> Option<(f64, f64)> {
    let places = item.edge().into_iter().chain([item.middle()]);
    let seen = places.flat_map(|place| site.rooms().into_iter().map(move |room| (room.middle(), place)));
    let off = seen.map(|(room, place)| {
        let bearing = site.bearing(room, place);
        (sun::turn(to, bearing), bearing)
    });
    let nearest = off.min_by(|a, b| a.0.total_cmp(&b.0))?;
    // The smoke may pass between two corners.
    let crosses = crosses(site, item, to);
    Some(if crosses { (0.0, to) } else { nearest })
}

fn crosses(site: &Site, item: &Item, to: f64) -> bool {
    let edge = item.edge();
    let closing = item.kind.shape() != crate::calc::site::Shape::Line;
    let pairs = edge.windows(2).map(|ends| (ends[0], ends[1]));
    let last = edge.last().copied().zip(edge.first().copied()).filter(|_| closing);
    pairs.chain(last).any(|(one, two)| {
        site.rooms().into_iter().any(|room| {
            let signed = |place| (site.bearing(room.middle(), place) - to + 180.0).rem_euclid(360.0) - 180.0;
            let (a, b): (f64, f64) = (signed(one), signed(two));
            a * b <= 0.0 && (a - b).abs() < 180.0
        })
    })
}

/// Is someone there who should be told of the smoke?
fn is_exposed(kind: Kind) -> bool {
    kind.is_public()
        || matches!(
            kind,
            Kind::Press
                | Kind::Command
                | Kind::Ambulance
                | Kind::School
                | Kind::Neighbor
                | Kind::Road
                | Kind::Landing
                | Kind::Parking
        )
}

/// Should it be out of the smoke's way altogether, and not only know of it?
fn is_kept_clear(kind: Kind) -> bool {
    !matches!(kind, Kind::Road | Kind::Neighbor | Kind::Gate | Kind::Toilets | Kind::Command | Kind::Parking)
}

fn in_smoke(site: &Site) -> Vec<Finding> {
    let Some(from) = site.wind_from else {
        return vec![Finding::new(What::NoWind, Grade::Unknown, Vec::new(), 0.0)];
    };
    let to = (from + 180.0).rem_euclid(360.0);
    let mut all = Vec::new();
    for item in site.items.iter().filter(|item| is_exposed(item.kind)) {
        let Some((off, bearing)) = off_smoke(site, item, to).filter(|(off, _)| *off < SECTOR) else { continue };
        let grade = if off < RIGHT_AT && is_kept_clear(item.kind) { Grade::Wrong } else { Grade::Look };
        let inside = SECTOR - off;
        all.push(Finding::new(What::Smoke { kind: item.kind, inside, to, bearing }, grade, vec![item.id], inside));
    }
    if all.is_empty() {
        all.push(Finding::new(What::NobodyInSmoke { to }, Grade::Good, Vec::new(), 0.0));
    }
    all
}

/// Does smoke blow over it?
pub(super) fn is_downwind(site: &Site, item: &Item) -> bool {
    site.wind_from.is_some_and(|from| {
        let to = (from + 180.0).rem_euclid(360.0);
        off_smoke(site, item, to).is_some_and(|(off, _)| off < SECTOR)
    })
}
