//! Wind, smoke, and sun on the drawing.

use super::scale::Scale;
use crate::calc::site::{Site, sun};
use crate::site::snapshot::SiteSnapshot;
use crate::web::words::tidy;

pub(super) fn wind(site: &Site, from: f64) -> f64 {
    (from + 180.0 - site.north).rem_euclid(360.0)
}

pub(super) fn wind_says(snapshot: &SiteSnapshot, from: f64) -> String {
    let speed = snapshot.current.plan.basis.wind_speed.trim();
    let speed = if speed.is_empty() { String::new() } else { format!(", {speed} mph") };
    format!("wind from {from:.0}°{speed}")
}

/// The sector under the smoke of each room, far past the edges of the drawing.
pub(super) fn smoke(site: &Site, scale: Scale, extent: (f64, f64)) -> Vec<String> {
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

/// Where the sun is when room A is lit: at the edge of the drawing.
pub(super) fn sun_at(snapshot: &SiteSnapshot, site: &Site, (width, height): (f64, f64)) -> Option<(f64, f64, String)> {
    let (latitude, longitude) = snapshot.given.place?;
    let sun = sun::position(latitude, longitude, snapshot.given.lit_at)?;
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
